"""What changed from one version of a quote to the next."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from costing.models import Quote


@dataclass(frozen=True, slots=True, kw_only=True)
class VersionChange:
    """A version and how far its totals moved from the one before; None for the first."""

    quote: Quote
    net_moved: Decimal | None
    gross_moved: Decimal | None
    deposit_moved: Decimal | None


def changes_of(versions: Sequence[Quote]) -> list[VersionChange]:
    """Set each version beside the one before it, newest first."""
    found = []
    for index, quote in enumerate(versions):
        before = versions[index - 1] if index else None
        same_money = before is not None and before.currency == quote.currency
        found.append(
            VersionChange(
                quote=quote,
                net_moved=quote.net_total - before.net_total if before and same_money else None,
                gross_moved=quote.gross_total - before.gross_total if before and same_money else None,
                deposit_moved=quote.deposit - before.deposit if before and same_money else None,
            )
        )
    return found[::-1]
