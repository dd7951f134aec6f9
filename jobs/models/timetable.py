"""Timetables: when each task of all open jobs is done and by whom; one of them is in use."""

from django.db import models
from django.utils import timezone

from jobs.querysets import TimetableQuerySet
from studio.models import Station


class Timetable(models.Model):
    """One answer of the search for days; a proposal until somebody uses it.

    Times on its grid are `begins_at` plus steps of `step_min` minutes of real time.
    """

    class State(models.TextChoices):
        QUEUED = "queued", "waits for the worker"
        WORKING = "working", "being looked for"
        READY = "ready", "found"
        REFUSED = "refused", "refused"

    class Reason(models.TextChoices):
        ANEW = "anew", "planned anew"
        NEWS = "news", "changed as little as can be, after news"

    state = models.CharField(max_length=8, choices=State, default=State.QUEUED)
    why = models.CharField("why it was asked for", max_length=4, choices=Reason, default=Reason.ANEW)
    base = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True, related_name="successors")
    news = models.JSONField("what is different, in sentences", default=list)
    seconds = models.PositiveSmallIntegerField("how long to look", default=20)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    begins_at = models.DateTimeField(null=True, blank=True)
    step_min = models.PositiveSmallIntegerField(default=5)
    horizon_steps = models.PositiveIntegerField(default=0)
    steps = models.JSONField("what was found while looking: seconds, cost, windows broken", default=list)
    cost = models.JSONField("the parts of its cost", null=True, blank=True)
    list_cost = models.BigIntegerField("what the list made by hand costs", null=True, blank=True)
    bound = models.BigIntegerField("what no timetable can cost less than", null=True, blank=True)
    bound_reason = models.TextField(blank=True)
    moved = models.JSONField("what moved against the one before, and why", default=list)
    job_ends = models.JSONField("the end of each job, and its end before", default=list)
    left_out = models.JSONField("jobs and materials that could not be laid out, and why", default=list)
    problem = models.JSONField("what was laid out, as the search was given it", null=True, blank=True)
    reason = models.TextField("why it was refused", blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField(default=timezone.now)
    lease_until_at = models.DateTimeField(null=True, blank=True)
    asked_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    used_at = models.DateTimeField(null=True, blank=True)
    used_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    put_by_at = models.DateTimeField("when it was put by, unused or no longer", null=True, blank=True)

    objects = TimetableQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["why"], condition=models.Q(state__in=["queued", "working"]), name="one_timetable_looked_for_at_once"
            ),
            models.CheckConstraint(condition=models.Q(used_at=None) | models.Q(state="ready"), name="used_timetable_is_found"),
        ]

    def __str__(self) -> str:
        return f"timetable of {self.created_at:%Y-%m-%d %H:%M}, {self.get_state_display()}"

    @property
    def busy(self) -> bool:
        """Say whether the worker has it, or will."""
        return self.state in {self.State.QUEUED, self.State.WORKING}


class TimetableEntry(models.Model):
    """One task of one job in time, with what waits after it; copied into rows so that pages and feeds need no solver."""

    timetable = models.ForeignKey(Timetable, on_delete=models.CASCADE, related_name="entries")
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="timetable_entries")
    task_key = models.CharField("key of the task within its job, with its part", max_length=80)
    plan_key = models.CharField("key of the task in the plan", max_length=60)
    label = models.CharField(max_length=160)
    stage = models.CharField(max_length=12)
    place = models.PositiveIntegerField("place in the order of its job", default=0)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    people = models.ManyToManyField("studio.Person", related_name="timetable_entries", blank=True)
    station = models.CharField("kind of station, empty without one", max_length=12, blank=True)
    station_until_at = models.DateTimeField("until when the station is held", null=True, blank=True)
    mixes = models.CharField("name of the material that is mixed", max_length=120, blank=True)
    waits_until_at = models.DateTimeField("earliest begin of what follows", null=True, blank=True)
    latest_next_at = models.DateTimeField("when the window for what follows closes", null=True, blank=True)
    unattended = models.BooleanField("what follows may cure alone", default=True)
    visit = models.BooleanField("somebody comes in outside of hours", default=False)
    pinned = models.BooleanField(default=False)
    done = models.BooleanField("was begun or done already when this was laid out", default=False)
    late_min = models.PositiveIntegerField("minutes after its window closed", default=0)
    remedy = models.CharField("what has to be done because of that", max_length=200, blank=True)

    class Meta:
        ordering = ["starts_at", "place", "pk"]
        indexes = [models.Index(fields=["timetable", "starts_at"], name="timetable_by_time")]
        constraints = [
            models.UniqueConstraint(fields=["timetable", "job", "task_key"], name="one_entry_per_task"),
            models.CheckConstraint(condition=models.Q(ends_at__gt=models.F("starts_at")), name="entry_takes_time"),
        ]

    def __str__(self) -> str:
        return f"{self.job_id} {self.label} {self.starts_at:%Y-%m-%d %H:%M}"

    @property
    def where(self) -> str:
        """The words for its kind of station, empty without one."""
        return str(Station.Kind(self.station).label) if self.station in Station.Kind.values else self.station

    @property
    def waits(self) -> bool:
        """Say whether something cures after it."""
        return self.waits_until_at is not None and self.waits_until_at > self.ends_at
