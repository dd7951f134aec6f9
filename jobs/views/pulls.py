"""Pulls and pieces: the ways found on the shape, one of them taken, pulls and a parting fixed or released."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from jobs.errors import PlanChangedMeanwhile
from jobs.forms.pulls import PullsForm, TakeWayForm
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PIECE_COUNTS
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.directions_said import pull_said
from jobs.models import Plan
from jobs.services.plans import keep_plan
from jobs.studies.asking import study_for
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
        looked, note = looked_from(request.GET, page.plan)
        return _answer(request, page, PullsForm(plan=page.plan, looked=looked), note=note)
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


def looked_from(asked: Mapping[str, str], plan: Plan) -> tuple[Direction | None, str]:
    """Return the way from which somebody looked at the piece, and what is to be said of it; None without one.

    `asked` holds `around` and `lift` in degrees, as the turning view writes them. On a board nothing is pulled down.
    """
    try:
        around, lift = float(asked["around"]), float(asked["lift"])
        below = lift < 0 and plan.job.piece.stands_on_board
        way = direction(around, 0.0 if below else lift)
    except (KeyError, ValueError, GeometryError):
        return None, ""
    count, fixed = plan.shell_pieces, len(plan.pinned_pulls)
    if count not in PIECE_COUNTS:
        return None, ""
    if fixed >= count:
        return None, "All pulls are fixed already. Clear one and keep that; then look again and take the way you look."
    low = " You looked from below; a piece on a board is not pulled down, so it is level." if below else ""
    return way, f"The way you looked stands in pull {fixed + 1}: {pull_said(way)}.{low} It counts once you keep it."


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


def _answer(
    request: HttpRequest, page: JobPage, form: PullsForm, *, conflict: str = "", note: str = "", status: int = 200
) -> HttpResponse:
    own = {"conflict": conflict, "looked": note}
    context = {**context_of(request, page, here="shell"), **pulls_context(page, form), **own}
    return render_page(request, "jobs/pulls.html", context, partial="ways", status=status)
