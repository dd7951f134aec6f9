"""Ten thousand estimates at once: draws through the response model, and what they tell."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from costing.engine.brief import Terms
from costing.engine.estimate import Estimate
from costing.engine.shares import Share
from costing.engine.spread.draws import DRAWS, Normals, normals, values_of
from costing.engine.spread.drivers import HANDS, PRICES, Driver
from costing.engine.spread.measures import possible_measures
from costing.engine.spread.model import Array, Outcome, ResponseModel
from costing.engine.spread.results import PERCENTS, DriverShare, Measure, Range, Spread

LABELS = {
    "rubber": ("Fresh rubber to mix", "g"),
    "resin": ("Resin to mix for the run", "g"),
    "hours": ("Hours of work", "h"),
    "laying": ("From the first coat to cured rubber", "h"),
    "cost": ("Cost", "money"),
    "price": ("Price before tax, at the same margin", "money"),
}
COMMON = {HANDS: "All hands quicker or slower", PRICES: "All prices of materials"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Costing:
    """What an estimate costs and asks as planned: hands of mold and run, materials by line [money].

    `lines` are (key of the line, key of its price's driver, cost). `per_cost` is by how much the price rises with the cost.
    """

    cost: float
    net: float
    asked: float
    mold_h: float
    run_h: float
    mold_hands: float
    run_hands: float
    lines: tuple[tuple[str, str, float], ...]
    per_cost: float


def costing_of(estimate: Estimate, terms: Terms, *, asked: float | None = None) -> Costing:
    """Take from an estimate what its spread is computed with; `asked` is the price before tax that stands, if another.

    Haste and discount grow with the cost; storage and a least charge do not.
    """
    shares = (1 + float(terms.rush_percent) / 100) * (1 - float(terms.discount_percent) / 100)
    molds, further = [(1, estimate.mold)], estimate.further
    if further is not None:
        molds.append((further.count, further.each))
    mold = sum(count * (cost.labour.value + cost.overhead.value) for count, cost in molds)
    mold_h = sum(count * cost.hours.value for count, cost in molds)
    hands = estimate.makeup.labour.value + estimate.makeup.overhead.value
    material = estimate.mold.material.value
    times = sum(count * cost.material.value for count, cost in molds) / material if material else 1.0
    return Costing(
        cost=estimate.makeup.cost.value,
        net=estimate.makeup.net.value,
        asked=estimate.makeup.net.value if asked is None else asked,
        mold_h=mold_h,
        run_h=estimate.hours.value - mold_h,
        mold_hands=mold,
        run_hands=hands - mold,
        lines=tuple(
            (line.key, f"price-{line.material_key}", line.cost.value * (times if line.share is Share.MOLD else 1.0))
            for line in estimate.spend.lines
            if line.cost is not None
        ),
        per_cost=shares / (1 - float(terms.margin_percent) / 100),
    )


def spread_of(
    model: ResponseModel, drivers: Sequence[Driver], costing: Costing, *, seed: int, draws: int = DRAWS, measures: bool = True
) -> Spread:
    """Carry the spread of every driver to rubber, hours, days, cost and price.

    Parameters
    ----------
    model : ResponseModel
        The compiled plan.
    drivers : sequence of Driver
        What is uncertain; what is not among them stands as planned.
    costing : Costing
        The estimate as planned.
    seed : int
        The same seed gives the same figures.
    draws : int
        Estimates drawn.
    measures : bool
        Whether to recompute the price with narrower drivers.

    Notes
    -----
    The share of a driver is the first-order part of the cost's variance: its regression on the driver's own normal variable by
    Hermite polynomials of the first and second degree, which are orthogonal, so that shares add up; what drivers make only
    together is left.
    """
    drawn = normals(drivers, seed=seed, draws=draws)
    planned = model.at({}, 1)
    case = _case(model, drivers, costing, planned, values_of(drivers, drawn), draws)
    shares, together = _shares(case.cost, drivers, drawn)
    price = _range("price", case.price, costing.net)
    found: list[Measure] = []
    for measure in possible_measures(drivers, shares) if measures else ():
        narrower = {driver.key: driver for driver in measure.drivers}
        then = [narrower.get(driver.key, driver) for driver in drivers]
        values = values_of(then, drawn)
        again = _case(model, then, costing, planned, values, draws)
        found.append(replace(measure, price=_range("price", again.price, costing.net)))
    found.sort(key=lambda measure: measure.price.width)
    margin = 100 * (costing.asked - case.cost) / costing.asked if costing.asked else np.zeros(draws)
    at_plan = 100 * (costing.asked - costing.cost) / costing.asked if costing.asked else 0.0
    outcome = case.outcome
    return Spread(
        draws=draws,
        ranges=(
            _range("rubber", outcome.rubber_g, float(planned.rubber_g[0])),
            *((_range("resin", outcome.resin_g, float(planned.resin_g[0])),) if model.casting else ()),
            _range("hours", case.hours, costing.mold_h + costing.run_h),
            _range("laying", outcome.laying_h, float(planned.laying_h[0])),
            _range("cost", case.cost, costing.cost),
            price,
        ),
        margin=_named("margin", "Margin left at this price", "%", margin, at_plan),
        curve=tuple(float(value) for value in np.percentile(case.cost, np.arange(1, 100))),
        losing_percent=100 * float(np.mean(case.cost > costing.asked)),
        drivers=tuple(drivers),
        shares=shares,
        together_percent=together,
        measures=tuple(found),
        worst=tuple((model.worst or {}).items()),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """Every draw's quantities, hours, cost and price."""

    outcome: Outcome
    hours: Array
    cost: Array
    price: Array


def _case(
    model: ResponseModel, drivers: Sequence[Driver], costing: Costing, planned: Outcome, values: Mapping[str, Array], draws: int
) -> _Case:
    """Move the estimate's own cost by what its parts move, so that where nothing moves it is the estimate to the cent."""
    outcome = model.at(values, draws)
    mold, run = _ratio(outcome.mold_h, planned.mold_h), _ratio(outcome.run_h, planned.run_h)
    more = costing.mold_hands * (mold - 1) + costing.run_hands * (run - 1)
    price = {driver.key: driver.planned for driver in drivers}
    for key, driver, cost in costing.lines:
        if key in outcome.lines:
            dearer = values[driver] / price[driver] if price.get(driver) else 1.0
            more = more + cost * (_ratio(outcome.lines[key], planned.lines[key]) * dearer - 1)
    return _Case(
        outcome=outcome,
        hours=costing.mold_h * mold + costing.run_h * run,
        cost=costing.cost + more,
        price=costing.net + costing.per_cost * more,
    )


def _ratio(drawn: Array, planned: Array) -> Array:
    before = float(planned[0])
    found: Array = drawn / before if before > 0 else np.ones(len(drawn))
    return found


def _range(key: str, drawn: Array, planned: float) -> Range:
    label, unit = LABELS[key]
    return _named(key, label, unit, drawn, planned)


def _named(key: str, label: str, unit: str, drawn: Array, planned: float) -> Range:
    p10, p50, p90 = (float(value) for value in np.percentile(drawn, PERCENTS))
    return Range(key=key, label=label, unit=unit, planned=planned, p10=p10, p50=p50, p90=p90)


def _shares(cost: Array, drivers: Sequence[Driver], drawn: Normals) -> tuple[tuple[DriverShare, ...], float]:
    """Share the cost's variance out; what is left comes of drivers together, and of the noise of so many draws."""
    off = cost - cost.mean()
    whole = float(off @ off)
    if whole <= 1e-12 * max(float(cost @ cost), 1.0):
        return (), 0.0

    def made_by(normal: Array) -> float:
        square = normal * normal
        bases = (normal - normal.mean(), square - square.mean())
        return 100 / whole * sum(float((off @ basis) ** 2 / (basis @ basis)) for basis in bases)

    groups = {driver.group for driver in drivers if driver.group}
    found = [DriverShare(key=group, label=COMMON[group], percent=made_by(drawn.common[group])) for group in sorted(groups)]
    found += [DriverShare(key=driver.key, label=driver.label, percent=made_by(drawn.own[driver.key])) for driver in drivers]
    found.sort(key=lambda share: -share.percent)
    return tuple(found), max(100 - sum(share.percent for share in found), 0.0)
