"""What the open jobs need of each material by when, against what is free, reserved and ordered."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils import timezone

from jobs.days import reading
from jobs.days.plans import PlannedJob, planned_jobs
from jobs.days.stock import materials_of_task
from jobs.models import Job, TimetableEntry
from jobs.services.reserving import LEAST_G, held_and_used, needs_of
from materials.inputs import specs_of
from materials.models import ExpectedDelivery, Material
from materials.science.material import MaterialSpec
from materials.science.reorder import ReorderPoint
from materials.science.stock_ahead import Ahead, Coming, Holding, Wanted, stock_ahead
from materials.services.expected import still_expected
from materials.services.own_use import OwnUse, own_use, reorder_of
from materials.services.pooled import Pooled, pools

Starts = Mapping[tuple[int, str], datetime.date]


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What one job still needs of a material, what of that is reserved, and the day it is wanted; `why_then` in words. [g]"""

    job: Job
    on: datetime.date
    why_then: str
    mass_g: Decimal
    held_g: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedLine:
    """One material: what is free, reserved, needed and ordered, and the free stock on the days ahead. [g]"""

    material: Material
    spec: MaterialSpec
    free_g: Decimal
    problem: str
    demands: tuple[Demand, ...]
    expected: tuple[ExpectedDelivery, ...]
    ahead: Ahead
    use: OwnUse
    point: ReorderPoint | None
    no_point: str

    @property
    def need_g(self) -> Decimal:
        """What all open jobs still need."""
        return sum((one.mass_g for one in self.demands), Decimal(0))

    @property
    def held_g(self) -> Decimal:
        """What of that is reserved."""
        return sum((one.held_g for one in self.demands), Decimal(0))

    @property
    def expected_g(self) -> Decimal:
        """What is ordered and has not come."""
        return sum((one.mass_g for one in self.expected), Decimal(0))

    @property
    def short_on(self) -> datetime.date | None:
        """The first day on which somebody's work lacks some of it."""
        return self.ahead.short_on

    @property
    def low_at_g(self) -> float | None:
        """Below what it is ordered again: computed from the studio's use, or typed for it."""
        if self.point is not None and self.point.point.value > 0:
            return self.point.point.value
        return None if self.material.low_below_g is None else float(self.material.low_below_g)

    @property
    def low(self) -> bool:
        """Whether what stays free falls below that."""
        return self.low_at_g is not None and self.ahead.steps[-1].stock_g < self.low_at_g


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedsAhead:
    """All lines, the shortest first, and what jobs could not be reckoned, in sentences."""

    lines: tuple[NeedLine, ...]
    left_out: tuple[dict[str, Any], ...]

    @property
    def short(self) -> tuple[NeedLine, ...]:
        """Those that run short."""
        return tuple(line for line in self.lines if line.short_on is not None)


def needs_ahead(today: datetime.date | None = None) -> NeedsAhead:
    """Read what all open jobs need against the stock, in as many queries however many jobs there are.

    A job's need is what its plan takes less what was used for it, on the day on which the days in use first open the material;
    without days, on the day it is to begin or is promised for. What is reserved for it is its own; the rest comes from what is
    free.
    """
    day = today or timezone.localdate()
    jobs, left_out = planned_jobs()
    demands = _demands(jobs, day)
    kept = Material.objects.in_use().weighed().exclude(lead_days=None, low_below_g=None)
    materials = Material.objects.in_bulk({*demands, *kept.values_list("pk", flat=True)})
    known, uses = specs_of(Material.objects.filter(pk__in=materials), priced=False), own_use(materials, day)
    free = pools(known, day)
    expected: dict[int, list[ExpectedDelivery]] = defaultdict(list)
    for one in still_expected().filter(material__in=materials):
        expected[one.material_id].append(one)
    lines = [
        _line(material, known[pk], uses[pk], free[pk], demands.get(pk, []), expected[pk], day)
        for pk, material in materials.items()
    ]
    lines.sort(key=lambda line: (line.short_on or datetime.date.max, not line.low, line.material.name))
    return NeedsAhead(lines=tuple(lines), left_out=tuple(left_out))


def _line(
    material: Material,
    spec: MaterialSpec,
    use: OwnUse,
    free: Pooled,
    demands: list[Demand],
    expected: list[ExpectedDelivery],
    today: datetime.date,
) -> NeedLine:
    demands = sorted(demands, key=lambda one: (one.on, one.job.number))
    point, no_point = reorder_of(material, use)
    return NeedLine(
        material=material,
        spec=spec,
        free_g=free.mass_g,
        problem=free.problem,
        demands=tuple(demands),
        expected=tuple(expected),
        ahead=stock_ahead(
            today=today,
            held=[Holding(mass_g=float(one.mass_g), good_until=one.good_until) for one in free.pairs],
            coming=[Coming(on=one.due_on, mass_g=float(one.mass_g)) for one in expected],
            wanted=[
                Wanted(on=one.on, mass_g=float(one.mass_g - one.held_g), by=one.job.number)
                for one in demands
                if one.mass_g > one.held_g
            ],
        ),
        use=use,
        point=point,
        no_point=no_point,
    )


def _demands(jobs: list[PlannedJob], today: datetime.date) -> dict[int, list[Demand]]:
    held, used = held_and_used(one.job.number for one in jobs)
    starts, listed = _starts(one.job.pk for one in jobs)
    found: dict[int, list[Demand]] = defaultdict(list)
    for one in jobs:
        opens = _opens(one, starts)
        for material, need_g in needs_of(one.made.needs).items():
            key = (one.job.number, material)
            left_g = need_g - used.get(key, Decimal(0))
            # What the days in use have done with is wanted no more, whatever was weighed for it.
            if left_g < LEAST_G or (one.job.pk in listed and material not in opens):
                continue
            on, why_then = _wanted_on(one.job, opens.get(material), today)
            found[material].append(
                Demand(job=one.job, on=on, why_then=why_then, mass_g=left_g, held_g=min(held.get(key, Decimal(0)), left_g))
            )
    return found


def _wanted_on(job: Job, opened_on: datetime.date | None, today: datetime.date) -> tuple[datetime.date, str]:
    if opened_on is not None:
        return max(opened_on, today), "by the days in use"
    if job.starts_at is not None:
        return max(timezone.localtime(job.starts_at).date(), today), "when the job begins"
    if job.promised_on is not None:
        return max(job.promised_on, today), "by the promised day, no days are laid out"
    return today, "no day is known: as if today"


def _starts(jobs: Iterable[int]) -> tuple[Starts, Collection[int]]:
    """Return the first day of each task that is not done yet in the days in use, and the jobs that they know."""
    timetable = reading.current()
    if timetable is None:
        return {}, ()
    rows = TimetableEntry.objects.filter(timetable=timetable, job__in=list(jobs)).order_by("starts_at")
    found: dict[tuple[int, str], datetime.date] = {}
    listed: set[int] = set()
    for job, plan_key, at, done in rows.values_list("job", "plan_key", "starts_at", "done"):
        listed.add(job)
        if not done:
            found.setdefault((job, plan_key), timezone.localtime(at).date())
    return found, listed


def _opens(one: PlannedJob, starts: Starts) -> dict[int, datetime.date]:
    """Return the first day on which each material of a job is opened."""
    found: dict[int, datetime.date] = {}
    for task in one.made.tasks:
        on = starts.get((one.job.pk, task.key))
        if on is None:
            continue
        for name in materials_of_task(task):
            key = one.materials[name].key if name in one.materials else None
            if isinstance(key, int):
                found[key] = min(found.get(key, on), on)
    return found
