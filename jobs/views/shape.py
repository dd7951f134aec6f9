"""The shape of a piece: the turning view with its stills, and what the study found, in tables."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from jobs.errors import StudyNotThere
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.store import study_from_json
from jobs.models import PieceStudy
from jobs.shown_shape import Layer, facts_of, gauge_lines, layers_of, piece_lines, position_lines, stills_shown
from jobs.studies.asking import study_for
from jobs.studies.pictures import picture_of, still_of
from jobs.views.loading import context_of, job_or_404, load
from jobs.views.study_states import study_state
from studio.access import Right, needs
from studio.web.context import current_profile
from studio.web.htmx import render_page

# Raised when the same picture is packed in another way.
PACKED_FORM = 1
STILL_NAMES = {f"{layer}-{view}" for layer in ("plain", "depth", "slope", "fill", "piece") for view in ("front", "back")}


@needs(Right.SEE_JOBS)
@require_safe
def shape_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show the piece to be turned, coloured by what was found, with stills and tables of the same."""
    page = load(number)
    context: dict[str, Any] = {
        **context_of(request, page, here="piece"),
        "study_state": study_state(page.plan),
        "measured": page.job.piece.takeoffs.exists(),
    }
    study = study_for(page.plan)
    if study is not None:
        context |= _shown(study, number)
    return render_page(request, "jobs/shape.html", context)


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


def _shown(study: PieceStudy, number: int) -> dict[str, Any]:
    profile = current_profile()
    try:
        found = study_from_json(study.result or {})
        picture = picture_of(study)
    except (GeometryError, StudyNotThere) as error:
        return {"unreadable": str(error)}
    layers = [] if picture is None else layers_of(picture, profile)
    return {
        "study": study,
        "found": found,
        "layers": layers,
        "first_layer": _first(layers),
        "stills": stills_shown(layers),
        "pieces": piece_lines(found.taken),
        "positions": position_lines(found),
        "left_out_m2": found.positions.left_out_mm2 / 1e6,
        "gauges": gauge_lines(found),
        "facts": facts_of(found, mesh=reverse("jobs:shape_mesh", args=[number]), profile=profile) if picture else None,
    }


def _first(layers: list[Layer]) -> str:
    """Name the layer that tells most: the shell pieces where there are some, otherwise the depth."""
    keys = [layer.key for layer in layers]
    return next((key for key in ("piece", "depth") if key in keys), "plain")
