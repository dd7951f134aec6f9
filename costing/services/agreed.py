"""What a quote comes to with the options that a client ticks."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from costing.models import Quote, QuoteOption


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """Totals of a quote with some of its options, as printed."""

    net: Decimal
    tax: Decimal
    gross: Decimal


def totals_agreed(quote: Quote, positions: Collection[int]) -> Agreed:
    """Add the options at these positions to the totals of a quote."""
    chosen = list(QuoteOption.objects.filter(quote=quote, position__in=positions))
    net = sum((option.net for option in chosen), quote.net_total)
    tax = sum((option.tax for option in chosen), quote.tax_total)
    return Agreed(net=net, tax=tax, gross=net + tax)
