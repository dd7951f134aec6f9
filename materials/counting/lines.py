"""What a stocktake holds: its lines in the order in which somebody walks along the shelf, and how far it is."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.db.models import F, QuerySet
from django.db.models.functions import Coalesce

from materials.codes import Code
from materials.models import Lot, ScrapBin, Stocktake, StocktakeLine

Kept = Lot | ScrapBin
# The house's choice, no source: what a bench scale and a sticky rim make of it needs no words, more does.
EXPLAIN_OVER_G = Decimal(5)
EXPLAIN_OVER_SHARE = Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceProgress:
    """How far one place is."""

    place: str
    weighed: int
    lines: int

    @property
    def done(self) -> bool:
        """Whether all of it is weighed."""
        return self.weighed == self.lines


def kept_of(line: StocktakeLine) -> Kept:
    """Return the lot or bin of a line; a constraint holds that there is one."""
    kept: Kept | None = line.lot or line.scrap_bin
    assert kept is not None
    return kept


def code_of(kept: Kept) -> Code:
    """Return the code that a lot's or a bin's label carries."""
    return Code("l" if isinstance(kept, Lot) else "b", kept.pk)


def difference(line: StocktakeLine) -> Decimal | None:
    """Return what the scale found more (or less) than the book said at that moment; None while it is not weighed."""
    if line.counted_g is None or line.book_g is None:
        return None
    return line.counted_g - line.book_g


def wants_reason(line: StocktakeLine) -> bool:
    """Say whether the difference is too large to be posted without words."""
    found = difference(line)
    return found is not None and line.book_g is not None and abs(found) > threshold(line.book_g)


def threshold(book_g: Decimal) -> Decimal:
    """Return up to which difference no reason is asked for."""
    return max(EXPLAIN_OVER_G, book_g * EXPLAIN_OVER_SHARE)


def worth(line: StocktakeLine, *, decimals: int) -> Decimal | None:
    """Return what the difference is worth at the lot's own cost; None for scrap and where no cost is known."""
    found = difference(line)
    if found is None or line.lot is None or not line.lot.unit_cost_per_kg:
        return None
    return (found * line.lot.unit_cost_per_kg / 1000).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)


def with_things(lines: "QuerySet[StocktakeLine]") -> "QuerySet[StocktakeLine]":
    """Return lines with all that a page shows of each, in a fixed number of queries."""
    return lines.select_related("lot__material", "scrap_bin", "counted_by")


def in_order(stocktake: Stocktake) -> list[StocktakeLine]:
    """Return all lines with their things, in the order of the places."""
    return sorted(with_things(stocktake.lines.all()), key=lambda line: _by_place(*_keys(line)))


def progress(stocktake: Stocktake) -> list[PlaceProgress]:
    """Return how far each place is, in the order of the places."""
    found: dict[str, list[int]] = {}
    for place, counted in _placed(stocktake).values_list("where", "counted_g"):
        tally = found.setdefault(place, [0, 0])
        tally[0] += counted is not None
        tally[1] += 1
    places = sorted(found, key=_natural)
    return [PlaceProgress(place=place, weighed=found[place][0], lines=found[place][1]) for place in places]


def next_line(stocktake: Stocktake, *, after: int | None = None, place: str | None = None) -> int | None:
    """Return the next line to weigh: behind `after` where that is given, else the first; round to the start at the end."""
    rows = list(_placed(stocktake).values_list("pk", "where", "what", "counted_g"))
    rows.sort(key=lambda row: _by_place(row[1], row[2], row[0]))
    if place is not None:
        rows = [row for row in rows if row[1] == place]
    at = next((index for index, row in enumerate(rows) if row[0] == after), -1)
    turned = rows[at + 1 :] + rows[: at + 1]
    return next((row[0] for row in turned if row[3] is None and row[0] != after), None)


def line_of(stocktake: Stocktake, code: Code) -> StocktakeLine | None:
    """Return the line of the thing that a code names."""
    column = {"l": "lot_id", "b": "scrap_bin_id"}.get(code.letter)
    return stocktake.lines.filter(**{column: code.pk}).first() if column else None


def thing_of(code: Code) -> Kept | None:
    """Return the lot or bin that a code names."""
    if code.letter == "l":
        lot: Lot | None = Lot.objects.select_related("material").filter(pk=code.pk).first()
        return lot
    if code.letter == "b":
        scrap_bin: ScrapBin | None = ScrapBin.objects.filter(pk=code.pk).first()
        return scrap_bin
    return None


def places() -> list[str]:
    """Return every place where something stands, in order."""
    lots = Lot.objects.on_shelf().order_by().values_list("place", flat=True).distinct()
    bins = ScrapBin.objects.filled().order_by().values_list("place", flat=True).distinct()
    return sorted({place for place in (*lots, *bins) if place}, key=_natural)


def _placed(stocktake: Stocktake) -> Any:
    return stocktake.lines.order_by().annotate(
        where=Coalesce(F("lot__place"), F("scrap_bin__place")), what=Coalesce(F("lot__material__name"), F("scrap_bin__label"))
    )


def _keys(line: StocktakeLine) -> tuple[str, str, int]:
    if line.lot is not None:
        return line.lot.place, line.lot.material.name, line.pk
    assert line.scrap_bin is not None
    return line.scrap_bin.place, line.scrap_bin.label, line.pk


def _by_place(place: str, what: str, pk: int) -> tuple[Any, ...]:
    return _natural(place), _natural(what), pk


def _natural(text: str) -> tuple[Any, ...]:
    """Sort "shelf 2" before "shelf 10", and what stands nowhere last."""
    parts: Iterable[str] = re.split(r"(\d+)", text.casefold())
    return (not text, *((int(part), "") if part.isdecimal() else (-1, part) for part in parts))
