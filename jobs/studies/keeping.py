"""How many studies of a piece are kept, and taking away what belongs to none."""

import time
from datetime import timedelta
from functools import partial

from django.db import transaction

from jobs.models import PieceStudy
from jobs.studies import files

# Of each piece, beside those that the worker has: enough to go back and forth between a few ways of making the mold.
MOST_KEPT = 5
# A file without a row may be one that is being written.
ORPHANED_AFTER = timedelta(minutes=30)
State = PieceStudy.State


def drop_superseded(wanted: PieceStudy) -> None:
    """Let go of studies that nobody waits for, and of the oldest beyond the cap, with their files."""
    others = PieceStudy.objects.filter(piece=wanted.piece_id).exclude(pk=wanted.pk)
    # Nobody has begun them, and the plan asks for something else by now.
    others.filter(state=State.QUEUED, attempts=0).delete()
    done = others.filter(state__in=[State.READY, State.REFUSED]).order_by("-asked_at", "-pk")
    for study in done.only("pk", "stored_name")[MOST_KEPT - 1 :]:
        remove(study)


def remove(study: PieceStudy) -> None:
    """Remove a study, and its file once that is kept."""
    stored_name = study.stored_name
    study.delete()
    transaction.on_commit(partial(files.remove, stored_name))


def sweep_files() -> int:
    """Remove files that no row names: their piece is gone, or their maker was killed; return how many."""
    known = set(PieceStudy.objects.exclude(stored_name="").values_list("stored_name", flat=True))
    before, gone = time.time() - ORPHANED_AFTER.total_seconds(), 0
    for path in files.folder().iterdir():
        if path.name not in known and path.stat().st_mtime < before:
            path.unlink(missing_ok=True)
            gone += 1
    return gone
