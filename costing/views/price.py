"""The price page of a job: its estimate, and terms to try, keep and put back."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from costing.engine.estimate import Estimate, make_estimate
from costing.errors import TermsChangedMeanwhile
from costing.forms.terms import TermsForm, initial_of
from costing.inputs import PlannedJob, bench_week, brief_of, planned, planned_from, terms_of, terms_values
from costing.models import PriceTerms, Quote
from costing.services.spread import with_contingency
from costing.services.terms import keep_terms, with_values
from costing.views.kept_terms import at_newest_revision, put_back_and_say
from costing.views.sheet import remembered, sheet_of
from jobs.errors import JobNotReady
from jobs.models import Job
from jobs.views.loading import JobPage, context_of, job_or_404, load
from studio.access import Right, needs
from studio.figures import WorkingError
from studio.models import StudioProfile
from studio.web import baseline
from studio.web.htmx import render_page, wants_partial

TEMPLATE = "costing/price.html"
PARTIAL = "price-figures"


@needs(Right.SEE_MONEY)
@require_safe
def price_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show what a job costs and what to ask for it."""
    return _whole_page(request, number)


@needs(Right.SEE_MONEY)
@require_POST
def price_try(request: HttpRequest, number: int) -> HttpResponse:
    """Show the figures that typed terms would give; nothing is kept."""
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    form = TermsForm(request.POST, profile=profile)
    if not wants_partial(request):
        return _whole_page(request, number, form=form)
    job = job_or_404(number)
    before = baseline.read(request.POST.get(baseline.FIELD))
    context: dict[str, Any] = {"job": job, "form": form, "was": before, "tried": True}
    terms = with_values(job, form.terms) if form.is_valid() else terms_of(job)
    try:
        context |= sheet_of(_priced(planned(job), terms, profile), profile)
    except (JobNotReady, WorkingError) as error:
        context["problem"] = error
    return render_page(request, TEMPLATE, context, partial=PARTIAL, status=200 if form.is_valid() else 422)


@needs(Right.CHANGE_QUOTES)
@require_POST
def price_keep(request: HttpRequest, number: int) -> HttpResponse:
    """Keep the typed terms."""
    job = job_or_404(number)
    form = TermsForm(request.POST, profile=request.profile)  # type: ignore[attr-defined]
    if not form.is_valid():
        return _whole_page(request, number, form=form)
    try:
        keep_terms(job=job, values=form.terms, revision=form.cleaned_data["revision"] or 0, by=request.user)  # type: ignore[arg-type]
    except TermsChangedMeanwhile as error:
        form = TermsForm(at_newest_revision(request.POST, job), profile=request.profile)  # type: ignore[attr-defined]
        form.is_valid()
        form.add_error(None, str(error))
        return _whole_page(request, number, form=form)
    messages.success(request, "These terms are kept for this job.")
    return redirect("costing:price_show", number=job.number)


@needs(Right.CHANGE_QUOTES)
@require_POST
def price_back(request: HttpRequest, number: int) -> HttpResponse:
    """Put the terms before the last change back."""
    job = job_or_404(number)
    put_back_and_say(request, job)
    return redirect("costing:price_show", number=job.number)


def _whole_page(request: HttpRequest, number: int, *, form: TermsForm | None = None) -> HttpResponse:
    """Answer with the whole page; a form that was typed into shows its own figures against those it started from."""
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    page = load(number)
    kept = terms_of(page.job)
    context = context_of(request, page, here="price")
    context |= {
        "form": form or TermsForm(initial=initial_of(kept), profile=profile),
        "kept": kept,
        "tried": form is not None,
        "quote": Quote.objects.filter(job=page.job).for_list().first(),
        "may_quote": request.user.may(Right.CHANGE_QUOTES),  # type: ignore[union-attr]
    }
    refused = form is not None and not form.is_valid()
    if page.made is not None:
        context |= _figures(request, page, page.job, kept, form if form is not None and not refused else None)
    return render_page(request, TEMPLATE, context, status=422 if refused else 200)


def _figures(request: HttpRequest, page: JobPage, job: Job, kept: PriceTerms, form: TermsForm | None) -> dict[str, Any]:
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    assert page.made is not None
    found = planned_from(page.plan, page.made)
    terms = with_values(job, form.terms) if form is not None else kept
    try:
        estimate = _priced(found, terms, profile)
    except WorkingError as error:
        return {"problem": error}
    raw = request.POST.get(baseline.FIELD) or remembered(estimate, profile)
    return {**sheet_of(estimate, profile), "baseline": raw[: baseline.MOST_CHARACTERS], "was": baseline.read(raw)}


def _priced(found: PlannedJob, terms: PriceTerms, profile: StudioProfile) -> Estimate:
    brief = brief_of(found, terms_values(terms, profile, week_h=bench_week()), profile)
    return make_estimate(with_contingency(brief, found))
