"""What the stock is worth by the books, on any day since the first line: the last line before the day's end tells it."""

import datetime
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from materials.models import Material, Movement, ScrapBin, StockBook
from materials.valuing.money import per_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueLine:
    """One material over all its parts, or one bin."""

    kept: Material | ScrapBin
    on_hand_g: Decimal
    value: Decimal

    @property
    def per_kg(self) -> Decimal:
        """What a kilogram of it costs at the mean."""
        return per_kg(self.value, self.on_hand_g)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockValue:
    """The worth of all stock at the end of a day; scrap apart."""

    day: datetime.date
    materials: tuple[ValueLine, ...]
    scrap: tuple[ValueLine, ...]

    @property
    def material_value(self) -> Decimal:
        """What all materials are worth."""
        return sum((line.value for line in self.materials), Decimal(0))

    @property
    def scrap_value(self) -> Decimal:
        """What all scrap is worth."""
        return sum((line.value for line in self.scrap), Decimal(0))

    @property
    def unpriced(self) -> int:
        """How many materials stand on the shelf at no cost at all."""
        return sum(1 for line in self.materials if line.on_hand_g > 0 and line.value == 0)


def stock_value(day: datetime.date) -> StockValue:
    """Return what was on hand at the end of a day and what it was worth, in three queries however much was moved."""
    last = StockBook.objects.order_by().annotate(line=last_line_of(day, "pk")).values("line")
    lines = Movement.objects.filter(pk__in=last).values_list("book", "book_g", "book_value")
    stood = {book: (mass, value) for book, mass, value in lines if mass > 0}
    books = StockBook.objects.filter(pk__in=_standing(stood)).select_related("material", "scrap_bin")
    materials: dict[Any, list[Decimal]] = {}
    scrap = []
    for book in books:
        mass, value = stood.get(book.pk, (Decimal(0), Decimal(0)))
        if not mass:
            continue
        if book.scrap_bin is not None:
            scrap.append(ValueLine(kept=book.scrap_bin, on_hand_g=mass, value=value))
            continue
        sums = materials.setdefault(book.material, [Decimal(0), Decimal(0)])
        sums[0] += mass
        sums[1] += value
    return StockValue(
        day=day,
        materials=tuple(
            ValueLine(kept=material, on_hand_g=sums[0], value=sums[1])
            for material, sums in sorted(materials.items(), key=lambda item: (-item[1][1], item[0].name))
        ),
        scrap=tuple(sorted(scrap, key=lambda line: (-line.value, str(line.kept)))),
    )


def first_day() -> datetime.date | None:
    """Return the day of the first line; before it nothing is known."""
    first = Movement.objects.order_by("pk").values_list("happened_at", flat=True).first()
    return timezone.localtime(first).date() if first else None


def end_of(day: datetime.date) -> datetime.datetime:
    """Return the moment at which a day of the studio is over."""
    return timezone.make_aware(datetime.datetime.combine(day + datetime.timedelta(days=1), datetime.time.min))


def last_line_of(day: datetime.date, column: str) -> Subquery:
    """Return a column of the last line of each book up to the end of a day: what stood then."""
    last = Movement.objects.filter(book=OuterRef("pk"), happened_at__lt=end_of(day)).order_by("-happened_at", "-pk")
    return Subquery(last.values(column)[:1])


def _standing(stood: dict[int, Any]) -> Any:
    """Return the books to be read: by number where they are few, else all of them."""
    return list(stood) if len(stood) <= 500 else StockBook.objects.order_by().values("pk")
