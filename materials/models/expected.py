"""Deliveries that are ordered and not here yet."""

from django.db import models
from django.utils import timezone


class ExpectedDelivery(models.Model):
    """What was ordered, from whom, and the day it is to arrive; it becomes lots when it is received."""

    material = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="expected")
    pack = models.ForeignKey("materials.Pack", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    mass_g = models.DecimalField("mass, both parts together", max_digits=12, decimal_places=3)
    supplier = models.CharField(max_length=120, blank=True)
    due_on = models.DateField("arrives on")
    note = models.CharField(max_length=200, blank=True)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now, editable=False)
    arrived_at = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["due_on", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(mass_g__gt=0), name="expected_is_something"),
            models.CheckConstraint(
                condition=models.Q(arrived_at=None) | models.Q(cancelled_at=None), name="arrived_delivery_not_cancelled"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material}, expected {self.due_on}"
