"""How sure a job's estimate is: its plan compiled once, ten thousand estimates drawn, and a contingency taken from them.

The simulation is imported inside functions: numpy and scipy are wanted only when somebody asks.
"""

import hashlib
from dataclasses import dataclass, replace
from typing import Any, cast

from django.core.cache import cache

from costing.engine.brief import EstimateBrief
from costing.engine.estimate import Estimate, make_estimate
from costing.engine.spread.results import Spread
from costing.inputs import PlannedJob, brief_of, prices_of, terms_of, terms_values
from costing.models import Quote
from jobs.errors import JobNotReady
from jobs.inputs import brief_of as plan_brief_of
from jobs.inputs import latest_record, materials_of, takeoff_in
from jobs.planning.brief import PlanBrief
from jobs.services.plans import as_far_as_decided
from jobs.studies.following import shape_for
from materials.inputs import specs
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import StudioProfile
from studio.services.rates import current_rates

# A compiled plan is good for as long as its brief stays the same: it is kept under what it was made from.
KEPT_S = 24 * 3600
FORM = 1
HOURS_A_DAY = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSpread:
    """A job's estimate without a contingency, the price before tax that is asked, and how far the estimate may be off."""

    estimate: Estimate
    asked: float
    quote: Quote | None
    spread: Spread


def spread_of_job(found: PlannedJob, profile: StudioProfile) -> JobSpread:
    """Compute how sure the estimate of a job is, against the price of its standing quote or else of its terms.

    Raises
    ------
    WorkingError
        When the plan cannot be planned or priced; the message says why.
    """
    brief = brief_of(found, terms_values(terms_of(found.job), profile), profile)
    quote = Quote.objects.filter(job=found.job).standing().order_by("-version").first()
    asked = make_estimate(with_contingency(brief, found)).makeup.net.value if quote is None else float(quote.net_total)
    estimate, spread = _simulated(brief, found, asked=asked, measures=True)
    return JobSpread(estimate=estimate, asked=asked, quote=quote, spread=spread)


def with_contingency(brief: EstimateBrief, found: PlannedJob) -> EstimateBrief:
    """Put aside what the terms ask for: the cost that is not exceeded in so many of 100 cases, less the cost as planned."""
    percent = brief.terms.contingency_percentile
    if percent is None:
        return brief
    _, spread = _simulated(brief, found, asked=None, measures=False)
    return replace(brief, contingency=contingency_figure(spread, percent))


def contingency_figure(spread: Spread, percent: int) -> Figure:
    """Return the contingency at a percentage with its working. [money]"""
    cost = spread.of("cost")
    drawn = Source(kind=SourceKind.COMPUTED, text=f"{spread.draws} estimates drawn by the spread of every driver")
    at = Given(label=f"Cost not exceeded in {percent} of 100 cases", value=spread.cost_at(percent), unit="money", source=drawn)
    planned = Given(label="Cost as planned", value=cost.planned, unit="money", source=Source(kind=SourceKind.COMPUTED))
    return Figure(
        key="contingency",
        label="Contingency",
        value=spread.contingency(percent),
        unit="money",
        formula=f"cost not exceeded in {percent} of 100 cases − cost as planned, at least nought",
        given=(at, planned),
        note="It is paid once, in the mold’s line, whatever the number of castings.",
    )


def spread_values(found: PlannedJob, profile: StudioProfile, *, castings: int | None = None) -> dict[str, Any]:
    """Return P10, P50 and P90 of hours [h], rubber [g], cost [money] and days on the clock, to be frozen with a quote.

    `days` are those from the first coat to cured rubber, round the clock; `castings` replaces the number of the plan.
    """
    brief = brief_of(found, terms_values(terms_of(found.job), profile), profile, count=castings)
    _, spread = _simulated(brief, found, asked=None, measures=False)
    wanted = {"hours": ("hours", 1.0), "rubber": ("rubber", 1.0), "cost": ("cost", 1.0), "days": ("laying", HOURS_A_DAY)}
    values: dict[str, Any] = {"form": FORM, "draws": spread.draws}
    for name, (key, size) in wanted.items():
        one = spread.of(key)
        values[name] = {
            part: round(getattr(one, part) / size, 4) for part in ("planned", "p10", "p50", "p90")
        }  # fmt: skip
    return values


def planning_brief(found: PlannedJob) -> PlanBrief:
    """Return the brief that a job's plan was computed from, in a fixed number of queries."""
    decided, rates = as_far_as_decided(found.plan), current_rates()
    record = latest_record(found.job.piece)
    if record is None:
        raise JobNotReady("The piece is not measured yet; measure it on the Piece page.", page="jobs:piece_show")
    shape = shape_for(found.plan, record, rates)
    return plan_brief_of(decided, takeoff_in(record), rates, specs=specs(materials_of(decided)), shape=shape)


def _simulated(
    brief: EstimateBrief, found: PlannedJob, *, asked: float | None, measures: bool
) -> tuple[Estimate, Spread]:  # fmt: skip
    """Return the estimate without a contingency, and its spread; both are kept by what they were made from."""
    from costing.engine.spread.compile import compile_plan
    from costing.engine.spread.drivers import drivers_of
    from costing.engine.spread.simulate import costing_of, spread_of

    estimate = make_estimate(replace(brief, contingency=None))
    plan, prices = planning_brief(found), prices_of(found)
    costing = costing_of(estimate, brief.terms, asked=asked)
    name = _name(plan, sorted(map(repr, prices)))
    model = cache.get(name)
    if model is None:
        model = compile_plan(plan, prices)
        cache.set(name, model, KEPT_S)
    drivers = drivers_of(plan, used_rates=model.used_rates, spend=estimate.spend, prices=prices)
    drawn = _name(name, costing, drivers, found.job.number, measures)
    spread = cast("Spread | None", cache.get(drawn))
    if spread is None:
        spread = spread_of(model, drivers, costing, seed=found.job.number, measures=measures)
        cache.set(drawn, spread, KEPT_S)
    return estimate, spread


def _name(*parts: object) -> str:
    return f"spread-{FORM}-{hashlib.sha256(repr(parts).encode()).hexdigest()}"
