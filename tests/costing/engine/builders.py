"""Briefs for pricing: the planning tests' box, with prices and terms typed here."""

from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

from costing.engine.brief import EstimateBrief, MaterialPrice, Terms
from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from studio.figures import Given
from tests.jobs.planning.builders import brief as plan_brief

PER_KG = {"rubber": 22.0, "thickener": 30.0, "tint": 50.0, "polyester": 6.0, "mat": 5.0, "resin": 9.0}


def given(value: float, unit: str, label: str = "typed") -> Given:
    """Return an input."""
    return Given(label=label, value=value, unit=unit)


def price(name: str, per_kg: float | None, *, pack_g: float | None = 5000.0) -> MaterialPrice:
    """Return a material with its price."""
    return MaterialPrice(name=name.capitalize(), per_kg=None if per_kg is None else given(per_kg, "money/kg"), pack_mass_g=pack_g)


@cache
def box_plan() -> MoldPlan:
    """Return the plan of a box with scrap in its fill and ten castings."""
    return make_plan(plan_brief())


@cache
def mold_only_plan() -> MoldPlan:
    """Return the same without castings."""
    return make_plan(plan_brief(casting=None))


def terms(**changes: Any) -> Terms:
    """Return terms of 25 and 20 an hour, 20 % margin and tax, half up front."""
    whole = Terms(
        labour_rate_per_h=given(25, "money/h", "Labour rate"),
        overhead_per_h=given(20, "money/h", "Overhead per hour"),
        margin_percent=Decimal(20),
        tax_percent=Decimal(20),
        deposit_percent=Decimal(50),
        quantities=(1, 5, 10, 25),
    )
    return replace(whole, **changes)


def brief(**changes: Any) -> EstimateBrief:
    """Return a whole brief."""
    whole = EstimateBrief(plan=box_plan(), prices={key: price(key, cost) for key, cost in PER_KG.items()}, terms=terms())
    return replace(whole, **changes)
