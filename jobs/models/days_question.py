"""Questions about the days that the worker answers: by when an enquiry could be done, why a day cannot be kept."""

from django.db import models
from django.utils import timezone


class DaysQuestion(models.Model):
    """One question about one job; answered once, beside the timetable of that moment."""

    class Kind(models.TextChoices):
        PROMISE = "promise", "the earliest honest day"
        WHY = "why", "why its day cannot be kept, and what helps"

    class State(models.TextChoices):
        QUEUED = "queued", "waits for the worker"
        WORKING = "working", "being worked out"
        READY = "ready", "answered"
        REFUSED = "refused", "refused"

    kind = models.CharField(max_length=8, choices=Kind)
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="days_questions")
    timetable = models.ForeignKey("jobs.Timetable", on_delete=models.CASCADE, null=True, blank=True, related_name="questions")
    state = models.CharField(max_length=8, choices=State, default=State.QUEUED)
    answer = models.JSONField(null=True, blank=True)
    reason = models.TextField("why it was refused", blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField(default=timezone.now)
    lease_until_at = models.DateTimeField(null=True, blank=True)
    asked_at = models.DateTimeField(default=timezone.now)
    asked_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "job"], condition=models.Q(state__in=["queued", "working"]), name="one_open_question_per_job"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, job {self.job_id}"

    @property
    def busy(self) -> bool:
        """Say whether the worker has it, or will."""
        return self.state in {self.State.QUEUED, self.State.WORKING}
