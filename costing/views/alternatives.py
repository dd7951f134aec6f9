"""Alternatives of a job: every way of doing it beside the plan in use, one taken up, copies kept, removed and brought back."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from costing.alternatives_drawing import ways_drawing
from costing.engine.frontier.reading import Reading, labour_rate_from
from costing.errors import NothingToPutBack, TermsChangedMeanwhile
from costing.forms.copies import CopyForm
from costing.forms.stance import FIELDS, KeepHourForm, StanceForm
from costing.inputs import terms_of
from costing.services.alternatives import PlannedWays, plan_ways, table_of
from costing.services.readings import readings_of
from costing.services.stances import keep_hour
from costing.services.terms import put_back_terms
from jobs.errors import CopyRefused, JobNotReady, PlanChangedMeanwhile, WayGone
from jobs.models import Plan
from jobs.services.alternatives import take_copy, take_way, ways_of
from jobs.services.copies import bring_back_copy, keep_copy, remove_copy
from jobs.services.plans import plan_of
from jobs.views.loading import JobPage, context_of, job_or_404, load, may_change
from jobs.views.stages import undo_and_say
from studio.access import Right, needs
from studio.figures import WorkingError
from studio.models import StudioProfile
from studio.web.baseline import texts_of
from studio.web.htmx import render_page, wants_partial
from studio.web.working import figure_text

TEMPLATE = "costing/alternatives.html"
PAGE = "costing:alternatives_show"
PARTIAL = "ways"
# The copy removed last, in the session of whoever removed it.
REMOVED = "removed_copy"
LARGEST = 2_000_000_000


@needs(Right.SEE_JOBS)
@require_safe
def alternatives_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show every way of doing a job: hours, rubber, and what it costs where money may be seen, for whoever pays for it."""
    if wants_partial(request):
        return _part(request, number)
    return _page(request, load(number))


@needs(Right.CHANGE_JOBS)
@require_POST
def alternative_take(request: HttpRequest, number: int) -> HttpResponse:
    """Take an alternative or a kept copy up in place of the plan in use."""
    page, revision = load(number), _whole(request, "revision")
    try:
        if "copy" in request.POST:
            label = take_copy(plan=page.plan, pk=_whole(request, "copy"), revision=revision, by=request.user).name  # type: ignore[arg-type]
        else:
            key = request.POST.get("way", "")
            label = take_way(plan=page.plan, key=key, revision=revision, by=request.user).label  # type: ignore[arg-type]
    except JobNotReady:
        return redirect(PAGE, number=number)
    except (PlanChangedMeanwhile, WayGone, CopyRefused) as conflict:
        return _page(request, load(number), conflict=str(conflict), status=409)
    messages.success(request, f"“{label}” is the plan in use now. Undo the last change to go back.")
    return redirect(PAGE, number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def alternatives_back(request: HttpRequest, number: int) -> HttpResponse:
    """Go back one change of the plan, and stay here."""
    undo_and_say(request, load(number).plan)
    return redirect(PAGE, number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def copy_keep(request: HttpRequest, number: int) -> HttpResponse:
    """Keep a copy of the plan in use under a name."""
    page, form = load(number), CopyForm(request.POST)
    if form.is_valid():
        try:
            row = keep_copy(plan=page.plan, name=form.cleaned_data["name"], by=request.user)  # type: ignore[arg-type]
        except CopyRefused as refused:
            form.add_error("name", str(refused))
        else:
            messages.success(request, f"A copy of the plan in use is kept as “{row.name}”.")
            return redirect(PAGE, number=number)
    return _page(request, page, form=form, status=422)


@needs(Right.CHANGE_JOBS)
@require_POST
def copy_remove(request: HttpRequest, number: int) -> HttpResponse:
    """Remove a copy; until another is removed it can be brought back."""
    page = load(number)
    try:
        request.session[REMOVED] = remove_copy(job=page.job, pk=_whole(request, "copy"))
    except CopyRefused as refused:
        messages.error(request, str(refused))
    return redirect(PAGE, number=number)


@needs(Right.CHANGE_JOBS)
@require_POST
def copy_back(request: HttpRequest, number: int) -> HttpResponse:
    """Bring the copy back that was removed last."""
    page, told = load(number), request.session.get(REMOVED) or {}
    try:
        row = bring_back_copy(job=page.job, told=told, by=request.user)  # type: ignore[arg-type]
    except CopyRefused as refused:
        messages.error(request, str(refused))
    else:
        del request.session[REMOVED]
        messages.success(request, f"“{row.name}” is back.")
    return redirect(PAGE, number=number)


@needs(Right.CHANGE_QUOTES)
@require_POST
def alternatives_keep_hour(request: HttpRequest, number: int) -> HttpResponse:
    """Keep the hour that was tried as this job's labour rate."""
    page = load(number)
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    form = KeepHourForm(request.POST, profile=profile)
    if not form.is_valid():
        fault = next(iter(form.errors.values()))[0]
        return _page(request, page, conflict=f"No rate was kept: {fault}", status=422)
    reading, hour = Reading(form.cleaned_data["whose"]), form.cleaned_data["hour"]
    tried = {"whose": reading.value, FIELDS[reading]: request.POST.get("hour", "")}
    try:
        keep_hour(
            job=page.job, reading=reading, hour=hour, revision=form.cleaned_data["revision"], profile=profile,
            by=request.user,  # type: ignore[arg-type]
        )  # fmt: skip
    except TermsChangedMeanwhile as changed:
        return _page(request, page, conflict=str(changed), tried=tried, status=409)
    except WorkingError as refused:
        return _page(request, page, conflict=str(refused), tried=tried, status=422)
    messages.success(request, "This rate is kept for the job; its price and its quote count with it now.")
    return redirect(f"{reverse(PAGE, kwargs={'number': number})}?whose={reading.value}")


@needs(Right.CHANGE_QUOTES)
@require_POST
def alternatives_hour_back(request: HttpRequest, number: int) -> HttpResponse:
    """Put the terms before the last change back, and stay here."""
    try:
        put_back_terms(job=job_or_404(number), by=request.user)  # type: ignore[arg-type]
    except NothingToPutBack as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The terms before the last change are back.")
    return redirect(PAGE, number=number)


def _page(
    request: HttpRequest,
    page: JobPage,
    *,
    form: CopyForm | None = None,
    conflict: str = "",
    tried: Mapping[str, Any] | None = None,
    status: int = 200,
) -> HttpResponse:
    told = request.session.get(REMOVED) or {}
    context: dict[str, Any] = {
        **context_of(request, page, here="alternatives"),
        "form": form or CopyForm(),
        "conflict": conflict,
        "removed": told.get("name", "") if told.get("job") == page.job.pk else "",
    }
    _add_ways(request, page.plan, context, tried)
    stance: StanceForm | None = context.get("stance")
    wrong = stance is not None and stance.is_bound and not stance.is_valid()
    return render_page(request, TEMPLATE, context, status=422 if wrong and status == 200 else status)


def _part(request: HttpRequest, number: int) -> HttpResponse:
    """Answer with the ways alone: no title block, and so no plan beside those of the ways."""
    job = job_or_404(number)
    plan = plan_of(job)
    context: dict[str, Any] = {
        "job": job, "plan": plan, "here": "alternatives", "may_change": may_change(request),
        "may_see_money": request.user.may(Right.SEE_MONEY),  # type: ignore[union-attr]
    }  # fmt: skip
    _add_ways(request, plan, context, None)
    stance: StanceForm | None = context.get("stance")
    wrong = stance is not None and stance.is_bound and not stance.is_valid()
    return render_page(request, TEMPLATE, context, partial=PARTIAL, status=422 if wrong else 200)


def _add_ways(request: HttpRequest, plan: Plan, context: dict[str, Any], tried: Mapping[str, Any] | None) -> None:
    """Plan all ways once, and count them for the reading that is asked for beside what counts now."""
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    try:
        planned = plan_ways(plan, ways_of(plan), profile)
        if context["may_see_money"]:
            context |= _counted(request, planned, profile, tried)
        else:
            table = table_of(planned, None)
            context |= {"table": table, "drawing": ways_drawing(table, profile)}
    except JobNotReady as problem:
        context["problem"] = problem
    except WorkingError as error:
        context["refusal"] = error


def _counted(
    request: HttpRequest, planned: PlannedWays, profile: StudioProfile, tried: Mapping[str, Any] | None
) -> dict[str, Any]:  # fmt: skip
    asked = tried or (request.GET.dict() if "whose" in request.GET else None)
    form = StanceForm(asked, terms=planned.terms, price=planned.rubber_price, profile=profile)
    now, table = form.now, table_of(planned, form.stance)
    before = table_of(planned, now) if form.moved else None
    return {
        "stance": form,
        "sliders": form.sliders(),
        "hour_text": form.data.get(FIELDS[form.reading], ""),
        "labour_rate": _labour_rate(form, planned),
        "rubber_name": planned.plan.rubber.name if planned.plan.rubber else "rubber",
        "table": table,
        "before": before,
        "was": {} if before is None else texts_of(before.figures(), lambda figure: figure_text(figure, profile)),
        "drawing": ways_drawing(table, profile, before),
        "readings": readings_of(planned, (form.stance_of(Reading.OWN), form.stance_of(Reading.CLIENT))),
        "revision": planned.revision,
        "kept_terms": terms_of(planned.plan.job),
        "may_quote": request.user.may(Right.CHANGE_QUOTES),  # type: ignore[union-attr]
    }


def _labour_rate(form: StanceForm, planned: PlannedWays) -> Decimal | None:
    """Return the labour rate that keeping the hour tried would give, or None where overhead alone is more."""
    hour = form.stance.hour
    if hour is None or not form.hour_moved:
        return None
    try:
        return labour_rate_from(form.reading, Decimal(str(hour.value)), planned.terms)
    except WorkingError:
        return None


def _whole(request: HttpRequest, name: str) -> int:
    """Read a whole number that the page wrote; what it did not write fits nothing."""
    text = request.POST.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and int(text[:12]) < LARGEST and len(text) < 12 else -1
