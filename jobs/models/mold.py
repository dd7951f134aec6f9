"""Finished molds: where each lies, what it has cast, and its end."""

from django.db import models
from django.utils import timezone


class Mold(models.Model):
    """One mold of a job, from the day it is opened until it is cut up or thrown away."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="molds")
    number = models.PositiveSmallIntegerField("which of the job's molds")
    rubber = models.ForeignKey("materials.Material", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    mass_g = models.DecimalField("rubber in it", max_digits=12, decimal_places=3, null=True, blank=True)
    made_on = models.DateField(default=timezone.localdate)
    place = models.CharField(max_length=80, blank=True)
    castings_done = models.PositiveIntegerField(default=0)
    looked_at_on = models.DateField("last looked at", null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.CharField(max_length=200, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-made_on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="molds_of_a_job_are_numbered"),
            models.CheckConstraint(
                condition=models.Q(mass_g__isnull=True) | models.Q(mass_g__gt=0), name="mold_weighs_something"
            ),
        ]

    def __str__(self) -> str:
        return f"mold {self.number} of job {self.job_id}"
