"""The document outbox: a row first, then a task."""

import uuid

from django.db import models
from django.utils import timezone


class Document(models.Model):
    """A print that was asked for: queued, rendering, ready, or failed with its reason."""

    class State(models.TextChoices):
        QUEUED = "queued", "queued"
        RENDERING = "rendering", "rendering"
        READY = "ready", "ready"
        FAILED = "failed", "failed"

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=40)
    subject_id = models.PositiveBigIntegerField()
    title = models.CharField(max_length=200)
    state = models.CharField(max_length=12, choices=State, default=State.QUEUED)
    step = models.CharField("what is being done", max_length=80, blank=True)
    reason = models.TextField(blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    token = models.UUIDField(null=True, blank=True, editable=False)
    due_at = models.DateTimeField(default=timezone.now)
    lease_until_at = models.DateTimeField(null=True, blank=True)
    file_name = models.CharField(max_length=200, blank=True)
    stored_name = models.CharField(max_length=200, blank=True)
    content_type = models.CharField(max_length=100, blank=True)
    size_bytes = models.PositiveBigIntegerField(default=0)
    sha256 = models.CharField(max_length=64, blank=True)
    requested_by = models.ForeignKey("studio.Account", on_delete=models.SET_NULL, null=True, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        indexes = [
            models.Index(fields=["state", "due_at"], name="document_due"),
            models.Index(fields=["kind", "subject_id"], name="document_subject"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(state="ready") | (~models.Q(stored_name="") & models.Q(size_bytes__gt=0)),
                name="ready_document_has_a_file",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="failed") | ~models.Q(reason=""), name="failed_document_has_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return self.title
