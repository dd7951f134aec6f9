"""Studies of a piece: what the measured shape tells of pulls, fill, scrap, positions and gauge blocks."""

from django.db import models
from django.utils import timezone


class PieceStudy(models.Model):
    """One study of one shape for one set of decisions; the same inputs are never studied twice."""

    class State(models.TextChoices):
        QUEUED = "queued", "waits for the worker"
        WORKING = "working", "being studied"
        READY = "ready", "studied"
        REFUSED = "refused", "refused"

    class Of(models.TextChoices):
        TAPE = "tape", "the body made from the readings"
        SCAN = "scan", "the scan"

    piece = models.ForeignKey("jobs.Piece", on_delete=models.CASCADE, related_name="studies")
    takeoff = models.ForeignKey("jobs.TakeoffRecord", on_delete=models.CASCADE, related_name="studies")
    of = models.CharField("what was studied", max_length=4, choices=Of)
    shape = models.CharField("fingerprint of the shape alone", max_length=64)
    fingerprint = models.CharField("fingerprint of the shape and the decisions", max_length=64)
    brief = models.JSONField("the decisions that it depends on")
    state = models.CharField(max_length=8, choices=State, default=State.QUEUED)
    reason = models.TextField(blank=True)
    steps = models.JSONField("what is known so far, step by step", default=list)
    figures = models.JSONField("what a plan reads of the result", null=True, blank=True)
    result = models.JSONField(null=True, blank=True)
    stored_name = models.CharField("its file of drawings", max_length=64, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField(default=timezone.now)
    lease_until_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    asked_at = models.DateTimeField("last asked for", default=timezone.now)

    # Set by those who look one up for a plan: whether it was made for just that plan's decisions.
    fits = False

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [models.UniqueConstraint(fields=["piece", "fingerprint"], name="a_shape_is_studied_once")]

    def __str__(self) -> str:
        return f"{self.get_of_display()}, {self.get_state_display()}"

    @property
    def busy(self) -> bool:
        """Say whether the worker has it, or will."""
        return self.state in {self.State.QUEUED, self.State.WORKING}
