"""Render one row: claim it, run its renderer outside any transaction, finish it if the claim still holds."""

import logging
from datetime import timedelta

from celery.exceptions import SoftTimeLimitExceeded
from django.db import InterfaceError, OperationalError

from studio.documents import claims, files
from studio.documents.registry import kind_of
from studio.errors import StudioError
from studio.figures import WorkingError
from studio.models import Document

log = logging.getLogger(__name__)

TOOK_TOO_LONG = "Making this print took too long and was stopped. Ask for a shorter one, for example fewer lines, and try again."
FAULT = (
    "A fault in the program stopped this print ({problem}). What you entered is kept. Try again; "
    "if it stops again, the worker's log (worker.log in the data folder's log) says where."
)


def render_document(document_id: int) -> str:
    """Render a row and say what came of it: skipped, ready, failed, released or lost."""
    document = claims.claim(document_id)
    if document is None:
        return "skipped"
    try:
        rendered = kind_of(document).renderer(document)
        claims.report_step(document, "saving")
        return "ready" if files.finish(document, rendered) else "lost"
    except (StudioError, WorkingError) as problem:
        claims.fail(document, str(problem) or FAULT.format(problem=type(problem).__name__))
    except SoftTimeLimitExceeded:
        claims.fail(document, TOOK_TOO_LONG)
    except (OperationalError, InterfaceError) as problem:
        return _wait_for_database(document, problem)
    except Exception as problem:
        log.exception("document %s of the kind %s", document.pk, document.kind)
        claims.fail(document, FAULT.format(problem=type(problem).__name__))
    return "failed"


def _wait_for_database(document: Document, problem: Exception) -> str:
    """Leave the row to be taken again: a locked or absent database is no fault of the document."""
    log.warning("document %s waits, the database cannot be used: %s", document.pk, problem)
    try:
        claims.release(document, after=timedelta(seconds=5))
    except (OperationalError, InterfaceError):
        log.warning("document %s stays claimed until its lease runs out", document.pk)
    return "released"
