"""Compiled plans for the tests of the spread: the planning tests' box with prices typed there."""

from functools import cache
from typing import Any

from costing.engine.estimate import Estimate, make_estimate
from costing.engine.spread.compile import compile_plan
from costing.engine.spread.drivers import Driver, drivers_of
from costing.engine.spread.model import ResponseModel
from costing.engine.spread.simulate import Costing, costing_of
from jobs.planning.brief import PlanBrief
from jobs.planning.plan import make_plan
from tests.costing.engine.builders import PER_KG, price, terms
from tests.costing.engine.builders import brief as priced
from tests.jobs.planning.builders import brief

PRICES: dict[int | str, Any] = {key: price(key, cost) for key, cost in PER_KG.items()}


def compiled(plan_brief: PlanBrief, **of_terms: Any) -> tuple[ResponseModel, tuple[Driver, ...], Costing, Estimate]:
    """Return a plan's response model, its drivers, and its costs."""
    model = compile_plan(plan_brief, PRICES)
    asked = terms(**of_terms)
    estimate = make_estimate(priced(plan=make_plan(plan_brief), terms=asked))
    drivers = drivers_of(plan_brief, used_rates=model.used_rates, spend=estimate.spend, prices=PRICES)
    return model, drivers, costing_of(estimate, asked), estimate


@cache
def box() -> tuple[ResponseModel, tuple[Driver, ...], Costing, Estimate]:
    """Return the box with fill, shell, ten castings."""
    return compiled(brief())
