"""Asking the planner at moved drivers, and the exact coefficients of its minutes in the rates of work."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from costing.engine.brief import MaterialPrice
from costing.engine.labour import CASTING_DAYS
from costing.engine.spend import material_spend
from costing.engine.spread.model import RESIN, RUBBER
from costing.engine.spread.shifts import Shift, shifted
from jobs.planning.brief import Making, PlanBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import CoatRole, MoldPlan
from jobs.planning.weighing import laying_hours

# Minutes are linear in the rates; a step this small counts no cup more, and what is lost in rounding is far below a second.
STEP = 1e-6
CYCLE, EACH = "cycle", "each"
Rows = dict[str, dict[str, float]]


@dataclass(slots=True)
class Probe:
    """Plans one brief at shifts; counts how often it did."""

    brief: PlanBrief
    prices: Mapping[int | str, MaterialPrice]
    plans: int = 0
    uses: set[tuple[str, str]] = field(default_factory=set)
    base: MoldPlan = field(init=False)

    def __post_init__(self) -> None:
        """Plan it as it is, and settle what a moved driver must not decide anew."""
        self.base = make_plan(self.brief)
        builds = sum(coat.role is CoatRole.BUILD for coat in self.base.coats)
        if self.brief.making is Making.BRUSHED and builds:
            self.brief = replace(self.brief, build_coats=builds)

    def plan(self, shift: Shift) -> MoldPlan:
        """Plan the brief at a shift."""
        self.plans += 1
        return make_plan(shifted(self.brief, shift))

    def masses(self, plan: MoldPlan) -> dict[str, float]:
        """Return the rubber and resin to mix, and every line of material, by key [g]."""
        count = plan.casting.count if plan.casting else 0
        lines = material_spend(plan=plan, prices=self.prices, count=count).lines
        found = {line.key: line.mass.value for line in lines}
        resin = 0.0 if plan.resin_total is None else plan.resin_total.value
        return {**found, RUBBER: plan.rubber_fresh.value, RESIN: resin}

    def coefficients(self, shift: Shift, groups: Iterable[Sequence[str]]) -> Rows:
        """Return how many minutes each task takes for each unit of each rate; rates of one group share no task."""
        before = minutes_of(self.plan(shift))
        rows: Rows = {task: {} for task in before}
        for group in groups:
            steps = {key: max(self._rate(key, shift), 1.0) * STEP for key in group}
            moved = {key: self._rate(key, shift) + step for key, step in steps.items()}
            after = minutes_of(self.plan(replace(shift, rates={**shift.rates, **moved})))
            for task, minutes in after.items():
                change = minutes - before.get(task, minutes)
                if abs(change) > 1e-12:
                    key = next((key for key in group if (task, key) in self.uses), group[0])
                    rows[task][key] = change / steps[key]
        return rows

    def learn(self, keys: Sequence[str]) -> tuple[Rows, list[list[str]]]:
        """Find the coefficients at the plan one rate at a time, and groups of rates that no task shares."""
        rows = self.coefficients(Shift(), [[key] for key in keys])
        used = {key: {task for task, row in rows.items() if key in row} for key in keys}
        groups: list[list[str]] = []
        for key in sorted(keys, key=lambda one: -len(used[one])):
            if not used[key]:
                continue
            fitting = next((group for group in groups if all(used[key].isdisjoint(used[one]) for one in group)), None)
            if fitting is None:
                groups.append([key])
            else:
                fitting.append(key)
        self.uses = {(task, key) for key in keys for task in used[key]}
        return rows, groups

    def _rate(self, key: str, shift: Shift) -> float:
        found = shift.rates.get(key)
        return self.brief.rates[key].value if found is None else found


def minutes_of(plan: MoldPlan) -> dict[str, float]:
    """Return the minutes of every task but casting days, and of one casting its cycle and its hands."""
    found = {task.key: task.minutes.value for task in plan.tasks if task.key != CASTING_DAYS}
    if plan.casting is not None:
        found |= {CYCLE: plan.casting.cycle.value, EACH: plan.casting.minutes_each.value}
    return found


def clock_waits_min(plan: MoldPlan) -> float:
    """Return what of the time from the first coat to cured rubber nobody works. [min]"""
    hands = sum(place.minutes.value for coat in plan.coats for place in coat.places)
    return 60 * laying_hours(plan).value - hands / plan.people_per_coat
