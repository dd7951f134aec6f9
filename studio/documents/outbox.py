"""The outbox: a document is a row first, then a task; a lost task is pushed again by the sweep."""

from datetime import timedelta
from functools import partial

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from studio.handover import hand_over
from studio.models import Account, Document

# A pushed task that nobody claimed after this long was lost on its way; the sweep pushes it again.
PUSH_AGAIN_AFTER = timedelta(seconds=20)


def request_document(*, kind: str, subject_id: int, title: str, by: Account | None) -> Document:
    """Ask for a document: its row stands in the caller's transaction, its task follows the commit."""
    document = Document.objects.create(
        kind=kind, subject_id=subject_id, title=title[:200], requested_by=by, due_at=timezone.now() + PUSH_AGAIN_AFTER
    )
    transaction.on_commit(partial(push, document.pk))
    return document


def retry_document(document: Document) -> bool:
    """Queue a failed document again; False when it was not failed (any more)."""
    now = timezone.now()
    changed = Document.objects.filter(pk=document.pk, state=Document.State.FAILED).update(
        state=Document.State.QUEUED,
        step="",
        reason="",
        attempts=0,
        token=None,
        lease_until_at=None,
        finished_at=None,
        due_at=now + PUSH_AGAIN_AFTER,
    )
    if changed:
        transaction.on_commit(partial(push, document.pk))
    return bool(changed)


def latest_document(*, kind: str, subject_id: int) -> Document | None:
    """Return the newest document of this kind for this subject."""
    return Document.objects.filter(kind=kind, subject_id=subject_id).order_by("-created_at", "-pk").first()


def push(document_id: int) -> bool:
    """Queue the task; False where the broker cannot be reached: the row then is due for the sweep at once."""
    from studio.documents.tasks import render

    if hand_over(render, document_id, what="document"):
        return True
    Document.objects.filter(pk=document_id, state=Document.State.QUEUED).update(due_at=timezone.now())
    return False


def sweep() -> int:
    """Push every document whose task was lost; return how many."""
    now = timezone.now()
    queued = Q(state=Document.State.QUEUED, due_at__lte=now)
    rendering = Q(state=Document.State.RENDERING, lease_until_at__lte=now)
    rows = Document.objects.filter(queued | rendering).order_by("due_at").values_list("pk", flat=True)
    lost = list(rows[: settings.SWEEP_AT_MOST])
    pushed = 0
    for pk in lost:
        if not push(pk):
            break
        pushed += 1
        Document.objects.filter(pk=pk, state=Document.State.QUEUED).update(due_at=now + PUSH_AGAIN_AFTER)
    return pushed
