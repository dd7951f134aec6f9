"""Tasks of the outbox; each takes ids, calls one function and is safe to run twice."""

from celery import shared_task
from django.conf import settings

from studio.documents import files, outbox
from studio.documents.rendering import render_document


@shared_task(
    name="studio.documents.render",
    ignore_result=True,
    soft_time_limit=settings.DOCUMENT_TIME_LIMIT_S,
    time_limit=settings.DOCUMENT_TIME_LIMIT_S + 10,
)
def render(document_id: int) -> str:
    """Render one document if nobody else has it."""
    return render_document(document_id)


@shared_task(name="studio.documents.sweep", ignore_result=True)
def sweep() -> int:
    """Push what was lost and clear what killed renderers left."""
    files.remove_leftovers()
    return outbox.sweep()
