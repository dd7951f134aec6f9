"""Who renders a row: taken by one conditional UPDATE, kept by a token, lost with its lease."""

import uuid
from datetime import timedelta

from django.conf import settings
from django.db.models import F, Q
from django.utils import timezone

from studio.models import Document

MOST_ATTEMPTS = 5
GAVE_UP = (
    "The worker stopped {attempts} times while making this print, so it was given up. "
    "Try again; if it stops again, the worker's log (worker.log in the data folder's log) says why."
)


def _lease() -> timedelta:
    return timedelta(seconds=settings.DOCUMENT_LEASE_S)


def claim(document_id: int) -> Document | None:
    """Take a row that is queued, or whose renderer is gone; None when somebody else has it or it is done."""
    now = timezone.now()
    free = Q(state=Document.State.QUEUED) | Q(state=Document.State.RENDERING, lease_until_at__lte=now)
    row = Document.objects.filter(free, pk=document_id)
    given_up = row.filter(attempts__gte=MOST_ATTEMPTS).update(
        state=Document.State.FAILED,
        reason=GAVE_UP.format(attempts=MOST_ATTEMPTS),
        token=None,
        lease_until_at=None,
        finished_at=now,
    )
    if given_up:
        return None
    token = uuid.uuid4()
    taken = row.update(
        state=Document.State.RENDERING, token=token, attempts=F("attempts") + 1, lease_until_at=now + _lease(), step="starting"
    )
    return Document.objects.get(pk=document_id) if taken else None


def held(document: Document) -> Q:
    """Match the row only while this claim on it still holds."""
    return Q(pk=document.pk, token=document.token, state=Document.State.RENDERING)


def report_step(document: Document, step: str) -> bool:
    """Show what is being done and lengthen the lease; False when the claim was lost."""
    return bool(Document.objects.filter(held(document)).update(step=step[:80], lease_until_at=timezone.now() + _lease()))


def release(document: Document, *, after: timedelta) -> None:
    """Give a row back to the queue, due again after a while."""
    Document.objects.filter(held(document)).update(
        state=Document.State.QUEUED, step="", token=None, lease_until_at=None, due_at=timezone.now() + after
    )


def fail(document: Document, reason: str) -> None:
    """Close a row with its reason."""
    Document.objects.filter(held(document)).update(
        state=Document.State.FAILED, step="", reason=reason, token=None, lease_until_at=None, finished_at=timezone.now()
    )


def no_worker_is_left() -> None:
    """End every claim and wait: the only worker has just started, so nobody can be rendering."""
    now = timezone.now()
    Document.objects.filter(state=Document.State.RENDERING).update(lease_until_at=now)
    Document.objects.filter(state=Document.State.QUEUED).update(due_at=now)
