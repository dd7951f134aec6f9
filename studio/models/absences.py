"""Absences: stretches in which somebody, or the whole studio, is not there."""

from django.db import models
from django.utils import timezone


class Absence(models.Model):
    """One stretch away; without a person the whole studio is closed."""

    person = models.ForeignKey("studio.Person", on_delete=models.CASCADE, related_name="absences", null=True, blank=True)
    starts_at = models.DateTimeField("from")
    ends_at = models.DateTimeField("until")
    why = models.CharField(max_length=120, blank=True)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True)
    noted_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(ends_at__gt=models.F("starts_at")), name="absence_ends_after_it_starts"),
        ]

    def __str__(self) -> str:
        return f"{self.person or 'everybody'} away from {self.starts_at:%Y-%m-%d %H:%M}"
