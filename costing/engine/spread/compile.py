"""From a plan's brief to its response model, in some hundred plans, each of a few milliseconds."""

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from costing.engine.brief import MaterialPrice
from costing.engine.shares import RUN_STAGES
from costing.engine.spread.checking import worst_errors
from costing.engine.spread.drivers import AREA, HABITS, LOSSES, SPOILED, TEMPERATURE, WALL, rate_keys
from costing.engine.spread.fitting import PLANE, bend, plane, surfaces
from costing.engine.spread.model import MOLD, RUN, Array, Casting, Mixing, ResponseModel, Surfaces
from costing.engine.spread.probe import CYCLE, EACH, Probe, Rows, clock_waits_min
from costing.engine.spread.shifts import Shift
from jobs.planning.brief import Making, PlanBrief
from jobs.planning.rates import DETAIL_AREA_M2
from jobs.planning.results import CoatPlace, MoldPlan, Task
from materials.science.casting import molds_kept_going
from materials.science.kinetics import time_at
from studio.figures import WorkingError
from studio.workrates import WORK_RATES

WARMER = (-6.0, -4.0, -2.0, -1.0, 0.0, 1.0, 2.0, 4.0, 6.0)
WALL_STEP = 0.1
NARROW_C, JUMP_SHARE = 0.01, 0.2
LEAST_AREA_STEP = 0.05
HANDLING, VACUUM, POURING = "mix_handling_min", "vacuum_min", "pour_min_per_l"
# A task that takes cups has these beside laying itself.
_BESIDE_LAYING = frozenset({"coat_setup_min", HANDLING, VACUUM, "step_min"})


def compile_plan(brief: PlanBrief, prices: Mapping[int | str, MaterialPrice]) -> ResponseModel:
    """Compile a plan into a response model.

    Parameters
    ----------
    brief : PlanBrief
        A brief that can be planned, with the studio's rates.
    prices : mapping
        What is known of each material's price; only which materials there are counts here.

    Returns
    -------
    ResponseModel
        Minutes linear in every rate, cups counted by the planner's own rule, amounts of work and masses log-quadratic in area,
        wall and losses, waits piecewise linear in the temperature.

    Raises
    ------
    WorkingError
        When the brief cannot be planned.
    """
    rates = {key: brief.rates.get(key) or kind.as_given() for key, kind in WORK_RATES.items()}
    # A piece keeps its kind of loss when its area moves.
    cups = rates["detail_loss_percent" if brief.takeoff.area.value <= DETAIL_AREA_M2 else "blanket_loss_percent"]
    rates |= {"detail_loss_percent": cups, "blanket_loss_percent": cups}
    brief = replace(brief, rates=rates)
    probe = Probe(brief, prices)
    model = _Compiling(brief=brief, probe=probe).model()
    return replace(model, points=probe.plans, worst=worst_errors(model, probe))


@dataclass(slots=True)
class _Compiling:
    """One compilation: the planner's answers at the design points, and the amounts of work found so far."""

    brief: PlanBrief
    probe: Probe
    rows: Rows = field(init=False)
    h: float = field(init=False)
    k: float = field(init=False)
    points: tuple[MoldPlan | None, ...] = ()
    jacobians: tuple[Rows | None, ...] = ()
    amounts: list[tuple[float, list[float]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Find the coefficients at the plan, and plan it at other areas and walls."""
        keys = rate_keys()
        self.rows, groups = self.probe.learn(keys)
        self.h = max(math.log1p(self.brief.takeoff.spread_percent.value / 100), LEAST_AREA_STEP)
        self.k = math.log1p(WALL_STEP)
        wide, thick = math.exp(self.h), math.exp(self.k)
        design = (
            Shift(area=1 / wide), Shift(area=wide), Shift(wall=1 / thick), Shift(wall=thick), Shift(area=wide, wall=thick),
        )  # fmt: skip
        self.points = tuple(self._try(shift) for shift in design)
        self.jacobians = tuple(
            None if plan is None else self.probe.coefficients(shift, groups)
            for shift, plan in zip(design, self.points, strict=True)
        )

    def model(self) -> ResponseModel:
        """Put the model together."""
        base, places = self.probe.base, self._coat_places()
        fixed, coats_fixed = [0.0, 0.0], 0.0
        sums: dict[tuple[int, str], list[float]] = {}
        mixing: list[Mixing] = []
        hands_of_coats: list[int] = []
        coats_work: list[tuple[str, int]] = []
        for task in base.tasks:
            if task.key not in self.rows:
                continue
            share = RUN if task.stage in RUN_STAGES else MOLD
            if not self._is_linear(task):
                fixed[share] += task.minutes.value
                coats_fixed += places[task.key].minutes.value if task.key in places else 0.0
                continue
            row = self.rows[task.key]
            for key in row:
                if HANDLING in row and key in (HANDLING, VACUUM):
                    continue
                found = self._at_points(task.key, key)
                sums[share, key] = [a + b for a, b in zip(sums.get((share, key), [0.0] * len(found)), found, strict=True)]
                if task.key in places:
                    coats_work.append((key, self._amount(found)))
            if HANDLING in row:
                if task.key in places:
                    hands_of_coats.append(len(mixing))
                mixing.append(self._mixing(task, share, places.get(task.key)))
        losses = self._losses()
        columns = PLANE + 2 * len(losses)
        mass_keys, masses = self._masses(losses, columns)
        temperatures, pot_life, waits, cycle = self._by_temperature()
        return ResponseModel(
            planned=self._planned(),
            losses=losses,
            work=surfaces([found[0] for found in sums.values()], [self._plane(found) for found in sums.values()], columns),
            work_of=tuple(sums),
            fixed_min=(fixed[MOLD], fixed[RUN]),
            mixing=tuple(mixing),
            amounts=surfaces([value for value, _ in self.amounts], [found for _, found in self.amounts], columns),
            masses=masses,
            mass_keys=mass_keys,
            temperatures=temperatures,
            pot_life=pot_life,
            laying_waits=waits,
            hands_of_coats=tuple(hands_of_coats),
            coats_work=tuple(coats_work),
            coats_fixed_min=coats_fixed,
            people=self.brief.people_per_coat,
            casting=self._casting(cycle),
            bucket_kg=self.brief.rates["pour_bucket_kg"].value,
        )

    def _try(self, shift: Shift) -> MoldPlan | None:
        """Plan at a shift; None where no such plan can be made, so that the response stays flat there."""
        try:
            return self.probe.plan(shift)
        except WorkingError:
            return None

    def _planned(self) -> dict[str, float]:
        brief = self.brief
        rates = {key: brief.rates[key].value for key in (*rate_keys(), *LOSSES, *HABITS)}
        return rates | {
            AREA: brief.takeoff.area.value, WALL: brief.wall_mm.value, TEMPERATURE: brief.temperature_c.value, SPOILED: 0.0,
        }  # fmt: skip

    def _is_linear(self, task: Task) -> bool:
        """Say whether a task's minutes are its rates times their amounts: what was typed for this job is not."""
        found = sum(amount * self.brief.rates[key].value for key, amount in self.rows[task.key].items())
        return math.isclose(found, task.minutes.value, rel_tol=1e-6, abs_tol=1e-6)

    def _coat_places(self) -> dict[str, CoatPlace]:
        """Return the coats of one mold at their positions, by the keys of their tasks."""
        many = self.brief.positions > 1
        return {
            f"coat_{coat.number}_position_{place.position}" if many else f"coat_{coat.number}": place
            for coat in self.probe.base.coats
            for place in coat.places
        }

    def _at_points(self, task: str, key: str) -> list[float]:
        """Return the amount of work of a task that a rate counts, at the plan and at every design point."""
        base = self.rows[task][key]
        return [base, *(base if rows is None else rows.get(task, {}).get(key, base) for rows in self.jacobians)]

    def _plane(self, found: list[float]) -> list[float]:
        base, small, large, thin, thick, both = found
        return plane(base, (small, large), (thin, thick), both, self.h, self.k)

    def _amount(self, found: list[float]) -> int:
        self.amounts.append((found[0], self._plane(found)))
        return len(self.amounts) - 1

    def _mixing(self, task: Task, share: int, place: CoatPlace | None) -> Mixing:
        row = self.rows[task.key]
        laying = tuple((key, self._amount(self._at_points(task.key, key))) for key in row if key not in _BESIDE_LAYING)
        pour = POURING in row and place is not None
        loss = "pour_loss_percent" if pour else "blanket_loss_percent"
        bucket = self._amount(self._poured(task.key)) if pour else None
        found = Mixing(share=share, laying=laying, loss=loss, drawn=VACUUM in row, bucket=bucket)
        counted = float(round(row[HANDLING]))
        return found if self._cups(found) == counted else replace(found, settled=counted)

    def _poured(self, task: str) -> list[float]:
        """Return what of a pour stays in the mold at one position, at the plan and at every design point [g]."""
        base = self._coat_places()[task]
        place = base.position - 1
        plans = [None if plan is None else plan.coats[0].places[place] for plan in self.points]
        return [(base if found is None else found).net_mass.value for found in (base, *plans)]

    def _cups(self, group: Mixing) -> float:
        """Count the cups of a group at the plan by the rule."""
        brief = self.brief
        pot_life = time_at(brief.rubber, "pot_life_min", brief.temperature_c).value
        left = brief.rates["pot_life_usable_share"].value * pot_life - brief.rates["mix_min"].value
        left -= brief.rates[VACUUM].value if group.drawn else 0.0
        kept = 1 - brief.rates[group.loss].value / 100
        laying = sum(brief.rates[key].value * self.amounts[row][0] for key, row in group.laying)
        cups = laying / kept / max(left, 1.0)
        if group.bucket is not None:
            cups = max(cups, self.amounts[group.bucket][0] / kept / 1000 / brief.rates["pour_bucket_kg"].value)
        return max(math.ceil(cups - 1e-9), 1.0)

    def _losses(self) -> tuple[str, ...]:
        brief = self.brief
        wanted = {
            "blanket_loss_percent": True,
            "pour_loss_percent": brief.making is not Making.BRUSHED,
            "shell_loss_percent": self.probe.base.shell is not None,
            "resin_loss_percent": brief.casting is not None,
        }
        return tuple(key for key, is_used in wanted.items() if is_used)

    def _masses(self, losses: tuple[str, ...], columns: int) -> tuple[tuple[str, ...], Surfaces]:
        base = self.probe.masses(self.probe.base)
        at_points = [base if plan is None else self.probe.masses(plan) for plan in self.points]
        table = {key: self._plane([value, *(found.get(key, value) for found in at_points)]) for key, value in base.items()}
        for loss in losses:
            planned = self.brief.rates[loss].value
            ends = [max(planned - 5.0, 0.0) if planned > 0 else 2.5, min(planned + 8.0, 80.0)]
            shifts = [Shift(rates=with_loss(loss, end)) for end in ends]
            found = [self.probe.masses(plan) if (plan := self._try(shift)) is not None else base for shift in shifts]
            for key, value in base.items():
                pairs = [
                    (math.log((100 - planned) / (100 - end)), one.get(key, value)) for end, one in zip(ends, found, strict=True)
                ]
                table[key] += bend(value, pairs)
        return tuple(base), surfaces(list(base.values()), list(table.values()), columns)

    def _by_temperature(self) -> tuple[Array, Array, Array, Array]:
        """Return temperatures, and at each the pot life, the waits from first coat to cured, and those of one casting [min]."""
        worked = sum(amount * self.brief.rates[key].value for key, amount in self.rows.get(CYCLE, {}).items())
        found = {warmer: row for warmer in WARMER if (row := self._at_warmth(warmer, worked)) is not None}
        # Where a cure runs into a colder night the waits jump: such a place is closed in, so that it is hardly ever met.
        for left, right in itertools.pairwise(sorted(found)):
            self._close_in(found, left, right, worked)
        table = np.asarray([found[warmer] for warmer in sorted(found)])
        return table[:, 0], table[:, 1], table[:, 2], table[:, 3]

    def _close_in(self, found: dict[float, tuple[float, ...]], left: float, right: float, worked: float) -> None:
        """Halve a step of the temperature until its waits do not jump, or it is narrower than anybody feels."""
        while right - left > NARROW_C and any(_jumps(a, b) for a, b in zip(found[left][2:], found[right][2:], strict=True)):
            middle = (left + right) / 2
            row = self._at_warmth(middle, worked)
            if row is None:
                return
            found[middle] = row
            if any(_jumps(a, b) for a, b in zip(found[left][2:], row[2:], strict=True)):
                right = middle
            else:
                left = middle

    def _at_warmth(self, warmer: float, worked: float) -> tuple[float, ...] | None:
        plan = self.probe.base if warmer == 0 else self._try(Shift(warmer=warmer))
        if plan is None:
            return None
        day = self.brief.temperature_c
        there = replace(day, value=day.value + warmer)
        cycle = 0.0 if plan.casting is None else plan.casting.cycle.value - worked
        return there.value, time_at(self.brief.rubber, "pot_life_min", there).value, clock_waits_min(plan), cycle

    def _casting(self, waits: Array) -> Casting | None:
        casting = self.probe.base.casting
        if casting is None:
            return None
        kept = molds_kept_going(
            self.brief.molds, active_min=casting.minutes_each.value, cycle_min=casting.cycle.value
        )  # fmt: skip
        return Casting(
            count=casting.count, kept=kept, hands=tuple(self.rows[EACH].items()), cycle=tuple(self.rows[CYCLE].items()),
            waits=waits, shift_h=self.brief.rates["shift_h"].value,
        )  # fmt: skip


def _jumps(one: float, other: float) -> bool:
    return abs(one - other) > JUMP_SHARE * max(abs(one), abs(other))


def with_loss(key: str, percent: float) -> dict[str, float]:
    """Return the rates that say a loss: that of brushed rubber stands under both of its keys."""
    both = ("blanket_loss_percent", "detail_loss_percent")
    return dict.fromkeys(both if key in both else (key,), percent)
