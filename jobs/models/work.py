"""What really happened at a job: minutes worked, money spent besides, castings that came out and that did not.

Nothing is changed or taken away: a line that was wrong is taken back and stays readable.
"""

import uuid

from django.db import models
from django.utils import timezone


class WorkDone(models.Model):
    """Minutes of one person, or of all hands together, on one task of a job."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="work_done")
    task_key = models.CharField("key of the planned task; empty for work that was not planned", max_length=80, blank=True)
    label = models.CharField(max_length=160)
    stage = models.CharField(max_length=10, blank=True)
    minutes = models.DecimalField("minutes of all hands", max_digits=8, decimal_places=1)
    done_on = models.DateField(default=timezone.localdate)
    person = models.ForeignKey("studio.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="work_done")
    note = models.CharField(max_length=200, blank=True)
    key = models.UUIDField("said once", default=uuid.uuid4, unique=True, editable=False)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now)
    taken_back_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["done_on", "pk"]
        constraints = [models.CheckConstraint(condition=models.Q(minutes__gt=0), name="work_done_took_time")]

    def __str__(self) -> str:
        return f"{self.label}, {self.minutes} min"


class JobSpend(models.Model):
    """Money spent on a job besides stock: bought services, carriage, hire."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="spend")
    text = models.CharField(max_length=160)
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    spent_on = models.DateField(default=timezone.localdate)
    key = models.UUIDField("said once", default=uuid.uuid4, unique=True, editable=False)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now)
    taken_back_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["spent_on", "pk"]
        constraints = [models.CheckConstraint(condition=models.Q(amount__gt=0), name="job_spend_is_money")]

    def __str__(self) -> str:
        return self.text


class CastingsTally(models.Model):
    """Castings of one day: those that were good and those that were spoiled."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="castings_tallies")
    cast_on = models.DateField(default=timezone.localdate)
    good = models.PositiveIntegerField(default=0)
    spoiled = models.PositiveIntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)
    key = models.UUIDField("said once", default=uuid.uuid4, unique=True, editable=False)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now)
    taken_back_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["cast_on", "pk"]
        verbose_name_plural = "castings tallies"
        constraints = [
            models.CheckConstraint(condition=models.Q(good__gt=0) | models.Q(spoiled__gt=0), name="tally_counts_something")
        ]

    def __str__(self) -> str:
        return f"{self.good} good, {self.spoiled} spoiled"
