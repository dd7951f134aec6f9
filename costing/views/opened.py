"""The numbers of a frozen quote as its page shows them: each opens to the working that was kept on the day it was frozen."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString

from costing.models import Quote, QuoteLine, QuoteOption
from costing.services.workings import LineWorking, Workings, read_workings
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import StudioProfile
from studio.web.formats import amount_of, locale_code, money_text
from studio.web.working import figure_html


def opened(quote: Quote, lines: Sequence[QuoteLine], profile: StudioProfile) -> dict[str, Any]:
    """Return lines, options, totals, payments and what else is printed, written in the money and units of that day.

    A number without a kept working stands as it is.
    """
    kept = read_workings(quote.inner)
    content = quote.content if isinstance(quote.content, Mapping) else {}
    write = _Writer(quote.currency, profile)
    options = list(quote.options.all())
    totals = {
        "net": quote.net_total, "tax": quote.tax_total, "gross": quote.gross_total, "deposit": quote.deposit,
        "balance": quote.balance,
    }  # fmt: skip
    return {
        "lines": _rows(lines, kept.lines, write),
        "options": _rows(options, kept.options, write),
        "totals": {key: write(kept.totals.get(key), amount) for key, amount in totals.items()},
        "agreed": None if quote.agreed_gross is None else write(_agreed(quote, options, kept), quote.agreed_gross),
        "asked": _payments(content, kept, write),
        "breaks": _breaks(content, kept, write),
        "said": [(figure.label, figure_html(figure, profile)) for figure in kept.said],
    }


class _Writer:
    """Writes an amount of a quote, opening to its working where one was kept."""

    def __init__(self, currency: str, profile: StudioProfile) -> None:
        self.currency, self.profile = currency, profile

    def __call__(self, figure: Figure | None, amount: Decimal) -> SafeString:
        # A working that tells another number than the one that is printed would be worse than none.
        if figure is not None and Decimal(repr(figure.value)) == amount:
            return figure_html(figure, self.profile)
        text = money_text(amount_of(amount), self.currency, locale_code(self.profile))
        return format_html('<span class="number">{}</span>', text)


def _agreed(quote: Quote, options: Sequence[QuoteOption], kept: Workings) -> Figure:
    """Return what was agreed, as the total that was offered and each option chosen with its tax."""
    offered = kept.totals.get("gross") or _frozen("Total with tax", quote.gross_total)
    return Figure(
        key="agreed-gross",
        label="Agreed, with tax",
        value=float(quote.agreed_gross or 0),
        unit="money",
        formula="total with tax + options chosen, each with its tax" if any(row.chosen for row in options) else "total with tax",
        given=(offered, *(_frozen(f"{row.text}, with tax", row.net + row.tax) for row in options if row.chosen)),
    )


def _frozen(label: str, amount: Decimal) -> Given:
    return Given(
        label=label, value=float(amount), unit="money", source=Source(kind=SourceKind.OWN, text="as frozen in this quote")
    )


def _rows(
    rows: Sequence[QuoteLine | QuoteOption], workings: Sequence[LineWorking], write: _Writer
) -> list[tuple[QuoteLine | QuoteOption, SafeString, SafeString, SafeString]]:
    found = []
    for place, row in enumerate(rows):
        working = workings[place] if place < len(workings) else None
        unit, net, tax = (None, None, None) if working is None else (working.unit, working.net, working.tax)
        found.append((row, write(unit, row.unit_price), write(net, row.net), write(tax, row.tax)))
    return found


def _payments(content: Mapping[str, Any], kept: Workings, write: _Writer) -> list[tuple[str, SafeString]]:
    stages = [*kept.stages, *([None] * len(content.get("payments") or ()))]
    return [
        (str(item["label"]), write(stage, Decimal(str(item["amount"]))))
        for item, stage in zip(content.get("payments") or (), stages, strict=False)
    ]


def _breaks(content: Mapping[str, Any], kept: Workings, write: _Writer) -> list[tuple[int, SafeString, SafeString]]:
    told = content.get("breaks") or ()
    pairs: list[tuple[Figure | None, Figure | None]] = [*kept.breaks, *([(None, None)] * len(told))]
    return [
        (item["quantity"], write(each, Decimal(item["unit_price"])), write(total, Decimal(item["net"])))
        for item, (each, total) in zip(told, pairs, strict=False)
    ]
