"""A further mold of the same piece: what it costs beside the first, and what it sells for."""

import math
from dataclasses import dataclass, replace
from decimal import Decimal

from costing.engine.brief import EstimateBrief
from costing.engine.cost import Cost, cost_of
from costing.engine.labour import TaskHours, add_hours
from costing.engine.shares import Share
from costing.engine.spend import material_spend
from jobs.planning.results import Component
from jobs.planning.run.molds import done_once, key_of
from studio.figures import Figure, Given

# What is told by need alone: sealer once for the piece; release, whose need holds every pull of the run.
_NOT_AGAIN = frozenset({Component.SEALER, Component.RELEASE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Further:
    """So many further molds, each at the same cost and price; `net` and `total` are of all of them, money before tax."""

    count: int
    each: Cost
    net: Decimal
    total: Figure
    hours: Figure


def further_mold(brief: EstimateBrief, tasks: tuple[TaskHours, ...]) -> Cost:
    """Cost one more mold of the plan, made with the first.

    Parameters
    ----------
    brief : EstimateBrief
        The plan, prices, terms.
    tasks : tuple of TaskHours
        Every task of the plan.

    Returns
    -------
    Cost
        Material of one mold without sealer and release, and the hours that every mold takes again: not the talk with the client,
        nor cleaning, mending, sealing and testing the piece.

    Notes
    -----
    A further mold is taken to find as much old rubber as the planned ones use.
    """
    plan, molds = brief.plan, brief.plan.molds
    needs = tuple(need for need in plan.needs if need.component not in _NOT_AGAIN)
    whole = material_spend(plan=replace(plan, needs=needs), prices=brief.prices, count=0).total(
        Share.MOLD, key="further-mold-all", label="Rubber, shell and fill of the planned molds"
    )
    material = whole
    if molds > 1:
        material = Figure(
            key="further-mold-material",
            label="Material of one mold more",
            value=whole.value / molds,
            unit="money",
            formula="material of the planned molds ÷ molds",
            given=(whole, Given(label="Molds", value=molds, unit="1")),
        )
    return cost_of(
        stem="further-mold",
        what="a further mold",
        material=replace(
            material,
            note=f"{material.note} Without sealer and release, a few grams. Old rubber counts as at hand for it, too.".strip(),
        ),
        hours=replace(
            add_hours(again(tasks, molds), key="further-mold-hours", label="Hours that a mold takes again"),
            note="Without what is done once: talking to the client, cleaning, mending, sealing and testing the piece.",
        ),
        terms=brief.terms,
        places=brief.places,
    )


def again(tasks: tuple[TaskHours, ...], molds: int) -> tuple[TaskHours, ...]:
    """Return the tasks that one more mold takes, as the last of the planned molds takes them."""
    if molds > 1:
        ending = key_of("", molds)
        return tuple(task for task in tasks if task.key.endswith(ending))
    return tuple(task for task in tasks if not done_once(key=task.key, stage=task.stage))


def made_later(mold: Cost, one: Cost, molds: int) -> Figure:
    """Return what a mold costs that is made when the run stands: the piece is fetched and prepared anew. [money]

    What is put aside for the whole job is no part of it.
    """
    aside = 0.0 if mold.contingency is None else mold.contingency.value
    value = mold.cost.value - aside - (molds - 1) * one.cost.value
    return Figure(
        key="later-mold-cost",
        label="Cost of a mold made later",
        value=max(value, one.cost.value),
        unit="money",
        formula="material + labour + overhead of the mold"
        if molds == 1
        else "material + labour + overhead of the planned molds − (molds − 1) × cost of a further one",
        given=(mold.material, mold.labour, mold.overhead)
        if molds == 1
        else (mold.material, mold.labour, mold.overhead, Given(label="Molds", value=molds, unit="1"), one.cost),
    )


def priced_further(one: Cost, count: int) -> Further | None:
    """Price so many further molds; None where none is decided."""
    if count < 1:
        return None
    number = Given(label="Further molds", value=count, unit="1")
    net = one.unit_price * count
    return Further(
        count=count,
        each=one,
        net=net,
        total=Figure(
            key="further-mold-total",
            label="Price of a further mold" if count == 1 else f"Price of {count} further molds",
            value=float(net),
            unit="money",
            formula="price of each × further molds",
            given=(one.price, number),
        ),
        hours=Figure(
            key="further-molds-hours",
            label="Hours on further molds",
            value=math.fsum([one.hours.value] * count),
            unit="h",
            formula="further molds × hours for each",
            given=(number, one.hours),
        ),
    )
