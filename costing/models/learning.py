"""Rates of work taken over from the studio's own log, so that each can be undone."""

from django.db import models
from django.utils import timezone


class RateAdoption(models.Model):
    """One rate replaced by what the log taught: the value before (None where the table's default held) and after."""

    key = models.CharField(max_length=60)
    before = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    before_note = models.CharField(max_length=200, blank=True)
    after = models.DecimalField(max_digits=12, decimal_places=4)
    evidence = models.JSONField("what it was learnt from", default=dict)
    adopted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    adopted_at = models.DateTimeField(default=timezone.now)
    undone_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-adopted_at", "-pk"]
        constraints = [models.CheckConstraint(condition=models.Q(after__gte=0), name="adopted_rate_not_negative")]

    def __str__(self) -> str:
        return f"{self.key} {self.after}"
