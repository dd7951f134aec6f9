"""What came out against what was planned: the difference split into how much was used and what each unit cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from costing.engine.money import round_money
from studio.figures import COMPUTED, Figure, Given, Source, SourceKind

SPLIT = Source(kind=SourceKind.PUBLISHED, text="OpenStax, Principles of Accounting vol. 2 (2019), §8.2")
ROUNDED = "Rounding to whole cents falls on the part of the price, so that both parts make the whole difference."


class Verdict(StrEnum):
    """Whether a difference helps the studio."""

    FAVOURABLE = "favourable"
    UNFAVOURABLE = "unfavourable"
    AS_PLANNED = "as planned"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of a difference, in money: more than nought costs more than planned."""

    figure: Figure

    @property
    def verdict(self) -> Verdict:
        """Whether it helps, in words."""
        if self.figure.value == 0:
            return Verdict.AS_PLANNED
        return Verdict.UNFAVOURABLE if self.figure.value > 0 else Verdict.FAVOURABLE


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """A cost planned and come out, and its difference in two parts that make it up to the cent."""

    planned: Figure
    actual: Figure
    quantity: Part
    price: Part
    whole: Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """How much and at what price: what was planned, or what came out."""

    quantity: Given | Figure
    price: Given | Figure

    @property
    def exact_quantity(self) -> Decimal:
        """The quantity as a decimal."""
        return _exact(self.quantity.value)

    @property
    def exact_price(self) -> Decimal:
        """The price as a decimal."""
        return _exact(self.price.value)

    @property
    def cost(self) -> Decimal:
        """Quantity × price, not rounded."""
        return self.exact_quantity * self.exact_price


def quantity_variance(*, planned: Decimal, actual: Decimal, planned_price: Decimal) -> Decimal:
    """Return (actual − planned quantity) × planned price; more than nought is unfavourable."""
    return (actual - planned) * planned_price


def price_variance(*, planned: Decimal, actual: Decimal, actual_quantity: Decimal) -> Decimal:
    """Return (actual − planned price) × actual quantity; more than nought is unfavourable."""
    return (actual - planned) * actual_quantity


def split(*, key: str, label: str, planned: Side, actual: Side, places: int, words: tuple[str, str]) -> Split:
    """Split the difference of one cost.

    Parameters
    ----------
    key, label : str
        Start of the keys, and what it is the cost of.
    planned, actual : Side
        Quantity and price, in units whose product is money.
    places : int
        Decimals of the currency's minor unit.
    words : tuple of str
        What quantity and price are called here, such as ("hours", "rate").

    Returns
    -------
    Split
        Each number is rounded as it is printed; what rounding leaves falls on the part of the price.
    """
    quantity, price = words
    before = round_money(planned.cost, places)
    after = round_money(actual.cost, places)
    by_quantity = round_money(
        quantity_variance(
            planned=planned.exact_quantity, actual=actual.exact_quantity, planned_price=planned.exact_price
        ),
        places,
    )  # fmt: skip
    by_price = after - before - by_quantity
    sides = f"{quantity} × {price}"
    planned_cost = _money(f"{key}-planned", f"{label}, planned", before, sides, (planned.quantity, planned.price))
    actual_cost = _money(f"{key}-actual", f"{label}, come out", after, sides, (actual.quantity, actual.price))
    quantity_part = _money(
        f"{key}-by-quantity", f"{label}: by {quantity}", by_quantity, f"(actual − planned {quantity}) × planned {price}",
        (actual.quantity, planned.quantity, planned.price), source=SPLIT,
    )  # fmt: skip
    price_part = _money(
        f"{key}-by-price", f"{label}: by {price}", by_price, f"(actual − planned {price}) × actual {quantity}",
        (actual.price, planned.price, actual.quantity), source=SPLIT, note=ROUNDED,
    )  # fmt: skip
    whole = _money(f"{key}-whole", f"{label}: difference", after - before, "come out − planned", (actual_cost, planned_cost))
    return Split(
        planned=planned_cost, actual=actual_cost, quantity=Part(figure=quantity_part), price=Part(figure=price_part),
        whole=Part(figure=whole),
    )  # fmt: skip


def spent_besides(*, key: str, label: str, planned: Given | Figure, actual: Given | Figure, places: int) -> Split:
    """Compare plain amounts, which have no quantity: the whole difference is one of price."""
    one = Given(label="Once", value=1.0, unit="1")
    return split(
        key=key, label=label, planned=Side(quantity=one, price=planned), actual=Side(quantity=one, price=actual), places=places,
        words=("number", "amount"),
    )  # fmt: skip


def together(*, key: str, label: str, parts: Sequence[Part]) -> Part:
    """Add up parts of differences. [money]"""
    value = sum((_exact(part.figure.value) for part in parts), Decimal(0))
    return Part(figure=_money(key, label, value, "sum", tuple(part.figure for part in parts)))


def _exact(value: float) -> Decimal:
    return Decimal(repr(float(value)))


def _money(
    key: str, label: str, value: Decimal, formula: str, given: tuple[Given | Figure, ...], *, source: Source = COMPUTED,
    note: str = "",
) -> Figure:  # fmt: skip
    return Figure(
        key=key, label=label, value=float(value), unit="money", formula=formula, given=given, note=note, source=source
    )  # fmt: skip
