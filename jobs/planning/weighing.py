"""Alternatives weighed: each planned whole, or the sentence that refuses it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from jobs.planning.alternatives import Alternative
from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from jobs.planning.sums import fact, total
from studio.figures import Figure, WorkingError

Spend = Callable[[MoldPlan], Figure | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """An alternative with its plan, or with why it cannot be planned.

    `laying` are the hours on the clock from the first coat until the rubber has cured; `spend` is what the materials cost,
    None where nobody asked for it.
    """

    alternative: Alternative
    plan: MoldPlan | None
    refusal: str = ""
    laying: Figure | None = None
    spend: Figure | None = None


def weigh(ways: Iterable[Alternative], *, spend: Spend | None = None) -> tuple[Weighed, ...]:
    """Plan each alternative.

    Parameters
    ----------
    ways : iterable of Alternative
        In the order in which they are shown.
    spend : callable, optional
        Returns what the materials of a plan cost [money]; prices are no business of planning.
    """
    return tuple(_weighed(way, spend) for way in ways)


def laying_hours(plan: MoldPlan) -> Figure:
    """Compute the hours on the clock from the first coat of a mold until its rubber has cured, worked round the clock. [h]"""
    hands = total(
        "laying_hands", "Hands on the coats", "min", [place.minutes for coat in plan.coats for place in coat.places],
        formula="minutes of every coat at every position",
    )  # fmt: skip
    waits = fact("Waits between coats and positions", _waits(plan), "min")
    people = fact("People at a coat", plan.people_per_coat, "1")
    return Figure(
        key="laying_hours",
        label="From the first coat to cured rubber",
        value=(hands.value / plan.people_per_coat + waits.value + plan.blanket_cure.value) / 60,
        unit="h",
        formula="(hands ÷ people + waits + cure) ÷ 60",
        given=(
            hands,
            people,
            waits,
            plan.blanket_cure,
        ),
        note="As if somebody were there by night; the Days page counts working hours.",
    )


def _waits(plan: MoldPlan) -> float:
    """Add up the waits after each coat at each position, the last one left out: it is the cure. [min]"""
    each = sum(coat.earliest_next.value for coat in plan.coats)
    return each * plan.positions - plan.coats[-1].earliest_next.value


def _weighed(way: Alternative, spend: Spend | None) -> Weighed:
    try:
        plan = make_plan(way.brief)
        return Weighed(
            alternative=way, plan=plan, laying=laying_hours(plan), spend=None if spend is None else spend(plan)
        )  # fmt: skip
    except WorkingError as error:
        return Weighed(alternative=way, plan=None, refusal=str(error))
