"""How sure the estimate of a job is: ranges, what makes them, what to measure next, and a contingency taken from the curve."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from costing.engine.spread.results import OFFERED
from costing.errors import TermsChangedMeanwhile
from costing.forms.spread import ContingencyForm
from costing.inputs import planned_from, terms_of
from costing.services.spread import JobSpread, spread_of_job
from costing.services.terms import keep_terms
from costing.spread_drawing import cost_curve, share_bars
from costing.spread_figures import class_band, contingency_rows, driver_rows, measure_rows, range_rows, share_rows
from jobs.views.loading import context_of, job_or_404, load
from studio.access import Right, needs
from studio.figures import WorkingError
from studio.models import StudioProfile
from studio.web.htmx import render_page

TEMPLATE = "costing/spread.html"
PAGE = "costing:spread_show"


@needs(Right.SEE_MONEY)
@require_safe
def spread_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show how far a job's estimate may be off, and why."""
    return _page(request, number)


@needs(Right.CHANGE_QUOTES)
@require_POST
def spread_keep(request: HttpRequest, number: int) -> HttpResponse:
    """Keep in how many of 100 cases the price shall cover the cost, or that nothing is put aside."""
    job = job_or_404(number)
    form = ContingencyForm(request.POST)
    if not form.is_valid():
        return _page(request, number, form=form, status=422)
    values = {"contingency_percentile": form.percentile}
    try:
        keep_terms(job=job, values=values, revision=form.cleaned_data["revision"] or 0, by=request.user)  # type: ignore[arg-type]
    except TermsChangedMeanwhile as error:
        form = ContingencyForm(_at_revision(request.POST, terms_of(job).revision))
        form.is_valid()
        form.add_error(None, str(error))
        return _page(request, number, form=form, status=409)
    said = (
        "Nothing is put aside now."
        if form.percentile is None
        else f"The price now covers the cost in {form.percentile} of 100 cases."
    )
    messages.success(request, said)
    return redirect(PAGE, number=number)


def _at_revision(typed: QueryDict, revision: int) -> QueryDict:
    """Return what was chosen, against the newest terms, so that keeping it again replaces those."""
    data = typed.copy()
    data["revision"] = str(revision)
    return data


def _page(request: HttpRequest, number: int, *, form: ContingencyForm | None = None, status: int = 200) -> HttpResponse:
    page, profile = load(number), request.profile  # type: ignore[attr-defined]
    kept = terms_of(page.job)
    context: dict[str, Any] = {
        **context_of(request, page, here="price"),
        "kept": kept,
        "form": form or ContingencyForm(initial={"cases": kept.contingency_percentile or "", "revision": kept.revision}),
        "chosen": _chosen(form, kept.contingency_percentile),
        "may_quote": request.user.may(Right.CHANGE_QUOTES),  # type: ignore[union-attr]
    }
    if page.made is not None:
        try:
            context |= _sheet(spread_of_job(planned_from(page.plan, page.made), profile), profile)
        except WorkingError as error:
            context["refusal"] = error
    return render_page(request, TEMPLATE, context, status=status)


def _chosen(form: ContingencyForm | None, kept: int | None) -> int | None:
    """Return the row that is marked: what was chosen just now, or what is kept."""
    if form is None:
        return kept
    text = str(form.data.get("cases", ""))
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else None


def _sheet(found: JobSpread, profile: StudioProfile) -> dict[str, Any]:
    """Return the parts of the page in their order."""
    spread = found.spread
    shares, ranges, measures = share_rows(spread), range_rows(spread), measure_rows(spread)
    of_key = dict(zip((one.key for one in spread.ranges), ranges, strict=False))
    return {
        "found": found,
        "spread": spread,
        "ranges": ranges,
        "cost": of_key["cost"],
        "now": (of_key["price"].ends[0], of_key["price"].ends[2]),
        "first": measures[0] if measures else None,
        "curve": cost_curve(spread, found.asked, profile),
        "losing": round(spread.losing_percent),
        "band": class_band(found.estimate, spread),
        "shares": shares,
        "bars": share_bars([row.share for row in shares], profile),
        "measures": measures,
        "contingencies": contingency_rows(spread, OFFERED),
        "drivers": driver_rows(spread),
    }
