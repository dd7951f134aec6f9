"""After the job: what really happened is noted, and held against the plan."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from costing.after_drawing import hours_drawing, money_drawing
from costing.forms.after import CastingsForm, MinutesForm, OtherWorkForm, SpendForm
from costing.services.after import PlanThen, compare, plan_then
from costing.services.facts import facts_of
from costing.services.plan_numbers import PlannedTask
from jobs.errors import WorkRefused
from jobs.models import CastingsTally, Job, JobSpend, WorkDone
from jobs.services import work_done
from jobs.views.loading import JobPage, context_of, load
from studio.access import Right, account_of, needs
from studio.models import StudioProfile
from studio.web.htmx import render_page
from studio.workrates import Stage

TEMPLATE, PAGE = "costing/after.html", "costing:after_show"
LARGEST = 2_000_000_000
STAGES = {one.value for one in Stage}


@needs(Right.SEE_JOBS)
@require_safe
def after_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show what was noted of a job, its plan against what came out, and the forms to note more."""
    return _page(request, load(number))


@needs(Right.CHANGE_JOBS)
@require_POST
def after_minutes(request: HttpRequest, number: int) -> HttpResponse:
    """Note minutes of planned tasks."""
    page = load(number)
    form = _minutes_form(request, page, _then(request, page), data=request.POST)

    def note() -> str:
        typed = form.cleaned_data
        noted = work_done.note_minutes(
            job=page.job, lines=form.lines(), done_on=typed["done_on"], person=typed["person"], note=typed["note"],
            key=typed["key"], by=account_of(request),
        )  # fmt: skip
        return "The minutes of 1 task are noted." if len(noted) == 1 else f"The minutes of {len(noted)} tasks are noted."

    return _noted(request, page, form, note, name="minutes")


@needs(Right.CHANGE_JOBS)
@require_POST
def after_work(request: HttpRequest, number: int) -> HttpResponse:
    """Note work that was not planned."""
    page, form = load(number), OtherWorkForm(request.POST, prefix="work")

    def note() -> str:
        typed = form.cleaned_data
        work_done.note_minutes(
            job=page.job, lines=[form.line()], done_on=typed["done_on"], person=typed["person"], key=typed["key"],
            by=account_of(request),
        )  # fmt: skip
        return f"“{typed['label']}” is noted."

    return _noted(request, page, form, note, name="work")


@needs(Right.SEE_MONEY)
@require_POST
def after_spend(request: HttpRequest, number: int) -> HttpResponse:
    """Note money spent besides stock."""
    if not account_of(request).may(Right.CHANGE_JOBS):
        raise PermissionDenied("Your role in this studio does not let you change jobs.")
    page, form = load(number), SpendForm(request.POST, prefix="spend")

    def note() -> str:
        row = work_done.note_spend(job=page.job, by=account_of(request), **form.cleaned_data)
        return f"“{row.text}” is noted."

    return _noted(request, page, form, note, name="spend")


@needs(Right.CHANGE_JOBS)
@require_POST
def after_castings(request: HttpRequest, number: int) -> HttpResponse:
    """Note castings, good and spoiled."""
    page, form = load(number), CastingsForm(request.POST, prefix="castings")

    def note() -> str:
        work_done.note_castings(job=page.job, by=account_of(request), **form.cleaned_data)
        return "The castings are noted."

    return _noted(request, page, form, note, name="castings")


@needs(Right.CHANGE_JOBS)
@require_POST
def after_line(request: HttpRequest, number: int) -> HttpResponse:
    """Take a line back, or count it again."""
    page, kind, raw = load(number), request.POST.get("kind", ""), request.POST.get("line", "")
    if kind == "spend" and not account_of(request).may(Right.SEE_MONEY):
        raise PermissionDenied("Your role in this studio does not let you see costs.")
    pk = int(raw) if raw.isascii() and raw.isdecimal() and len(raw) < 11 and int(raw) < LARGEST else 0
    try:
        if request.POST.get("change") == "again":
            work_done.count_again(job=page.job, kind=kind, pk=pk)
            messages.success(request, "The line counts again.")
        else:
            work_done.take_back(job=page.job, kind=kind, pk=pk, by=account_of(request))
            messages.success(request, "The line is taken back. It stays readable, and can be counted again.")
    except WorkRefused as refused:
        messages.error(request, str(refused))
    return redirect(PAGE, number=number)


def _noted(request: HttpRequest, page: JobPage, form: Any, note: Callable[[], str], *, name: str) -> HttpResponse:
    if form.is_valid():
        try:
            said = note()
        except WorkRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, said)
            return redirect(PAGE, number=page.job.number)
    return _page(request, page, forms={name: form}, status=422)


def _page(request: HttpRequest, page: JobPage, *, forms: dict[str, Any] | None = None, status: int = 200) -> HttpResponse:
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    context = context_of(request, page, here="after")
    money, then, given = context["may_see_money"], _then(request, page), forms or {}
    facts = facts_of([page.job])[page.job.pk]
    anything = bool(facts.work or facts.used or facts.tallies or (facts.spend and money))
    found = compare(page.job, then, profile, facts) if then is not None and anything else None
    person = getattr(account_of(request), "person", None)
    if context["may_change"]:
        context |= {
            "minutes": given.get("minutes") or _minutes_form(request, page, then),
            "other": given.get("work") or OtherWorkForm(prefix="work", initial={"person": person}),
            "castings_form": given.get("castings") or CastingsForm(prefix="castings"),
            "spend_form": (given.get("spend") or SpendForm(prefix="spend")) if money else None,
        }
    context |= {
        "then": then,
        "found": found,
        "hours_drawing": hours_drawing(found, profile) if found else "",
        "money_drawing": money_drawing(found, profile) if found and money else "",
        "noted": _lines(page.job, money=money),
    }
    return render_page(request, TEMPLATE, context, status=status)


def _then(request: HttpRequest, page: JobPage) -> PlanThen | None:
    made = None if page.made is None else (page.plan, page.made)
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    return plan_then(page.job, profile, made) if page.made is not None or page.problem is not None else None


def _minutes_form(request: HttpRequest, page: JobPage, then: PlanThen | None, data: Any = None) -> MinutesForm:
    """Ask for the tasks of the plan that counts, and for those of the plan in use that it does not have."""
    tasks = [] if then is None else [(task, True) for task in then.numbers.tasks]
    known = {task.key for task, _ in tasks}
    tasks += [
        (PlannedTask(key=task.key, label=task.label, stage=task.stage.value, minutes=task.minutes.value), False)
        for task in (page.made.tasks if page.made else ())
        if task.key not in known
    ]
    noted = work_done.minutes_by_task(WorkDone.objects.filter(job=page.job, taken_back_at=None))
    tasks = [(task if task.stage in STAGES else replace(task, stage=Stage.PREPARE.value), planned) for task, planned in tasks]
    return MinutesForm(
        data, tasks=tasks, noted=noted, suggested=work_done.suggestions(page.job),
        initial={"person": getattr(account_of(request), "person", None)},
    )  # fmt: skip


def _lines(job: Job, *, money: bool) -> list[tuple[str, Any]]:
    """Return everything that was noted of a job, the newest first, with its kind."""
    kinds: dict[str, Any] = {"work": WorkDone, "castings": CastingsTally} | ({"spend": JobSpend} if money else {})
    people = ("noted_by", "taken_back_by")
    rows = [
        (kind, row)
        for kind, model in kinds.items()
        for row in model.objects.filter(job=job).select_related(*people, *(("person",) if kind == "work" else ()))
    ]
    return sorted(rows, key=lambda one: (one[1].noted_at, one[1].pk), reverse=True)
