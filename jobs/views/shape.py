"""The shape of a piece: how far its study is, the turning view with its stills, and what was found, in tables."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_POST, require_safe

from jobs.errors import StudyNotThere
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PIECE_COUNTS
from jobs.geometry.study.remarks import gauges_said, study_remarks
from jobs.geometry.study.store import study_from_json
from jobs.models import PieceStudy, Plan
from jobs.planning.shape import MM2_PER_M2
from jobs.shown_shape import Layer, facts_of, layers_of, stills_shown
from jobs.shown_study import gauge_lines, piece_lines, position_lines, scrap_lines
from jobs.studies.asking import retry_study, study_for, wanted_study
from jobs.studies.pictures import picture_of, still_of
from jobs.views.loading import JobPage, context_of, job_or_404, load, may_change
from jobs.views.study_states import study_state
from studio.access import Right, needs
from studio.web.context import current_profile
from studio.web.htmx import render_page, wants_partial

# Raised when the same picture is packed in another way.
PACKED_FORM = 1
STILL_NAMES = {f"{layer}-{view}" for layer in ("plain", "depth", "slope", "fill", "piece") for view in ("front", "back")}


@needs(Right.SEE_JOBS)
@require_safe
def shape_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show how far the study of the shape is and what it found: the piece to be turned, tables, stills.

    Asked for by a page that waits, only the state of the study is answered; with the answer that it is done comes the event
    "study-done", or, where nothing of the shape is shown yet, the wish to load the page anew.
    """
    page = load(number)
    state = study_state(page.plan)
    if wants_partial(request):
        context = {"job": page.job, "may_change": may_change(request), "study_state": state, "whole": "whole" in request.GET}
        part = render_page(request, "jobs/shape.html", context, partial="study-state")
        if not state.busy:
            part["HX-Refresh" if "whole" in request.GET else "HX-Trigger"] = "true" if "whole" in request.GET else "study-done"
        return part
    study = study_for(page.plan)
    context = {
        **context_of(request, page, here="piece"),
        "study_state": state,
        "measured": page.job.piece.takeoffs.exists(),
        "whole": study is None,
        **({} if study is None else _shown(study, page)),
    }
    return render_page(request, "jobs/shape.html", context)


@needs(Right.CHANGE_JOBS)
@require_POST
def study_retry(request: HttpRequest, number: int) -> HttpResponse:
    """Let the worker try a refused study again."""
    row, _ = wanted_study(load(number).plan)
    if row is not None:
        retry_study(study=row)
        messages.success(request, "The worker tries this shape again.")
    return redirect("jobs:shape_show", number=number)


@needs(Right.SEE_JOBS)
@require_safe
def shape_mesh(request: HttpRequest, number: int) -> HttpResponse:
    """Hand the packed mesh to the turning view; the same study is packed once, then asked for by its tag."""
    study = _study_or_404(number)
    tag = f'"{study.fingerprint[:32]}-{study.pk}-{PACKED_FORM}"'
    kept = get_conditional_response(request, etag=tag)
    if kept is not None:
        return _private(kept, tag)
    from jobs.geometry.study.packed import pack_picture

    try:
        picture = picture_of(study)
    except StudyNotThere as error:
        raise Http404(str(error)) from error
    if picture is None:
        raise Http404("This study has no picture.")
    return _private(HttpResponse(pack_picture(picture), content_type="application/octet-stream"), tag)


@needs(Right.SEE_JOBS)
@require_safe
def shape_still(request: HttpRequest, number: int, name: str) -> HttpResponse:
    """Hand out one still."""
    if name not in STILL_NAMES:
        raise Http404("There is no such picture.")
    study = _study_or_404(number)
    tag = f'"{study.fingerprint[:32]}-{study.pk}-{name}"'
    kept = get_conditional_response(request, etag=tag)
    if kept is not None:
        return _private(kept, tag)
    try:
        still = still_of(study, name)
    except StudyNotThere as error:
        raise Http404(str(error)) from error
    if still is None:
        raise Http404("This study has no such picture.")
    return _private(HttpResponse(still, content_type="image/png"), tag)


def _private(response: HttpResponse, tag: str) -> HttpResponse:
    """Let the person's own browser keep it, but ask each time whether it may still be shown."""
    response["ETag"] = tag
    response["Cache-Control"] = "private, no-cache"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _study_or_404(number: int) -> PieceStudy:
    study = study_for(load_plan(number))
    if study is None:
        raise Http404("The shape of this piece is not studied yet.")
    return study


def load_plan(number: int) -> Any:
    """Return the kept plan of a job without computing it."""
    from jobs.services.plans import plan_of

    return plan_of(job_or_404(number))


def _shown(study: PieceStudy, page: JobPage) -> dict[str, Any]:
    profile = current_profile()
    try:
        found = study_from_json(study.result or {})
        picture = picture_of(study)
    except (GeometryError, StudyNotThere) as error:
        return {"study": study, "unreadable": str(error)}
    number = page.job.number
    layers = [] if picture is None else layers_of(picture, profile)
    return {
        "study": study,
        "found": found,
        "layers": layers,
        "first_layer": _first(layers),
        "stills": stills_shown(layers),
        "pieces": piece_lines(found.taken),
        "notes": [*found.remarks, *study_remarks(found)],
        "positions": position_lines(found),
        "left_out_m2": found.positions.left_out_mm2 / MM2_PER_M2,
        "scrap": scrap_lines(found),
        "gauges": gauge_lines(found),
        "gauges_said": gauges_said(found.gauges),
        "can_be_pulled": page.plan.shell_pieces in PIECE_COUNTS and page.plan.shell_kind != Plan.ShellKind.NONE,
        "facts": facts_of(found, mesh=reverse("jobs:shape_mesh", args=[number]), profile=profile) if picture else None,
    }


def _first(layers: list[Layer]) -> str:
    """Name the layer that tells most: the shell pieces where there are some, otherwise the depth."""
    keys = [layer.key for layer in layers]
    return next((key for key in ("piece", "depth") if key in keys), "plain")
