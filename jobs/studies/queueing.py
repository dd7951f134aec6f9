"""Handing studies to the worker."""

from datetime import timedelta

from django.utils import timezone

from jobs import claims
from jobs.geometry.mesh_limits import WALL_BIG_S
from jobs.models import PieceStudy
from studio.handover import hand_over

# Measuring walls ends within this; should its worker be gone by then, the sweep goes on with what was held back.
HELD_FOR = timedelta(seconds=WALL_BIG_S)


def push(study_id: int) -> bool:
    """Queue the task; False where the broker cannot be reached: the row then waits for the sweep."""
    from jobs.tasks import study_piece

    return hand_over(study_piece, study_id, what="study")


def queue(study: PieceStudy) -> None:
    """Let the worker have the study as soon as the transaction is kept."""
    claims.queue(study, push)


def hold_back(study: PieceStudy) -> None:
    """Let a study wait until the walls of its piece are measured.

    Walls and study both keep all processors busy: side by side the walls, which a price waits for, would come twice as late,
    and the study no sooner than after them.
    """
    PieceStudy.objects.filter(pk=study.pk).update(due_at=timezone.now() + HELD_FOR)


def release(record_id: int) -> None:
    """Let the worker have the studies that waited for the walls of a takeoff."""
    for study in PieceStudy.objects.filter(takeoff=record_id, state=PieceStudy.State.QUEUED, attempts=0).only("pk"):
        queue(study)
