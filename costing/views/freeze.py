"""Writing a quote: looking over scope, castings, validity and terms, then freezing it under its number."""

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from costing.engine.estimate import Estimate
from costing.engine.options import total_figure
from costing.errors import CostingError
from costing.forms.offer import MOST_WORDS, OfferForm, initial_of
from costing.inputs import PlannedJob, planned, terms_of
from costing.services.content import line_text
from costing.services.offer import Offer, estimate_of, suggested_offer
from costing.services.options import fingerprint, options_of
from costing.services.pictures import pictures_there
from costing.services.quotes import freeze_quote, latest_quote
from jobs.errors import JobNotReady
from jobs.views.loading import job_or_404
from studio.access import Right, needs
from studio.figures import WorkingError
from studio.models import StudioProfile
from studio.web.htmx import render_page

TEMPLATE = "costing/freeze.html"
PARTIAL = "quote-lines"
DRAFT = "offer_draft"
MOST_LISTED = 20


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
        return _page(request, found, _draft_form(request, found), fresh=True)
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
            seen_options=values["seen_options"] or None,
            by=request.user,  # type: ignore[arg-type]
        )
    except (CostingError, JobNotReady, WorkingError) as error:
        form.add_error(None, str(error))
        return _page(request, found, form)
    request.session.pop(DRAFT, None)
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


@needs(Right.CHANGE_QUOTES)
@require_POST
def quote_draft(request: HttpRequest, number: int) -> HttpResponse:
    """Keep what is typed while somebody looks after the options, or drop it."""
    job = job_or_404(number)
    if request.POST.get("action") == "drop":
        request.session.pop(DRAFT, None)
        return redirect("costing:quote_freeze", number=number)
    typed = {name: request.POST.getlist(name)[:MOST_LISTED] for name in OfferForm.TYPED if name in request.POST}
    request.session[DRAFT] = {
        "job": job.pk,
        "typed": {name: [text[:MOST_WORDS] for text in texts] for name, texts in typed.items()},
    }
    return redirect("costing:options_show", number=number)


def _draft_form(request: HttpRequest, found: PlannedJob) -> OfferForm | None:
    """Return what was typed before somebody went to the options, or None."""
    draft = request.session.get(DRAFT) or {}
    if draft.get("job") != found.job.pk:
        return None
    data = QueryDict(mutable=True)
    for name, texts in draft["typed"].items():
        data.setlist(name, texts)
    return _form(found, data)


def _form(found: PlannedJob, data: QueryDict) -> OfferForm:
    return OfferForm(data, **_asked(found))


def _asked(found: PlannedJob) -> dict[str, Any]:
    """Return what the form asks for this job; terms that hold payments by stages leave no deposit to ask for."""
    return {
        "has_castings": found.mold.casting is not None,
        "in_stages": bool(terms_of(found.job).payment_stages),
        "pictures": pictures_there(found),
    }


def _page(
    request: HttpRequest, found: PlannedJob, form: OfferForm | None = None, *, partial: str = "", fresh: bool = False
) -> HttpResponse:
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
    options = options_of(found.job, profile)
    context |= {
        "form": form or _fresh(found, offer, total, version),
        "seen_total": total,
        "after_version": version,
        "latest": latest,
        "lines": _lines(found, estimate, profile),
        "estimate": estimate,
        "options": [
            (item, total_figure(key=f"with-option-{place}", lines=estimate.totals.gross, option=item.line))
            for place, item in enumerate(options, start=1)
        ],
        "seen_options": fingerprint(options),
        "drafted": fresh and form is not None,
    }
    return render_page(request, TEMPLATE, context, partial=partial, status=422 if refused and not fresh else 200)


def _fresh(found: PlannedJob, offer: Offer, total: Decimal, version: int) -> OfferForm:
    return OfferForm(initial=initial_of(offer, total=total, version=version), **_asked(found))


def _lines(found: PlannedJob, estimate: Estimate, profile: StudioProfile) -> list[tuple[str, Any]]:
    return [(line_text(line.kind, found, line.text, profile), line) for line in estimate.lines]
