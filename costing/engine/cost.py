"""Cost and price of one thing: material, labour, overhead, and the margin on top."""

from dataclasses import dataclass
from decimal import Decimal

from costing.engine.brief import Terms
from costing.engine.margin import price_for_margin
from costing.engine.money import RULE, round_money
from studio.figures import Figure, Given


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What one thing costs and sells for before tax; figures in money, hours in h."""

    hours: Figure
    material: Figure
    labour: Figure
    overhead: Figure
    cost: Figure
    price: Figure
    unit_price: Decimal
    contingency: Figure | None = None


def margin_given(terms: Terms) -> Given:
    """Return the margin as an input of a working."""
    return Given(label="Margin", value=float(terms.margin_percent), unit="%")


def cost_of(
    *, stem: str, what: str, material: Figure, hours: Figure, terms: Terms, places: int, contingency: Figure | None = None
) -> Cost:
    """Cost one thing and price it with the margin of the terms.

    Parameters
    ----------
    stem, what : str
        Start of the keys, and the words for the thing in lower case.
    material, hours : Figure
        Material spend [money] and paid hours [h].
    terms : Terms
        Labour rate, overhead per hour, margin.
    places : int
        Decimals of the currency's minor unit.
    contingency : Figure, optional
        What is put aside for the cost coming out higher. [money]

    Returns
    -------
    Cost
        cost = material + hours × (rate + overhead) + contingency; price = cost / (1 − margin), rounded once.
    """
    rate, overhead_rate = terms.labour_rate_per_h, terms.overhead_per_h
    labour = _money(f"{stem}-labour", "Labour", hours.value * rate.value, "hours × labour rate", (hours, rate))
    overhead = _money(
        f"{stem}-overhead", "Overhead", hours.value * overhead_rate.value, "hours × overhead per hour", (hours, overhead_rate)
    )
    aside = () if contingency is None else (contingency,)
    cost = _money(
        f"{stem}-cost",
        f"Cost of {what}",
        material.value + labour.value + overhead.value + sum(figure.value for figure in aside),
        "material + labour + overhead" + (" + contingency" if aside else ""),
        (material, labour, overhead, *aside),
    )
    unit_price = priced(cost.value, terms, places)
    return Cost(
        hours=hours,
        material=material,
        labour=labour,
        overhead=overhead,
        cost=cost,
        price=price_figure(f"{stem}-price", f"Price of {what}", unit_price, cost, terms),
        unit_price=unit_price,
        contingency=contingency,
    )


def priced(cost: float | Decimal, terms: Terms, places: int) -> Decimal:
    """Return the rounded price before tax of what costs this much. [money]"""
    exact = cost if isinstance(cost, Decimal) else Decimal(repr(cost))
    return round_money(price_for_margin(cost=exact, margin=terms.margin_percent / 100), places)


def price_figure(key: str, label: str, price: Decimal, cost: Figure | Given, terms: Terms) -> Figure:
    """Wrap a rounded price with its working. [money]"""
    return Figure(
        key=key,
        label=label,
        value=float(price),
        unit="money",
        formula="cost ÷ (1 − margin)",
        given=(cost, margin_given(terms)),
        note=f"Before tax. {RULE}",
    )


def _money(key: str, label: str, value: float, formula: str, given: tuple[Given | Figure, ...]) -> Figure:
    return Figure(key=key, label=label, value=value, unit="money", formula=formula, given=given)
