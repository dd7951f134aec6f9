"""What a quote comes to with the options that a client ticks."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from costing.models import Quote, QuoteOption
from costing.services.options import totals_with


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """Totals of a quote with some of its options, as printed."""

    net: Decimal
    tax: Decimal
    gross: Decimal


def totals_agreed(quote: Quote, positions: Collection[int]) -> Agreed:
    """Add the options at these positions to the totals of a quote; a position that is none of its options is left out."""
    known = QuoteOption.objects.filter(quote=quote, position__in=positions).values_list("position", flat=True)
    net, tax, gross = totals_with(quote, list(known))
    return Agreed(net=net, tax=tax, gross=gross)
