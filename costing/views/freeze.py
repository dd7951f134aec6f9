"""Writing a quote: looking over scope, castings, validity and terms, then freezing it under its number."""

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from costing.engine.estimate import Estimate
from costing.errors import CostingError
from costing.forms.offer import OfferForm, initial_of
from costing.inputs import PlannedJob, planned
from costing.services.content import line_text
from costing.services.offer import Offer, estimate_of, suggested_offer
from costing.services.quotes import freeze_quote, latest_quote
from jobs.errors import JobNotReady
from jobs.views.loading import job_or_404
from studio.access import Right, needs
from studio.figures import WorkingError
from studio.models import StudioProfile
from studio.web.htmx import render_page

TEMPLATE = "costing/freeze.html"
PARTIAL = "quote-lines"


@needs(Right.CHANGE_QUOTES)
@require_http_methods(["GET", "HEAD", "POST"])
def quote_freeze(request: HttpRequest, number: int) -> HttpResponse:
    """Show the offer to look over; on POST freeze and number it."""
    job = job_or_404(number)
    try:
        found = planned(job)
    except JobNotReady as problem:
        return render_page(request, TEMPLATE, {"job": job, "problem": problem}, status=200 if request.method != "POST" else 422)
    if request.method != "POST":
        return _page(request, found)
    form = _form(found, request.POST)
    if not form.is_valid():
        return _page(request, found, form)
    values = form.cleaned_data
    try:
        quote = freeze_quote(
            job=job,
            offer=form.offer,
            seen_total=values["seen_total"],
            after_version=values["after_version"],
            by=request.user,  # type: ignore[arg-type]
        )
    except (CostingError, JobNotReady, WorkingError) as error:
        form.add_error(None, str(error))
        return _page(request, found, form)
    messages.success(request, f"{quote} is frozen and numbered. Its print is being made.")
    return redirect("costing:quote_show", number=quote.number, version=quote.version)


@needs(Right.CHANGE_QUOTES)
@require_POST
def quote_try(request: HttpRequest, number: int) -> HttpResponse:
    """Show the lines and totals that the typed offer would have; nothing is frozen."""
    job = job_or_404(number)
    try:
        found = planned(job)
    except JobNotReady as problem:
        return render_page(request, TEMPLATE, {"job": job, "problem": problem}, partial=PARTIAL, status=422)
    return _page(request, found, _form(found, request.POST), partial=PARTIAL)


def _form(found: PlannedJob, data: QueryDict) -> OfferForm:
    return OfferForm(data, has_castings=found.mold.casting is not None)


def _page(request: HttpRequest, found: PlannedJob, form: OfferForm | None = None, *, partial: str = "") -> HttpResponse:
    """Answer with the form and the lines it gives; the hidden total is the one that these lines show."""
    profile: StudioProfile = request.profile  # type: ignore[attr-defined]
    refused = form is not None and bool(form.errors)
    offer = form.offer if form is not None and form.fields_are_valid else suggested_offer(found, profile)
    context: dict[str, Any] = {"job": found.job, "mold": found.mold}
    try:
        estimate = estimate_of(found, profile, offer)
    except WorkingError as error:
        context |= {"problem": error, "form": form}
        return render_page(request, TEMPLATE, context, partial=partial, status=422)
    latest = latest_quote(found.job)
    total, version = estimate.totals.exact.gross, latest.version if latest else 0
    context |= {
        "form": form or _fresh(found, offer, total, version),
        "seen_total": total,
        "after_version": version,
        "latest": latest,
        "lines": _lines(found, estimate, profile),
        "estimate": estimate,
    }
    return render_page(request, TEMPLATE, context, partial=partial, status=422 if refused else 200)


def _fresh(found: PlannedJob, offer: Offer, total: Decimal, version: int) -> OfferForm:
    return OfferForm(initial=initial_of(offer, total=total, version=version), has_castings=found.mold.casting is not None)


def _lines(found: PlannedJob, estimate: Estimate, profile: StudioProfile) -> list[tuple[str, Any]]:
    return [(line_text(line.kind, found, line.text, profile), line) for line in estimate.lines]
