"""What the page of a material says about its stock in mass and money: worth, use by month, prices, how it is costed."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.safestring import SafeString

from materials.models import CostMethodChosen, Material, PackPrice, StockBook
from materials.properties import MaterialKind
from materials.services.use_by_month import MonthOfUse, use_by_month
from materials.valuing.money import per_kg
from materials.views.shelf_drawing import hatch_of
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import StudioProfile
from studio.web.drawing.columns import Column, columns
from studio.web.formats import locale_code, month_text

BOOKS = Source(kind=SourceKind.OWN, text="the books of stock, kept line by line")
PRICES_SHOWN = 12
LOTS_SHOWN = 60
KITS_SHOWN = 20
METHOD_WORDS = {
    Material.CostMethod.AVERAGE: "at the mean of what is on the shelf, worked out anew with each delivery",
    Material.CostMethod.FIFO: "at what the oldest of it on the shelf cost, delivery by delivery",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """A price from a day on; `change` in per cent of the one before of the same pack."""

    price: PackPrice
    change_percent: float | None


def worth_figures(books: Sequence[StockBook]) -> tuple[Figure, ...]:
    """Return what is on hand by the books as figures: its worth, and the mean cost of a kilogram."""
    mass = sum((book.on_hand_g for book in books), Decimal(0))
    value = sum((book.value for book in books), Decimal(0))
    if mass <= 0:
        return ()
    given = tuple(
        Given(label=_part(book, "worth"), value=float(book.value), unit="money", source=BOOKS) for book in books if book.on_hand_g
    )
    on_hand = Given(label="On hand by the books", value=float(mass), unit="g", source=BOOKS)
    worth = Figure(
        key="worth", label="Worth in the books", value=float(value), unit="money", given=given,
        formula="what came in at its cost − what went out at its cost",
    )  # fmt: skip
    mean = Figure(
        key="mean_cost", label="Mean cost", value=float(per_kg(value, mass)), unit="money/kg", given=(worth, on_hand),
        formula="worth in the books ÷ mass on hand",
    )  # fmt: skip
    return worth, mean


def _part(book: StockBook, word: str) -> str:
    return f"Part {book.component}, {word}" if book.component in {"A", "B"} else word.capitalize()


def price_lines(material: Material) -> list[PriceLine]:
    """Return the last prices of a material's packs, the newest first, each beside the one before it."""
    rows = list(PackPrice.objects.filter(pack__material=material).select_related("pack", "noted_by")[: PRICES_SHOWN * 2])
    earlier: dict[int, Decimal] = {}
    lines: list[PriceLine] = []
    for row in reversed(rows):
        before = earlier.get(row.pack_id)
        change = float((row.price - before) / before * 100) if before else None
        lines.append(PriceLine(price=row, change_percent=change))
        earlier[row.pack_id] = row.price
    return lines[::-1][:PRICES_SHOWN]


def use_drawing(material: Material, months: Sequence[MonthOfUse], profile: StudioProfile) -> SafeString:
    """Draw the use of the last months."""
    locale = locale_code(profile)
    rows = [
        Column(
            short=month_text(month.first_on, locale, short=True),
            label=month_text(month.first_on, locale),
            value=float(month.used_g),
            running=not month.whole,
        )
        for month in months
    ]
    hatch = hatch_of(kind=MaterialKind(material.kind), chemistry=material.chemistry)
    return columns(rows, unit="g", title=f"Use of {material.name} by month", hatch=hatch, profile=profile)


def stock_context(material: Material, *, today: datetime.date, profile: StudioProfile, sees_money: bool) -> dict[str, Any]:
    """Return worth, use, prices and method."""
    months = use_by_month(material=material, today=today)
    used = any(month.used_g for month in months)
    context: dict[str, Any] = {"months": months if used else (), "use": use_drawing(material, months, profile) if used else ""}
    if not sees_money:
        return context
    prices = price_lines(material)
    method = Material.CostMethod(material.cost_method)
    return context | {
        "worth": worth_figures(list(StockBook.objects.filter(material=material))),
        "prices": prices if len(prices) > 1 else (),
        "method_words": METHOD_WORDS[method],
        "methods": [(one.value, one.label, METHOD_WORDS[one]) for one in Material.CostMethod],
        "method_chosen": CostMethodChosen.objects.filter(material=material).select_related("chosen_by").first(),
    }
