"""Lots: delivered containers, with the balance that the ledger keeps."""

from django.db import models
from django.utils import timezone


class Lot(models.Model):
    """One delivered container or kit; its masses change only through `materials.ledger`."""

    class Component(models.TextChoices):
        WHOLE = "whole", "one component"
        KIT = "kit", "kit, A and B together"
        A = "A", "part A"
        B = "B", "part B"

    material = models.ForeignKey("materials.Material", on_delete=models.PROTECT, related_name="lots")
    component = models.CharField(max_length=6, choices=Component, default=Component.WHOLE)
    kit_code = models.CharField("pairs with", max_length=40, blank=True, help_text="the same code on the A and the B that belong together")
    supplier_lot = models.CharField(max_length=80, blank=True)
    supplier = models.CharField(max_length=120, blank=True)
    received_on = models.DateField(default=timezone.localdate)
    opened_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    place = models.CharField(max_length=80, blank=True)
    unit_cost_per_kg = models.DecimalField(max_digits=12, decimal_places=4, default=0)
    on_hand_g = models.DecimalField(max_digits=12, decimal_places=3, default=0, editable=False)
    reserved_g = models.DecimalField(max_digits=12, decimal_places=3, default=0, editable=False)
    quarantined = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = [models.F("expires_on").asc(nulls_last=True), "received_on", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(on_hand_g__gte=0), name="lot_not_negative"),
            models.CheckConstraint(condition=models.Q(reserved_g__gte=0), name="lot_reserved_not_negative"),
            models.CheckConstraint(condition=models.Q(reserved_g__lte=models.F("on_hand_g")), name="lot_not_oversold"),
        ]

    def __str__(self) -> str:
        return f"{self.material} {self.supplier_lot}".strip()
