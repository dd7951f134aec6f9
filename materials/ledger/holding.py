"""Locks, always in the same order: books by number, then lots by number, then bins by number.

Whoever writes several lines in one transaction calls `hold` with all their lots and bins first; then no two hands can each
hold what the other waits for. A promise moves no money, so it locks its lot or bin alone.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Q

from materials.errors import ThingGone
from materials.models import Lot, Material, ScrapBin, StockBook

Kept = Lot | ScrapBin
BookKey = tuple[int | None, str, int | None]


@dataclass(frozen=True, slots=True)
class Held:
    """Rows that are locked, freshly read."""

    lots: dict[int, Lot] = field(default_factory=dict)
    bins: dict[int, ScrapBin] = field(default_factory=dict)
    books: dict[BookKey, StockBook] = field(default_factory=dict)

    def kept(self, of: Kept) -> Kept:
        """Return the locked row of a lot or bin."""
        found: Kept | None = self.lots.get(of.pk) if isinstance(of, Lot) else self.bins.get(of.pk)
        if found is None:
            raise ThingGone("This lot or bin does not exist any more; go back to the shelf.")
        return found

    def book(self, of: Kept) -> StockBook:
        """Return the locked book that a lot or bin is costed in."""
        return self.books[book_key(of)]


def hold(*kept: Kept, money: bool = True) -> Held:
    """Lock lots and bins, and with `money` their books, in the one order; call it inside a transaction."""
    books = _held_books({book_key(of) for of in kept}) if money and kept else {}
    lots = sorted({of.pk for of in kept if isinstance(of, Lot)})
    bins = sorted({of.pk for of in kept if isinstance(of, ScrapBin)})
    held_lots = Lot.objects.select_for_update().filter(pk__in=lots).order_by("pk") if lots else ()
    held_bins = ScrapBin.objects.select_for_update().filter(pk__in=bins).order_by("pk") if bins else ()
    return Held(lots={lot.pk: lot for lot in held_lots}, bins={one.pk: one for one in held_bins}, books=books)


def book_key(of: Kept) -> BookKey:
    """Say which book a lot or bin is costed in."""
    return (of.material_id, of.component, None) if isinstance(of, Lot) else (None, "", of.pk)


def _held_books(keys: set[BookKey]) -> dict[BookKey, StockBook]:
    found = _locked(keys)
    missing = keys - found.keys()
    if not missing:
        return found
    _open_books(missing)
    # Read anew as a whole, so that the locks are taken in the one order here, too.
    return _locked(keys)


def _locked(keys: Iterable[BookKey]) -> dict[BookKey, StockBook]:
    wanted = Q()
    for material, component, scrap_bin in keys:
        wanted |= Q(scrap_bin=scrap_bin) if scrap_bin is not None else Q(material=material, component=component)
    rows = StockBook.objects.select_for_update().filter(wanted).order_by("pk")
    return {(row.material_id, row.component, row.scrap_bin_id): row for row in rows}


def _open_books(keys: Iterable[BookKey]) -> None:
    """Open books; another hand may open the same at the same moment."""
    materials = {material for material, _, _ in keys if material is not None}
    # Locked, so that a change of the method meanwhile finds every book of the material.
    held = Material.objects.select_for_update().filter(pk__in=materials).order_by("pk")
    methods = {material.pk: material.cost_method for material in held}
    bins = set(ScrapBin.objects.filter(pk__in=[key[2] for key in keys if key[2] is not None]).values_list("pk", flat=True))
    fresh = [
        StockBook(material_id=material, component=component, scrap_bin_id=scrap_bin, method=methods.get(material or 0, "average"))
        for material, component, scrap_bin in sorted(keys, key=str)
        if material in methods or scrap_bin in bins
    ]
    StockBook.objects.bulk_create(fresh, ignore_conflicts=True)
