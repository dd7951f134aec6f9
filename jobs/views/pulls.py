"""Pulls and pieces: the ways found on the shape, one of them taken, pulls and a parting fixed or released."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.errors import PlanChangedMeanwhile
from jobs.forms.pulls import PullsForm, TakeWayForm
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PIECE_COUNTS
from jobs.geometry.study.directions_said import facing_said
from jobs.geometry.study.remarks import gauges_said, study_remarks
from jobs.geometry.study.store import study_from_json
from jobs.models import PieceStudy
from jobs.planning.shape import MM2_PER_M2, MM3_PER_L
from jobs.services.plans import keep_plan
from jobs.studies.asking import retry_study, study_for, wanted_study
from jobs.views.loading import JobPage, context_of, load
from jobs.views.study_states import study_state
from jobs.views.ways import ways_of
from studio.access import Right, needs
from studio.web.htmx import render_page


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def pulls_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show the ways of taking the shell off; take one, fix pulls or the parting, release them."""
    page = load(number)
    if request.method != "POST":
        return _answer(request, page, PullsForm(plan=page.plan))
    if not request.user.may(Right.CHANGE_JOBS):  # type: ignore[union-attr]
        raise PermissionDenied("Your role in this studio does not let you change plans.")
    action = request.POST.get("action", "")
    if action == "fix":
        form = PullsForm(request.POST, plan=page.plan)
        if not form.is_valid():
            return _answer(request, page, form, status=422)
        return _keep(request, page, form.plan_values(), form.cleaned_data["revision"], form)
    take = TakeWayForm(request.POST)
    if action == "release":
        values: dict[str, Any] = {"pinned_pulls": [], "parting": None, "division_rank": 0}
        take.fields["way"].required = False
    if not take.is_valid():
        messages.error(request, "That way is not one of those found; take one from the table.")
        return redirect("jobs:pulls_show", number=number)
    values = values if action == "release" else take.plan_values()
    return _keep(request, page, values, take.cleaned_data["revision"], PullsForm(plan=page.plan))


@needs(Right.SEE_JOBS)
@require_safe
def study_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show how far the study of the shape is, and what it found."""
    page = load(number)
    state, study = study_state(page.plan), study_for(page.plan)
    context = {
        **context_of(request, page, here="piece"),
        "study_state": state,
        "study": study,
        **_found(study),
    }
    response = render_page(request, "jobs/study.html", context, partial="study-state")
    if not state.busy:
        response["HX-Trigger"] = "study-done"
    return response


@needs(Right.CHANGE_JOBS)
@require_POST
def study_retry(request: HttpRequest, number: int) -> HttpResponse:
    """Let the worker try a refused study again."""
    row, _ = wanted_study(load(number).plan)
    if row is not None:
        retry_study(study=row)
        messages.success(request, "The worker tries this shape again.")
    return redirect("jobs:study_show", number=number)


def pulls_context(page: JobPage, form: PullsForm | None = None) -> dict[str, Any]:
    """Return what the section “Pulls and pieces” shows."""
    study = study_for(page.plan)
    return {
        "study_state": study_state(page.plan),
        "study": study,
        "ways": ways_of(study, page.plan, page.made),
        "pulls_form": form or PullsForm(plan=page.plan),
        "pulls_can_be_fixed": page.plan.shell_pieces in PIECE_COUNTS,
        "fixed": bool(page.plan.pinned_pulls or page.plan.parting),
    }


def _keep(request: HttpRequest, page: JobPage, values: dict[str, Any], revision: int, form: PullsForm) -> HttpResponse:
    try:
        keep_plan(plan=page.plan, values=values, revision=revision, by=request.user)  # type: ignore[arg-type]
    except PlanChangedMeanwhile as conflict:
        # The next try stands on what the other person kept; everything typed here stays in the form.
        fresh = load(page.job.number)
        data = request.POST.copy()
        data["revision"] = str(fresh.plan.revision)
        again = PullsForm(data if form.is_bound else None, plan=fresh.plan)
        return _answer(request, fresh, again, conflict=str(conflict), status=409)
    messages.success(request, "The plan is kept. Fill, parting and price follow as soon as the shape is studied for it.")
    return redirect("jobs:shell_show", number=page.job.number)


def _answer(request: HttpRequest, page: JobPage, form: PullsForm, *, conflict: str = "", status: int = 200) -> HttpResponse:
    context = {**context_of(request, page, here="shell"), **pulls_context(page, form), "conflict": conflict}
    return render_page(request, "jobs/pulls.html", context, partial="ways", status=status)


def _found(study: PieceStudy | None) -> dict[str, Any]:
    if study is None:
        return {}
    try:
        found = study_from_json(study.result or {})
    except GeometryError as error:
        return {"unreadable": str(error)}
    lines = [
        {"up": facing_said(position.up), "area_m2": position.area_mm2 / MM2_PER_M2} for position in found.positions.positions
    ]
    return {
        "found": found,
        "notes": study_remarks(found),
        "gauges": gauges_said(found.gauges),
        "positions": lines,
        "left_out_m2": found.positions.left_out_mm2 / MM2_PER_M2,
        "room_l": None if found.scrap is None else found.scrap.room_mm3 / MM3_PER_L,
    }
