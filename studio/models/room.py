"""The room's temperature as it is expected, hour by hour."""

from django.db import models
from django.utils import timezone


class RoomHour(models.Model):
    """The temperature that the workshop is expected to have in the hour that begins then."""

    begins_at = models.DateTimeField(unique=True)
    temperature_c = models.DecimalField("temperature", max_digits=4, decimal_places=1)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["begins_at"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(temperature_c__gte=-30, temperature_c__lte=60), name="room_temperature_believable"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.begins_at:%Y-%m-%d %H:%M} {self.temperature_c} °C"
