"""Asking for the study of a piece, and finding the one that belongs to a plan."""

from collections.abc import Mapping

from django.db import transaction
from django.utils import timezone

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.store import brief_to_json
from jobs.inputs import latest_record
from jobs.models import PieceStudy, Plan, TakeoffRecord
from jobs.studies.keeping import drop_superseded
from jobs.studies.queueing import hold_back, queue
from jobs.studies.wishes import brief_for, fingerprint_of, shape_of, source_of
from studio.figures import Given
from studio.services.rates import current_rates

State = PieceStudy.State


def fingerprint_for(plan: Plan, record: TakeoffRecord | None, rates: Mapping[str, Given]) -> str:
    """Return the fingerprint of what a plan asks, empty when nothing can be asked."""
    source = None if record is None else source_of(record)
    if source is None:
        return ""
    try:
        return fingerprint_of(source, brief_for(plan, rates))
    except GeometryError:
        return ""


def study_for(plan: Plan) -> PieceStudy | None:
    """Return the study of a plan's piece.

    Returns
    -------
    PieceStudy or None
        The one that is ready for just this plan, otherwise the last one that was finished for this shape; its attribute
        `fits` tells which. None when none was ever ready.
    """
    piece = plan.job.piece
    record = latest_record(piece)
    if record is None:
        return None
    wanted = fingerprint_for(plan, record, current_rates())
    light = PieceStudy.objects.filter(piece=piece, shape=shape_of(record), state=State.READY).order_by("-asked_at", "-pk")
    pairs = list(light.values_list("pk", "fingerprint"))
    found = next((pk for pk, fingerprint in pairs if fingerprint == wanted), pairs[0][0] if pairs else None)
    if found is None:
        return None
    study: PieceStudy = PieceStudy.objects.get(pk=found)
    study.fits = study.fingerprint == wanted
    return study


def wanted_study(plan: Plan) -> tuple[PieceStudy | None, str]:
    """Return the study that a kept plan waits for, in whatever state, and why none can be asked for."""
    record = latest_record(plan.job.piece)
    if record is None:
        return None, "The piece is not measured yet."
    source = source_of(record)
    if source is None:
        return None, "What this piece was measured from is not known any more; measure it again."
    try:
        brief = brief_for(plan, current_rates())
    except GeometryError as error:
        return None, str(error)
    found = PieceStudy.objects.filter(piece=plan.job.piece, fingerprint=fingerprint_of(source, brief))
    return found.defer("result").first(), ""


@transaction.atomic
def retry_study(*, study: PieceStudy) -> PieceStudy:
    """Let the worker try a refused study again, or one whose result or drawings cannot be read any more."""
    again = PieceStudy.objects.filter(pk=study.pk, state__in=[State.REFUSED, State.READY])
    if again.update(state=State.QUEUED, reason="", attempts=0, steps=[], asked_at=timezone.now()):
        queue(study)
    return study


@transaction.atomic
def ask_study(plan: Plan, record: TakeoffRecord | None = None, *, held: bool = False) -> PieceStudy | None:
    """Have the worker study a piece for its kept plan, unless that was done; safe to call at any time, and twice.

    `held` lets a new one wait for `queueing.release`. Returns None when nothing can be asked: the piece is not measured, or its
    decisions contradict each other.
    """
    record = record or latest_record(plan.job.piece)
    source = None if record is None else source_of(record)
    if record is None or source is None:
        return None
    try:
        brief = brief_for(plan, current_rates())
    except GeometryError:
        return None
    study, is_new = PieceStudy.objects.get_or_create(
        piece=plan.job.piece,
        fingerprint=fingerprint_of(source, brief),
        defaults={"takeoff": record, "of": record.method, "shape": shape_of(record), "brief": brief_to_json(brief)},
    )
    if is_new:
        (hold_back if held else queue)(study)
    else:
        PieceStudy.objects.filter(pk=study.pk).update(asked_at=timezone.now(), takeoff=record)
    drop_superseded(study)
    return study
