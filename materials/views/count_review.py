"""Looking at what differs before it is posted: in grams, in money, and why."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from materials.counting import posting
from materials.counting.lines import difference, in_order, kept_of, wants_reason, worth
from materials.errors import MaterialsError
from materials.forms.counts import ReasonsForm
from materials.models import Stocktake, StocktakeLine
from materials.views.counts import stocktake_or_404
from materials.views.said import said
from studio.access import Right, account_of, needs
from studio.web.context import current_profile
from studio.web.formats import currency_decimals
from studio.web.htmx import render_page


@dataclass(frozen=True, slots=True, kw_only=True)
class Reviewed:
    """One line as the review shows it; `moved_g` is what moved in the book since it was weighed."""

    line: StocktakeLine
    kept: Any
    difference_g: Decimal
    worth: Decimal | None
    moved_g: Decimal
    field: Any
    silent: bool


@require_http_methods(["GET", "POST"])
@needs(Right.CHANGE_STOCK)
def count_review(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the differences, keep their reasons, and post them all together."""
    stocktake = stocktake_or_404(pk)
    lines = in_order(stocktake)
    form = ReasonsForm(request.POST if request.method == "POST" else None, lines=lines)
    if request.method == "POST" and form.is_valid():
        try:
            answer = _kept(request, stocktake, form)
        except MaterialsError as refused:
            form.add_error(None, said(refused))
        else:
            return answer
    return _page(request, stocktake, in_order(stocktake) if request.method == "POST" else lines, form)


def _kept(request: HttpRequest, stocktake: Stocktake, form: ReasonsForm) -> HttpResponse:
    posting_wanted = "post" in request.POST
    if stocktake.posted_at is None:
        # Words are kept even where posting is refused after them.
        posting.keep_reasons(stocktake=stocktake, reasons=form.reasons())
    if not posting_wanted:
        messages.success(request, "The reasons are kept.")
        return redirect("materials:count_review", pk=stocktake.pk)
    written = posting.post(stocktake=stocktake, by=account_of(request))
    lines = "1 difference is" if written == 1 else f"{written} differences are"
    messages.success(request, f"{lines} posted." if written else "It is posted; nothing differed.")
    return redirect("materials:count_show", pk=stocktake.pk)


def _page(request: HttpRequest, stocktake: Stocktake, lines: list[StocktakeLine], form: ReasonsForm) -> HttpResponse:
    sees_money = account_of(request).may(Right.SEE_MONEY)
    decimals = currency_decimals(current_profile().currency)
    differing = [_reviewed(line, form, decimals) for line in lines if difference(line)]
    context = {
        "count": stocktake,
        "form": form,
        "differing": differing,
        "total_g": sum((one.difference_g for one in differing), Decimal(0)),
        "total_worth": sum((one.worth for one in differing if one.worth is not None), Decimal(0)),
        "agreeing": [line for line in lines if difference(line) == 0],
        "unweighed": [line for line in lines if line.counted_g is None],
        "silent": sum(one.silent for one in differing),
        "open": stocktake.open,
        "sees_money": sees_money,
    }
    status = 422 if request.method == "POST" else 200
    return render_page(request, "materials/count_review.html", context, status=status)


def _reviewed(line: StocktakeLine, form: ReasonsForm, decimals: int) -> Reviewed:
    kept = kept_of(line)
    name = f"why-{line.pk}"
    posted = line.movement_id is not None
    return Reviewed(
        line=line,
        kept=kept,
        difference_g=difference(line) or Decimal(0),
        worth=worth(line, decimals=decimals),
        moved_g=Decimal(0) if posted or line.book_g is None else kept.on_hand_g - line.book_g,
        field=form[name] if name in form.fields else None,
        silent=wants_reason(line) and not line.why,
    )
