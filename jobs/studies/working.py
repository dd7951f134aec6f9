"""The worker's side of studies: claim one, let the child make it, write down each step and what came out."""

import os
import threading
from typing import Any

from django.utils import timezone

from jobs.claims import PUSH_AGAIN_AFTER, Claim, push_lost, take
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_child import wait_for_kernels
from jobs.geometry.study.store import study_from_json, study_to_json
from jobs.geometry.study_child import StudyAbandoned, study_in_child
from jobs.models import PieceStudy, ScanFile
from jobs.readings import brief_of_readings, readings_from_json
from jobs.scans import files as scan_files
from jobs.studies import files
from jobs.studies.keeping import sweep_files
from jobs.studies.queueing import push
from jobs.studies.unasked import ask_unasked

GAVE_UP = (
    "The worker stopped three times while studying this shape, so it was given up. Reduce the number of triangles in the "
    "scanning program and send the scan again, or type fill, seam and positions yourself."
)
SCAN_GONE = "The scan that this piece was measured from was removed; send it again, so that its shape can be studied."
State = PieceStudy.State
# A worker of several threads leaves one of them to days, prints and scans, which somebody may be waiting for.
MOST_AT_ONCE = 2
_places = threading.BoundedSemaphore(MOST_AT_ONCE)


def process(study_id: int) -> str:
    """Study a shape; safe to run twice and at the same time. Where this process studies enough already, it waits its turn."""
    if not _places.acquire(blocking=False):
        return "others first"
    try:
        said = _process(study_id)
    finally:
        _places.release()
    if said in {"studied", "refused"}:
        _push_next()
    return said


def _push_next() -> None:
    """Push the study that waits longest, which may have found no place; those held back for their walls are not due."""
    waits = PieceStudy.objects.filter(state=State.QUEUED, due_at__lte=timezone.now() + PUSH_AGAIN_AFTER)
    found = waits.order_by("due_at", "pk").values_list("pk", flat=True).first()
    if found is not None and push(found):
        PieceStudy.objects.filter(pk=found, state=State.QUEUED).update(due_at=timezone.now() + PUSH_AGAIN_AFTER)


def _process(study_id: int) -> str:
    # Before the claim: compiling counts neither as an attempt nor against the lease, and refuses nobody.
    if _wants_kernels(study_id) and not wait_for_kernels():
        return "not compiled yet"
    study = claim(study_id)
    if study is None:
        return "nothing to do"
    name = files.new_name()
    try:
        result = _study(study, name)
    except StudyAbandoned:
        files.remove(name)
        return "lost"
    except GeometryError as error:
        files.remove(name)
        close(study, state=State.REFUSED, reason=str(error))
        return "refused"
    except BaseException:
        files.remove(name)
        raise
    kept = close(
        study, state=State.READY, reason="", stored_name=name, result=study_to_json(result),
        figures=study_to_json(result, drawn=False),
    )  # fmt: skip
    if not kept:
        files.remove(name)
        return "lost"
    return "studied"


def _wants_kernels(study_id: int) -> bool:
    return PieceStudy.objects.filter(pk=study_id, state__in=[State.QUEUED, State.WORKING]).exists()


def claim(study_id: int) -> PieceStudy | None:
    """Take a study that waits, or whose worker is gone; None when somebody else has it or it is done."""
    row = PieceStudy.objects.filter(pk=study_id)
    if take(row, busy=State.WORKING, gave_up=GAVE_UP, steps=[]) is not Claim.TAKEN:
        return None
    return row.select_related("piece", "takeoff").first()


def close(study: PieceStudy, *, state: str, **values: Any) -> bool:
    """Write down what came out, if this claim still holds."""
    return bool(_mine(study).update(state=state, lease_until_at=None, **values))


def sweep() -> int:
    """Push every study whose task was lost, ask for those that nobody asked for, and clear the folder; return how many."""
    ask_unasked()
    sweep_files()
    return push_lost(PieceStudy.objects.all(), busy=State.WORKING, push=push)


def _study(study: PieceStudy, name: str) -> Any:
    steps: list[dict[str, Any]] = []

    def report(step: dict[str, Any]) -> None:
        steps.append(step)
        if not _mine(study).update(steps=steps):
            raise StudyAbandoned("Somebody else has this study, or it is no longer wanted.")

    handle = os.open(files.path_of(name), os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as drawings:
        result = study_in_child(_shape(study), study.brief, drawings=drawings.fileno(), report=report)
        os.fsync(drawings.fileno())
    return study_from_json(result)


def _shape(study: PieceStudy) -> Any:
    """Return what the child is to study: a scan with how it is read, or the readings."""
    from jobs.geometry.study_child import ScanShape, TapeShape

    record = study.takeoff
    if study.of == PieceStudy.Of.TAPE:
        try:
            return TapeShape(brief=brief_of_readings(readings_from_json(record.readings)))
        except (KeyError, TypeError, ValueError) as error:
            raise GeometryError("The readings of this takeoff cannot be read; measure the piece again.") from error
    told = record.shape
    scan = ScanFile.objects.filter(piece=study.piece_id, sha256=told.get("sha256", "-")).first()
    if scan is None:
        raise GeometryError(SCAN_GONE)
    return ScanShape(
        path=scan_files.path_of(scan), unit=told["unit"], up_axis=told["up_axis"], stands_on_board=bool(told["on_board"])
    )


def _mine(study: PieceStudy) -> Any:
    return PieceStudy.objects.filter(pk=study.pk, state=State.WORKING, attempts=study.attempts)
