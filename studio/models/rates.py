"""Rates of work: the studio's own value beside each default of `studio.workrates`."""

from django.db import models
from django.utils import timezone


class WorkRate(models.Model):
    """The studio's own value for one rate; no row means the default holds."""

    key = models.CharField(max_length=60, unique=True)
    value = models.DecimalField(max_digits=12, decimal_places=4)
    note = models.CharField(max_length=200, blank=True)
    changed_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True)
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["key"]
        constraints = [models.CheckConstraint(condition=models.Q(value__gte=0), name="work_rate_not_negative")]

    def __str__(self) -> str:
        return self.key
