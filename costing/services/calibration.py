"""Ranges that were frozen in quotes against what came out at the jobs since."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from costing.engine.learning.calibration import Calibration, Outcome, calibration_of, judged
from costing.models import Quote
from costing.services.facts import Facts, facts_of
from costing.services.plan_numbers import PlanNumbers, from_plain
from jobs.models import Job

# Less of the planned minutes noted, and the log says nothing of the whole.
ENOUGH = 0.8
MOST_JOBS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One quantity whose range is frozen: its key, name and unit."""

    key: str
    label: str
    unit: str


KINDS = (
    Kind(key="hours", label="Hours", unit="h"),
    Kind(key="rubber", label="Rubber", unit="g"),
    Kind(key="cost", label="Cost before margin", unit="money"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOutcome:
    """One delivered job with its range and what came out."""

    job: Job
    quote: Quote
    outcome: Outcome

    @property
    def words(self) -> str:
        """Where it came out."""
        return {"below": "below its P10", "inside": "between P10 and P90", "above": "above its P90"}[self.outcome.place]


@dataclass(frozen=True, slots=True, kw_only=True)
class KindFound:
    """All jobs of one quantity, the counts, and the sentence that they allow."""

    kind: Kind
    jobs: tuple[JobOutcome, ...]
    counts: Calibration
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibrated:
    """Every quantity, and delivered jobs that cannot be counted with the reason."""

    kinds: tuple[KindFound, ...]
    left_out: tuple[tuple[Job, str], ...]


def calibration() -> Calibrated:
    """Hold the ranges of accepted quotes against what came out, for delivered jobs, in a fixed number of queries."""
    accepted = Quote.objects.filter(state=Quote.State.ACCEPTED, job__state=Job.State.DELIVERED)
    quotes = list(accepted.select_related("job__client").order_by("-job__number")[:MOST_JOBS])
    facts = facts_of([quote.job for quote in quotes])
    found: dict[str, list[JobOutcome]] = {kind.key: [] for kind in KINDS}
    left_out: list[tuple[Job, str]] = []
    for quote in quotes:
        reason = "its quote holds no range"
        if isinstance(quote.inner.get("spread"), dict):
            reason = ""
            for kind in KINDS:
                outcome = _outcome(quote, kind, facts[quote.job_id])
                if isinstance(outcome, Outcome):
                    found[kind.key].append(JobOutcome(job=quote.job, quote=quote, outcome=outcome))
                else:
                    reason = reason or outcome
        if reason:
            left_out.append((quote.job, reason))
    kinds = (_found(kind, found[kind.key]) for kind in KINDS)
    return Calibrated(kinds=tuple(kinds), left_out=tuple(left_out))


def _found(kind: Kind, jobs: Sequence[JobOutcome]) -> KindFound:
    counts = calibration_of([one.outcome for one in jobs])
    return KindFound(kind=kind, jobs=tuple(jobs), counts=counts, said=judged(counts))


def _outcome(quote: Quote, kind: Kind, facts: Facts) -> Outcome | str:
    """Return where a job came out, or why that cannot be said."""
    numbers, ends = from_plain(quote.inner.get("plan")), _ends(quote.inner["spread"].get(kind.key))
    if numbers is None or ends is None:
        return f"its quote holds no range of {kind.label.lower()}"
    if kind.key in {"hours", "cost"} and not _noted_enough(numbers, facts):
        return "less than four fifths of its planned minutes are noted"
    if kind.key in {"rubber", "cost"} and facts.rubber_g <= 0:
        return "the stock has no rubber that was used for it"
    if kind.key == "cost" and not _used_enough(numbers, facts):
        return "the day book of the stock has less than four fifths of its planned materials, by what they cost"
    p10, p50, p90 = ends
    return Outcome(p10=p10, p50=p50, p90=p90, actual=_actual(kind, numbers, facts))


def _actual(kind: Kind, numbers: PlanNumbers, facts: Facts) -> float:
    minutes = sum((row.minutes for row in facts.work), Decimal(0))
    if kind.key == "hours":
        return float(minutes / 60)
    if kind.key == "rubber":
        return float(facts.rubber_g)
    materials = sum((one.value for one in facts.used.values() if not one.own), Decimal(0))
    labour = facts.labour(Decimal(repr(numbers.labour_per_h)))
    return float(materials + labour + facts.spent) + float(minutes / 60) * numbers.overhead_per_h


def _noted_enough(numbers: PlanNumbers, facts: Facts) -> bool:
    planned = sum(task.minutes for task in numbers.tasks)
    noted = facts.minutes
    return planned > 0 and sum(task.minutes for task in numbers.tasks if task.key in noted) >= ENOUGH * planned


def _used_enough(numbers: PlanNumbers, facts: Facts) -> bool:
    costs = {one.key: one.mass_g / 1000 * (one.per_kg or 0.0) for one in numbers.materials}
    return sum(cost for key, cost in costs.items() if key in facts.used) >= ENOUGH * sum(costs.values())


def _ends(kept: object) -> tuple[float, float, float] | None:
    """Read P10, P50 and P90; None where they are not numbers in this order."""
    found = [kept.get(name) for name in ("p10", "p50", "p90")] if isinstance(kept, Mapping) else []
    numbers = [float(one) for one in found if isinstance(one, int | float)]
    if len(numbers) != 3 or not 0 < numbers[0] <= numbers[1] <= numbers[2]:
        return None
    return numbers[0], numbers[1], numbers[2]
