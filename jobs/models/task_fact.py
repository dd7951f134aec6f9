"""What is known of one task beyond its plan: pinned, kept waiting, begun, done."""

from django.db import models
from django.utils import timezone


class TaskFact(models.Model):
    """Facts and wishes about one task of one job; each may be empty."""

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="task_facts")
    task_key = models.CharField("key of the task within its job, with its part", max_length=80)
    label = models.CharField(max_length=160, blank=True)
    pinned_at = models.DateTimeField("must begin exactly then", null=True, blank=True)
    not_before_at = models.DateTimeField("cannot begin before", null=True, blank=True)
    began_at = models.DateTimeField("was begun", null=True, blank=True)
    ended_at = models.DateTimeField("was done, or will be", null=True, blank=True)
    people = models.ManyToManyField("studio.Person", related_name="task_facts", blank=True)
    why = models.CharField(max_length=200, blank=True)
    noted_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["job", "task_key"]
        constraints = [
            models.UniqueConstraint(fields=["job", "task_key"], name="one_fact_per_task"),
            models.CheckConstraint(
                condition=models.Q(began_at=None, ended_at=None)
                | models.Q(began_at__isnull=False, ended_at__gt=models.F("began_at")),
                name="begun_task_ends_after_it_began",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job_id} {self.task_key}"
