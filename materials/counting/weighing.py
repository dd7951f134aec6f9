"""Starting a stocktake and writing down what the scale says."""

import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from materials.counting.lines import Kept, kept_of, with_things
from materials.errors import CountClosed, CountedMeanwhile, ThingGone, verbatim
from materials.ledger.masses import Mass, whole_mass
from materials.models import Lot, ScrapBin, Stocktake, StocktakeLine
from studio.models import Account

CLOSED = "This stocktake is posted or dropped already; nothing more can be weighed in it. Start a new one."


@transaction.atomic
def start_stocktake(*, name: str, place: str, blind: bool, by: Account | None) -> Stocktake:
    """Start counting what stands at a place, or everything that there is."""
    lots, bins = Lot.objects.on_shelf(), ScrapBin.objects.filled()
    if place:
        lots, bins = lots.filter(place=place), bins.filter(place=place)
    stocktake = Stocktake.objects.create(name=name, place=place, blind=blind, started_by=by)
    found = [StocktakeLine(stocktake=stocktake, lot_id=pk) for pk in lots.order_by("pk").values_list("pk", flat=True)]
    found += [StocktakeLine(stocktake=stocktake, scrap_bin_id=pk) for pk in bins.order_by("pk").values_list("pk", flat=True)]
    StocktakeLine.objects.bulk_create(found, batch_size=500)
    return stocktake


@transaction.atomic
def add_found(*, stocktake: Stocktake, kept: Kept) -> StocktakeLine:
    """Add something that stands here and was not on the list."""
    open_or_refuse(stocktake)
    which: dict[str, Any] = {"lot": kept} if isinstance(kept, Lot) else {"scrap_bin": kept}
    line: StocktakeLine = StocktakeLine.objects.get_or_create(stocktake=stocktake, **which)[0]
    return line


@transaction.atomic
def weigh(
    *,
    line: StocktakeLine,
    counted_g: Mass,
    why: str,
    by: Account | None,
    seen_at: datetime.datetime | None,
) -> StocktakeLine:
    """Write down what was weighed beside what the book says at this moment.

    `seen_at` is when the line had been weighed as the page showed it: where somebody weighed it since, both weights are
    said and nothing is written.
    """
    counted = whole_mass(counted_g)
    open_or_refuse(line.stocktake)
    row = with_things(StocktakeLine.objects.filter(pk=line.pk)).select_for_update(of=("self",)).first()
    if row is None:
        raise ThingGone("This line is gone from the stocktake; go back to its list.")
    if row.counted_at != seen_at:
        if row.counted_g == counted:
            return row
        who = row.counted_by.name if row.counted_by else "Somebody"
        raise CountedMeanwhile(
            f"{verbatim(who)} weighed this meanwhile: {{other}}. You typed {{mine}}. "
            "Weigh it again together, then keep what is right.",
            other=row.counted_g or Decimal(0),
            mine=counted,
        )
    kept = kept_of(row)
    model: Any = type(kept)
    row.book_g = model.objects.select_for_update().get(pk=kept.pk).on_hand_g
    row.counted_g, row.counted_at, row.counted_by, row.why = counted, timezone.now(), by, why[:200]
    row.save(update_fields=["book_g", "counted_g", "counted_at", "counted_by", "why"])
    return row


@transaction.atomic
def forget_weight(*, line: StocktakeLine) -> None:
    """Take a weight back, so that the thing stands on the list to be weighed again."""
    open_or_refuse(line.stocktake)
    StocktakeLine.objects.filter(pk=line.pk).update(book_g=None, counted_g=None, counted_at=None, counted_by=None)


def open_or_refuse(stocktake: Stocktake) -> Stocktake:
    """Lock a stocktake that can still be weighed in, or refuse."""
    row: Stocktake | None = Stocktake.objects.select_for_update().filter(pk=stocktake.pk).first()
    if row is None or not row.open:
        raise CountClosed(CLOSED)
    return row
