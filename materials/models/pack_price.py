"""What packs cost over time."""

from django.db import models
from django.utils import timezone


class PackPrice(models.Model):
    """A pack's price from a day on, so that a later price leaves the earlier one known."""

    pack = models.ForeignKey("materials.Pack", on_delete=models.CASCADE, related_name="prices")
    price = models.DecimalField(max_digits=12, decimal_places=2)
    priced_on = models.DateField(default=timezone.localdate)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-priced_on", "-pk"]
        constraints = [models.CheckConstraint(condition=models.Q(price__gte=0), name="price_once_not_negative")]

    def __str__(self) -> str:
        return f"{self.pack} {self.price} on {self.priced_on}"
