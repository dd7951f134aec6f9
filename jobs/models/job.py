"""Jobs: one commission for one client."""

from django.db import models
from django.utils import timezone

from jobs.querysets import JobQuerySet


class Job(models.Model):
    """One commission; addressed by its number."""

    class State(models.TextChoices):
        ENQUIRY = "enquiry", "enquiry"
        QUOTED = "quoted", "quoted"
        AGREED = "agreed", "agreed"
        WORKING = "working", "being made"
        DELIVERED = "delivered", "delivered"
        DECLINED = "declined", "declined"

    number = models.PositiveIntegerField(unique=True)
    title = models.CharField(max_length=120)
    client = models.ForeignKey("jobs.Client", on_delete=models.PROTECT, related_name="jobs")
    state = models.CharField(max_length=12, choices=State, default=State.ENQUIRY)
    promised_on = models.DateField(null=True, blank=True)
    starts_at = models.DateTimeField("work starts", null=True, blank=True)
    note = models.TextField(blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"
