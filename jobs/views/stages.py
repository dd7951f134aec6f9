"""The four pages of a plan: mold, coats, shell, castings; figures follow what is typed, kept or not."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from jobs.drawings import coats_drawing, strip_drawing
from jobs.errors import JobNotReady, NothingToUndo, PlanChangedMeanwhile
from jobs.forms.stages import StageForm
from jobs.geometry.takeoff import Takeoff
from jobs.inputs import takeoff_of
from jobs.mixing_table import coats_table
from jobs.models import Plan
from jobs.planning.results import MoldPlan
from jobs.services.plans import compute_so_far, is_whole, keep_plan, undo_plan
from jobs.task_table import task_table
from jobs.tones import cure_said
from jobs.views.loading import JobPage, context_of, load
from jobs.views.prints import printed_here
from jobs.views.pulls import pulls_context
from jobs.views.scrap_offers import scrap_offers
from jobs.views.stage_pages import STAGE_PAGES, StagePage
from jobs.views.study_states import study_state
from jobs.views.suitable import suitable_rubbers
from studio.access import Right, needs
from studio.figures import Figure
from studio.services.rates import current_rates
from studio.web import baseline
from studio.web.context import current_profile
from studio.web.htmx import render_page, wants_partial
from studio.web.working import shown_of

# Pages that offer to undo, and are shown again after it.
UNDO_ON = {**{key: page.url_name for key, page in STAGE_PAGES.items()}, "tasks": "jobs:tasks_show"}


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def mold_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show and change what the mold is made of."""
    return _stage(request, number, STAGE_PAGES["mold"])


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def coats_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show and change the coats, their mixes and weights."""
    return _stage(request, number, STAGE_PAGES["coats"])


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def shell_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show and change the shell."""
    return _stage(request, number, STAGE_PAGES["shell"])


@needs(Right.SEE_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def castings_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show and change the run of castings."""
    return _stage(request, number, STAGE_PAGES["castings"])


@needs(Right.CHANGE_JOBS)
@require_POST
def plan_undo(request: HttpRequest, number: int) -> HttpResponse:
    """Go back one change of the plan."""
    undo_and_say(request, load(number).plan)
    return redirect(UNDO_ON.get(request.POST.get("stage", ""), "jobs:job_show"), number=number)


def undo_and_say(request: HttpRequest, plan: Plan) -> None:
    """Go back one change of a plan, or say that there is none."""
    try:
        undo_plan(plan=plan, by=request.user)  # type: ignore[arg-type]
    except NothingToUndo as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The last change of the plan is undone. Undo once more to bring it back.")


def _stage(request: HttpRequest, number: int, stage: StagePage) -> HttpResponse:
    page = load(number)
    if request.method != "POST":
        form = stage.form(plan=page.plan)
        return _answer(request, page, stage, form, page.made, page.problem)
    before = baseline.read(request.POST.get(baseline.FIELD))
    form = stage.form(request.POST, plan=page.plan)
    if not form.is_valid():
        return _answer(request, page, stage, form, page.made, page.problem, before=before, status=422)
    if request.POST.get("action") == "keep":
        return _keep(request, page, stage, form, before)
    made, problem = _computed(form.unkept_plan())
    return _answer(request, page, stage, form, made, problem, before=before)


def _keep(request: HttpRequest, page: JobPage, stage: StagePage, form: StageForm, before: dict[str, str]) -> HttpResponse:
    if not request.user.may(Right.CHANGE_JOBS):  # type: ignore[union-attr]
        raise PermissionDenied("Your role in this studio does not let you change plans.")
    try:
        keep_plan(
            plan=page.plan,
            values=form.plan_values(),
            piece_values=form.piece_values(),
            revision=form.cleaned_data["revision"],
            by=request.user,  # type: ignore[arg-type]
        )
    except PlanChangedMeanwhile as conflict:
        # The next try stands on what the other person kept; everything typed here stays in the form.
        data = request.POST.copy()
        data["revision"] = str(job_revision(page))
        again = stage.form(data, plan=page.plan)
        again.is_valid()
        made, problem = _computed(again.unkept_plan())
        return _answer(request, page, stage, again, made, problem, before=before, conflict=str(conflict), status=409)
    messages.success(request, "The plan is kept.")
    return redirect(stage.url_name, number=page.job.number)


def job_revision(page: JobPage) -> int:
    """Return the revision that is kept right now."""
    return Plan.objects.values_list("revision", flat=True).get(pk=page.plan.pk)


def _computed(plan: Plan) -> tuple[MoldPlan | None, JobNotReady | None]:
    try:
        return compute_so_far(plan), None
    except JobNotReady as problem:
        return None, problem


def _answer(
    request: HttpRequest,
    page: JobPage,
    stage: StagePage,
    form: StageForm,
    made: MoldPlan | None,
    problem: JobNotReady | None,
    *,
    before: dict[str, str] | None = None,
    conflict: str = "",
    status: int = 200,
) -> HttpResponse:
    """Answer with the page or its figures; `before` is what the page showed when it was opened, None when it opens now."""
    frame = context_of(request, page, here=stage.key)
    titles = baseline.texts_of((item for item in frame["about"].figures if isinstance(item, Figure)), _text)
    if before is None:
        before = {**baseline.texts_of(stage.figures(page.made), _text), **titles} if page.made else {}
    context: dict[str, Any] = {
        **frame,
        # The title block is that of the kept plan: it follows when a study that was waited for is done.
        "again": wants_partial(request) and any(before.get(key, text) != text for key, text in titles.items()),
        "stage": stage,
        "form": form,
        "made": made,
        "problem": problem,
        "was": before,
        "baseline": baseline.write(before),
        "unkept": form.is_bound and (form.has_changed() or bool(form.errors)),
        "conflict": conflict,
        "shell_open": made is not None and not is_whole(made),
        "summary": list(stage.summary(made)) if made else [],
        "remarks": stage.remarks_of(made) if made else [],
        "cautions": stage.cautions(made.cautions) if made else (),
        "parts": stage.parts(made) if made else (),
        "troubles": stage.troubles_of(made) if made else (),
        "tasks": task_table(made, [task for task in made.tasks if task.stage in stage.stages] if made else []),
        **({} if wants_partial(request) or not stage.prints else printed_here(page.job, stage.prints)),
        **_extras(page, stage, form, made),
    }
    return render_page(request, stage.template, context, partial="figures", status=status)


def _extras(page: JobPage, stage: StagePage, form: StageForm, made: MoldPlan | None) -> dict[str, Any]:
    """Drawings and suggestions that one page shows and the others do not."""
    if stage.key == "mold":
        plan = form.unkept_plan() if form.is_bound and form.is_valid() else page.plan
        takeoff = _measured(page)
        rates = current_rates()
        rubbers = suitable_rubbers(
            plan,
            said=cure_said(made.verdict) if made else "",
            rates=rates,
            longest_mm=max(takeoff.box_mm) if takeoff else None,
            area_m2=takeoff.area.value if takeoff else None,
        )
        chosen = next((line.rubber for line in rubbers if line.rubber.key == plan.rubber_id), None)
        return {
            "rubbers": rubbers,
            "scrap_offers": scrap_offers(plan, made, rubber=chosen, rates=rates, profile=current_profile()),
            "drawing": coats_drawing(page.plan, takeoff, made) if takeoff and made else None,
            "form_rubber": plan.rubber_id,
            "study_state": study_state(page.plan),
        }
    if stage.key == "shell":
        found = pulls_context(page)
        state = found["study_state"]
        return {**found, "state_above": state.busy or state.refused}
    if stage.key == "coats" and made is not None:
        takeoff = takeoff_of(page.job.piece)
        section = coats_drawing(page.plan, takeoff, made) if takeoff else None
        return {"drawing": strip_drawing(made), "section": section, "mixes": coats_table(made)}
    return {}


def _measured(page: JobPage) -> Takeoff | None:
    """Return the takeoff where there is one that can be read; what is wrong with another is said above the page."""
    try:
        return takeoff_of(page.job.piece)
    except JobNotReady:
        return None


def _text(figure: Figure) -> str:
    return str(shown_of(figure, current_profile()))
