"""The page of a job's run: what castings cost at every quantity, practice, molds, and days; learning and molds are kept here."""

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from costing.errors import TermsChangedMeanwhile
from costing.forms.runs import RunForm, initial_of
from costing.inputs import PlannedJob, planned, planned_from, terms_of
from costing.models import PriceTerms
from costing.runs_drawing import LINES, choice_drawing, run_drawing
from costing.services.runs import FIELDS, RunSheet, run_sheet, with_run_values
from costing.services.terms import keep_terms
from costing.views.kept_terms import at_newest_revision, put_back_and_say
from jobs.errors import JobNotReady
from jobs.views.loading import context_of, job_or_404, load
from studio.access import Right, needs
from studio.figures import Figure, WorkingError
from studio.models import StudioProfile
from studio.web import baseline
from studio.web.htmx import render_page, wants_partial
from studio.web.working import shown_of

TEMPLATE = "costing/runs.html"
PARTIAL = "run-figures"
PAGE = "costing:run_show"


@needs(Right.SEE_MONEY)
@require_safe
def run_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show a job's run."""
    return _whole_page(request, number)


@needs(Right.SEE_MONEY)
@require_POST
def run_try(request: HttpRequest, number: int) -> HttpResponse:
    """Show what typed numbers would do; nothing is kept."""
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    form = RunForm(request.POST, profile=profile)
    if not wants_partial(request):
        return _whole_page(request, number, form=form)
    job = job_or_404(number)
    context: dict[str, Any] = {"job": job, "form": form, "tried": True, "was": baseline.read(request.POST.get(baseline.FIELD))}
    try:
        context |= _sheet_context(_sheet(planned(job), terms_of(job), profile, form), profile)
    except (JobNotReady, WorkingError) as error:
        context["refusal"] = error
    return render_page(request, TEMPLATE, context, partial=PARTIAL, status=200 if form.is_valid() else 422)


@needs(Right.CHANGE_QUOTES)
@require_POST
def run_keep(request: HttpRequest, number: int) -> HttpResponse:
    """Keep the learning rate, its model and the further molds among the terms of the job."""
    job = job_or_404(number)
    form = RunForm(request.POST, profile=request.profile)  # type: ignore[attr-defined]
    if not form.is_valid():
        return _whole_page(request, number, form=form)
    values = {name: form.cleaned_data[name] for name in FIELDS}
    try:
        keep_terms(job=job, values=values, revision=form.cleaned_data["revision"] or 0, by=request.user)  # type: ignore[arg-type]
    except TermsChangedMeanwhile as error:
        form = RunForm(at_newest_revision(request.POST, job), profile=request.profile)  # type: ignore[attr-defined]
        form.is_valid()
        form.add_error(None, str(error))
        return _whole_page(request, number, form=form)
    messages.success(request, "Learning and further molds are kept among the terms of this job; its price follows them.")
    return redirect(PAGE, number=job.number)


@needs(Right.CHANGE_QUOTES)
@require_POST
def run_back(request: HttpRequest, number: int) -> HttpResponse:
    """Put the terms before the last change back, and stay here."""
    job = job_or_404(number)
    put_back_and_say(request, job)
    return redirect(PAGE, number=job.number)


def _whole_page(request: HttpRequest, number: int, *, form: RunForm | None = None) -> HttpResponse:
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    page = load(number)
    kept = terms_of(page.job)
    casting = page.made.casting if page.made else None
    context = context_of(request, page, here="price")
    context |= {
        "form": form or RunForm(initial=initial_of(kept, casting.count if casting else 0), profile=profile),
        "kept": kept,
        "tried": form is not None,
        "may_quote": request.user.may(Right.CHANGE_QUOTES),  # type: ignore[union-attr]
    }
    if page.made is not None:
        try:
            sheet = _sheet(planned_from(page.plan, page.made), kept, profile, form)
        except WorkingError as error:
            context["refusal"] = error
        else:
            raw = request.POST.get(baseline.FIELD) or (_remembered(sheet, profile) if sheet else "")
            context |= _sheet_context(sheet, profile)
            context |= {"baseline": raw[: baseline.MOST_CHARACTERS], "was": baseline.read(raw)}
    refused = form is not None and not form.is_valid()
    return render_page(request, TEMPLATE, context, status=422 if refused else 200)


def _sheet(found: PlannedJob, kept: PriceTerms, profile: StudioProfile, form: RunForm | None) -> RunSheet | None:
    """Reckon the run with what was typed; with what is kept where that does not read."""
    if form is None or not form.is_valid():
        return run_sheet(found, kept, profile)
    typed = form.cleaned_data
    return run_sheet(found, with_run_values(kept, typed), profile, count=typed["castings"], standing=typed["standing"])


def _sheet_context(sheet: RunSheet | None, profile: StudioProfile) -> dict[str, Any]:
    if sheet is None:
        return {"sheet": None}
    further = sheet.estimate.further
    life, one = sheet.life, sheet.estimate.one_more
    return {
        "sheet": sheet,
        "lines": LINES,
        "drawing": run_drawing(sheet.curve, sheet.count, profile),
        "bars": choice_drawing(life.choice, one.cost.value, profile, decided=further.count if further else None)
        if life and one
        else "",
    }


def _shown_figures(sheet: RunSheet) -> Iterator[Figure]:
    """Go through every figure that the page shows."""
    for point in sheet.rows:
        yield from (point.run.each.hours, point.run.each.cost, point.run.each.price, point.cost_with, point.price_with)
    for row in sheet.practice:
        yield from (row.first, row.last, row.mean, row.whole)
    if sheet.break_even is not None:
        yield sheet.break_even
    for dated in sheet.parts:
        yield from (dated.part.cast_day, dated.part.ready_day)
    if sheet.life is not None:
        yield from (sheet.life.used, sheet.life.stops, sheet.life.rule)
        for choice in sheet.life.choice.rows:
            yield from (choice.stops, choice.later, choice.cost)


def _remembered(sheet: RunSheet, profile: StudioProfile) -> str:
    texts = baseline.texts_of(_shown_figures(sheet), lambda figure: str(shown_of(figure, profile)))
    return baseline.write(texts)
