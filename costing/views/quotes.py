"""Quotes: the list, one with its versions, its marks and its print."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import prefetch_related_objects
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from costing.client.reading import ticked_in
from costing.forms.answer import ToldForm
from costing.forms.filters import QuotesFilterForm
from costing.frozen import read_figures
from costing.models import Quote
from costing.moves import TONES, moves_from
from costing.printing import content_of, frozen_svg, profile_when_frozen
from costing.querysets import QuoteQuerySet
from costing.services.agreement import Said
from costing.services.pictures import image_names
from costing.services.quote_moves import move_quote
from costing.services.quotes import DOCUMENT_KIND
from costing.services.versions import changes_of, differences, readable
from costing.views.client_side import ANSWERED_LATELY, client_side, standing_answers
from costing.views.opened import opened
from materials import ledger
from studio.access import Right, account_of, needs
from studio.documents.outbox import latest_document, request_document
from studio.errors import StudioError
from studio.web.htmx import render_page

LINES = 50
MOST_LINES_ON_PAGE = 200


@needs(Right.SEE_MONEY)
@require_safe
def quotes_list(request: HttpRequest) -> HttpResponse:
    """List quotes, newest number first."""
    form = QuotesFilterForm(request.GET or None, initial={"which": "all", "versions": "newest"})
    refused = form.is_bound and not form.is_valid()
    rows = _chosen(form).for_list().prefetch_related(standing_answers()).order_by("-number", "-version")
    page = Paginator(rows, LINES).get_page(request.GET.get("page"))
    today = timezone.localdate()
    context = {
        "form": form,
        "page": page,
        "lines": [(quote, _words(quote, today), _tone(quote, today)) for quote in page],
        "filtered": bool(request.GET),
        "answered_lately": timezone.now() - ANSWERED_LATELY,
        "any_quotes": page.paginator.count > 0 or Quote.objects.exists(),
    }
    return render_page(request, "costing/quotes_list.html", context, partial="quotes-table", status=422 if refused else 200)


@needs(Right.SEE_MONEY)
@require_safe
def quote_show(request: HttpRequest, number: int, version: int | None = None) -> HttpResponse:
    """Show one version of a quote; without a version, the newest."""
    return quote_page(request, quote_or_404(number, version))


def quote_page(request: HttpRequest, quote: Quote, *, told: ToldForm | None = None) -> HttpResponse:
    """Render the page of a quote; `told` is what was typed of an answer and cannot be taken as it is."""
    number, today = quote.number, timezone.localdate()
    before = _before(quote)
    lines = list(quote.lines.all()[: MOST_LINES_ON_PAGE + 1])
    versions = list(Quote.objects.filter(number=number).for_list().order_by("version"))
    profile = profile_when_frozen(quote)
    context: dict[str, Any] = {
        "quote": quote,
        "job": quote.job,
        **opened(quote, lines[:MOST_LINES_ON_PAGE], profile),
        "more_lines": len(lines) > MOST_LINES_ON_PAGE,
        "state_words": _words(quote, today),
        "tone": _tone(quote, today),
        "moves": moves_from(quote.state),
        "versions": changes_of(versions),
        "newest": versions[-1],
        "before": before,
        "changed": differences(readable(before), readable(quote), profile) if before else [],
        "pictures": [(item, frozen_svg(item)) for _, item in image_names(content_of(quote))],
        "figures": read_figures(quote.inner.get("figures") if isinstance(quote.inner, dict) else None),
        "document": latest_document(kind=DOCUMENT_KIND, subject_id=quote.pk),
        "may_quote": request.user.may(Right.CHANGE_QUOTES),  # type: ignore[union-attr]
        "run_out": quote.state == Quote.State.OFFERED and quote.valid_until_on < today,
    }
    context |= client_side(quote, told=told)
    return render_page(request, "costing/quote.html", context, status=422 if told else 200)


@needs(Right.CHANGE_QUOTES)
@require_POST
def quote_move(request: HttpRequest, number: int, version: int) -> HttpResponse:
    """Mark a quote accepted, declined or withdrawn, or undo such a mark."""
    quote = quote_or_404(number, version)
    form = ToldForm(request.POST)
    if not form.is_valid():
        form.positions = frozenset(request.POST.getlist("option"))
        return quote_page(request, quote, told=form)
    said = Said(**form.cleaned_data, positions=ticked_in(request.POST.getlist("option"), quote))
    to = request.POST.get("to", "")[:20]
    try:
        moved = ledger.patiently(lambda: move_quote(quote=quote, to=to, by=account_of(request), said=said))
    except StudioError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{moved} is {moved.get_state_display()}. {_job_sentence(moved)}")
    return redirect("costing:quote_show", number=number, version=version)


@needs(Right.SEE_MONEY)
@require_POST
def quote_print(request: HttpRequest, number: int, version: int) -> HttpResponse:
    """Ask for the print of a quote again, where none is on its way."""
    quote = quote_or_404(number, version)
    document = latest_document(kind=DOCUMENT_KIND, subject_id=quote.pk)
    if document is None or document.state in {document.State.READY, document.State.FAILED}:
        request_document(kind=DOCUMENT_KIND, subject_id=quote.pk, title=str(quote), by=request.user)  # type: ignore[arg-type]
    return redirect("costing:quote_show", number=number, version=version)


def quote_or_404(number: int, version: int | None) -> Quote:
    """Find a version of a quote; without a version, the newest."""
    quotes = Quote.objects.select_related("job__client", "job__piece", "frozen_by", "state_changed_by").filter(number=number)
    if version is not None:
        quotes = quotes.filter(version=version)
    newest: Quote | None = quotes.order_by("-version").first()
    if newest is None:
        raise Http404("No quote has this number.")
    return newest


def _chosen(form: QuotesFilterForm) -> QuoteQuerySet:
    quotes: QuoteQuerySet = Quote.objects.all()
    values = form.cleaned_data if form.is_bound and form.is_valid() else {}
    if (values.get("versions") or "newest") == "newest":
        quotes = quotes.newest_versions()
    which = values.get("which") or "all"
    if which == "run out":
        quotes = quotes.run_out_on(timezone.localdate())
    elif which != "all":
        quotes = quotes.filter(state=which)
    if values.get("words"):
        quotes = quotes.for_client(values["words"])
    return quotes


def _words(quote: Quote, today: Any) -> str:
    if quote.state == Quote.State.OFFERED and quote.valid_until_on < today:
        return "offered, run out"
    return str(quote.get_state_display())


def _tone(quote: Quote, today: Any) -> str:
    if quote.state == Quote.State.OFFERED and quote.valid_until_on < today:
        return "stop"
    return TONES[quote.state]


def _job_sentence(quote: Quote) -> str:
    return f"Job {quote.job.number} is {quote.job.get_state_display()}."


def _before(quote: Quote) -> Quote | None:
    """Return the version before this one; lines and options of both are read along, in a fixed number of queries."""
    before: Quote | None = Quote.objects.filter(number=quote.number, version=quote.version - 1).first()
    prefetch_related_objects([one for one in (quote, before) if one is not None], "lines", "options")
    return before
