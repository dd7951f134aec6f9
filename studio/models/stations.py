"""Stations: places and machines that one piece of work occupies."""

from django.db import models


class Station(models.Model):
    """A bench place, a turntable, the vacuum chamber, the rotating frame."""

    class Kind(models.TextChoices):
        BENCH = "bench", "bench place"
        TURNTABLE = "turntable", "turntable"
        VACUUM = "vacuum", "vacuum chamber"
        FRAME = "frame", "rotating frame"
        OTHER = "other", "other"

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=12, choices=Kind)
    places = models.PositiveSmallIntegerField("pieces at once", default=1)
    active = models.BooleanField("in use", default=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [models.CheckConstraint(condition=models.Q(places__gte=1), name="station_has_a_place")]

    def __str__(self) -> str:
        return self.name
