"""The demo's stocktakes: one posted, one in the middle."""

from decimal import Decimal

from materials.counting.lines import in_order, kept_of
from materials.counting.posting import post
from materials.counting.weighing import start_stocktake, weigh
from studio.models import Account


def add_counts(by: Account) -> None:
    """Count shelf 3 and post it; begin with everything and leave it half done."""
    small = start_stocktake(name="Shelf 3 after tidying", place="shelf 3", blind=True, by=by)
    for line, less in zip(in_order(small), (Decimal(12), Decimal(0)), strict=False):
        counted = kept_of(line).on_hand_g - less
        weigh(line=line, counted_g=counted, why="a bag was open" if less else "", by=by, seen_at=None)
    post(stocktake=small, by=by)
    large = start_stocktake(name="Whole shelf, spring", place="", blind=False, by=by)
    for line, less in zip(in_order(large), (Decimal(0), Decimal(140), Decimal(-3)), strict=False):
        weigh(line=line, counted_g=kept_of(line).on_hand_g - less, why="", by=by, seen_at=None)
