"""The response model held against the planner itself, at points that it was not fitted through."""

import math

import numpy as np

from costing.engine.labour import CASTING_DAYS
from costing.engine.spread.drivers import AREA, TEMPERATURE, WALL, rate_keys
from costing.engine.spread.model import RUBBER, STARTUP, ResponseModel
from costing.engine.spread.probe import Probe
from costing.engine.spread.shifts import Shift
from jobs.planning.results import MoldPlan
from jobs.planning.weighing import laying_hours
from studio.figures import WorkingError

CHECKS = 3
HOURS, MASS, LAYING = "hours", "rubber", "first coat to cured"


def worst_errors(model: ResponseModel, probe: Probe, *, checks: int = CHECKS, seed: int = 7) -> dict[str, float]:
    """Return the largest errors against the planner at random points, in percent, by quantity.

    Each point moves area, wall, temperature, losses and all rates at once, most of the way to the ends of what is usual.
    """
    random = np.random.default_rng(seed)
    worst = dict.fromkeys((HOURS, MASS, LAYING), 0.0)
    for _ in range(checks):
        values = _somewhere(model, probe, random)
        try:
            plan = probe.plan(shift_of(model, values))
        except WorkingError:
            continue
        found = model.at({key: np.array([value]) for key, value in values.items()}, 1)
        pairs = {
            HOURS: (float(found.mold_h[0] + found.run_h[0]), hours_of(plan, values.get(STARTUP, model.planned[STARTUP]))),
            MASS: (float(found.rubber_g[0]), probe.masses(plan)[RUBBER]),
            LAYING: (float(found.laying_h[0]), laying_hours(plan).value),
        }
        for key, (told, true) in pairs.items():
            worst[key] = max(worst[key], 100 * abs(told - true) / max(abs(true), 1e-9))
    return worst


def shift_of(model: ResponseModel, values: dict[str, float]) -> Shift:
    """Return the shift of the planner that stands for values of drivers."""
    from costing.engine.spread.compile import with_loss

    rates: dict[str, float] = {}
    for key, value in values.items():
        if key not in (AREA, WALL, TEMPERATURE):
            rates |= with_loss(key, value)
    return Shift(
        area=values.get(AREA, model.planned[AREA]) / model.planned[AREA],
        wall=values.get(WALL, model.planned[WALL]) / model.planned[WALL],
        warmer=values.get(TEMPERATURE, model.planned[TEMPERATURE]) - model.planned[TEMPERATURE],
        rates=rates,
    )


def hours_of(plan: MoldPlan, startup_h: float) -> float:
    """Return the hours that a price counts: casting days by castings a day, as runs are priced."""
    minutes = sum(task.minutes.value for task in plan.tasks if task.key != CASTING_DAYS)
    if plan.casting is not None:
        days = math.ceil(plan.casting.count / max(plan.casting.per_day.value, 1.0) - 1e-9)
        minutes += 60 * startup_h * days
    return minutes / 60


def _somewhere(model: ResponseModel, probe: Probe, random: np.random.Generator) -> dict[str, float]:
    share = probe.brief.takeoff.spread_percent.value / 100
    values = {
        AREA: model.planned[AREA] * (1 + share) ** random.uniform(-1, 1),
        WALL: model.planned[WALL] * random.uniform(0.93, 1.15),
        TEMPERATURE: model.planned[TEMPERATURE] + random.uniform(-2.5, 2.5),
    }
    for key in (*rate_keys(), *model.losses):
        given = probe.brief.rates[key]
        low = given.value if given.low is None else min(given.low, given.value)
        high = given.value if given.high is None else max(given.high, given.value)
        turn = random.uniform(-0.7, 0.7)
        values[key] = given.value + turn * ((high - given.value) if turn > 0 else (given.value - low))
    return values
