"""Calendar feeds of people, what was said in them, and day sheets that were asked for."""

import uuid

from django.db import models
from django.utils import timezone


class CalendarFeed(models.Model):
    """The secret address under which a person's days can be subscribed to; only the hash of its token is kept."""

    person = models.ForeignKey("studio.Person", on_delete=models.CASCADE, related_name="feeds")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    read_at = models.DateTimeField("last read", null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.UniqueConstraint(fields=["person"], condition=models.Q(revoked_at=None), name="one_open_feed_per_person"),
        ]

    def __str__(self) -> str:
        return f"feed of {self.person}"


class FeedEvent(models.Model):
    """One task in one person's feed, as it was last said; a task that goes away stays as cancelled for a while."""

    person = models.ForeignKey("studio.Person", on_delete=models.CASCADE, related_name="feed_events")
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="feed_events")
    task_key = models.CharField(max_length=80)
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sequence = models.PositiveIntegerField("how often it was changed", default=0)
    summary = models.CharField(max_length=250)
    description = models.TextField(blank=True)
    place = models.CharField(max_length=120, blank=True)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    changed_at = models.DateTimeField(default=timezone.now)
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [models.UniqueConstraint(fields=["person", "job", "task_key"], name="one_feed_event_per_task")]

    def __str__(self) -> str:
        return self.summary


class DaySheet(models.Model):
    """One person's day, so that its print has a row to be about."""

    person = models.ForeignKey("studio.Person", on_delete=models.CASCADE, related_name="day_sheets")
    on = models.DateField()

    class Meta:
        ordering = ["-on"]
        constraints = [models.UniqueConstraint(fields=["person", "on"], name="one_sheet_per_day")]

    def __str__(self) -> str:
        return f"{self.person}, {self.on}"
