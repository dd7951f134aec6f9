"""What jobs need against what is here and what is ordered, in the order in which jobs are promised."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import F, Q, Sum
from django.utils import timezone

from jobs.days.clock import Grid, local
from jobs.days.plans import OF_RUBBER, PlannedJob
from jobs.days.said import missing, overdue
from jobs.planning.results import Component, Task
from jobs.planning.work.work import plain_key
from materials.models import ExpectedDelivery, Lot, Movement
from studio.workrates import Stage

# Less than this is no shortage: nothing is weighed closer.
_LEAST_G = 1.0
_FIELDS_OF = {
    Stage.COATS: ("rubber", "thickener", "tint"),
    Stage.FILL: ("rubber", "thickener", "tint"),
    Stage.SHELL: ("shell_matrix", "shell_reinforcement"),
    Stage.CAST: ("resin", "casting_tint"),
}
Kind = Movement.Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """When the materials of each job are all here: by job and material, where that is not now; and what is missing."""

    opens: Mapping[tuple[int, int], datetime.date] = field(default_factory=dict)
    said: tuple[dict[str, Any], ...] = ()

    def opening(self, planned: PlannedJob, task: Task, grid: Grid) -> int:
        """Return the step at which a task's materials are here: the morning of the last delivery that it waits for."""
        keys = (planned.materials[name].key for name in materials_of_task(task) if name in planned.materials)
        days = [self.opens[planned.job.pk, key] for key in keys if isinstance(key, int) and (planned.job.pk, key) in self.opens]
        return max((grid.step_of(local(day, datetime.time(0)), up=True) for day in days), default=0)


@dataclass(slots=True)
class _Source:
    """Something that jobs take from: what is free, or a delivery with its day."""

    left_g: float
    on: datetime.date | None = None


def materials_of_task(task: Task) -> tuple[str, ...]:
    """Return the fields of a plan whose materials a task opens."""
    plain = plain_key(task.key)
    if plain in OF_RUBBER:
        return _FIELDS_OF[Stage.COATS]
    if plain in ("seal", "release"):
        return ("sealer",) if plain == "seal" else ("release",)
    return _FIELDS_OF.get(task.stage, ())


def supply(jobs: Iterable[PlannedJob], begun: Collection[tuple[int, str]] = frozenset()) -> Supply:
    """Give what is free and what is ordered to the jobs, those that are promised first before the others.

    What is reserved for a job or was used for it counts as its own. A job waits for the whole of a material that it needs;
    what has all been opened for tasks that have `begun` (job and key in the plan) is wanted no more.
    """
    listed = sorted(jobs, key=lambda one: (one.job.promised_on or datetime.date.max, one.job.number))
    needs = {one.job.pk: _needs(one, begun) for one in listed}
    wanted = {key for own in needs.values() for key in own}
    if not wanted:
        return Supply()
    sources, own = _sources(wanted), _own(wanted, [one.job.number for one in listed])
    opens: dict[tuple[int, int], datetime.date] = {}
    said: list[dict[str, Any]] = _overdue(sources, wanted)
    for one in listed:
        for key, (name, mass_g) in needs[one.job.pk].items():
            short_g, on = _take(sources[key], mass_g - own.get((one.job.number, key), 0.0))
            if on is not None:
                opens[one.job.pk, key] = on
            if short_g >= _LEAST_G:
                said.append(missing(one.job, name, material_id=key, missing_g=short_g))
    return Supply(opens=opens, said=tuple(said))


def _take(sources: list[_Source], wanted_g: float) -> tuple[float, datetime.date | None]:
    """Take a mass from what is here and then from deliveries; return what is short, and the day of the last that is wanted."""
    on: datetime.date | None = None
    for source in sources:
        if wanted_g < _LEAST_G:
            break
        taken = min(source.left_g, wanted_g)
        if taken > 0:
            source.left_g -= taken
            wanted_g -= taken
            on = source.on or on
    return max(wanted_g, 0.0), on


def _needs(planned: PlannedJob, begun: Collection[tuple[int, str]]) -> dict[int, tuple[str, float]]:
    """Return what a job still needs by material: its name and grams, all components together; scrap has bins of its own."""
    ahead = (task for task in planned.made.tasks if (planned.job.pk, task.key) not in begun)
    wanted = {planned.materials[name].key for task in ahead for name in materials_of_task(task) if name in planned.materials}
    found: dict[int, tuple[str, float]] = {}
    for need in planned.made.needs:
        if need.component is Component.SCRAP or not isinstance(need.material_key, int) or need.material_key not in wanted:
            continue
        name = next((spec.name for spec in planned.materials.values() if spec.key == need.material_key), need.name)
        found[need.material_key] = (name, found.get(need.material_key, ("", 0.0))[1] + need.mass.value)
    return found


def _sources(wanted: set[int]) -> dict[int, list[_Source]]:
    """Return what is free of each material and then its deliveries by their day, in two queries."""
    found: dict[int, list[_Source]] = {key: [] for key in wanted}
    usable = Lot.objects.usable(timezone.localdate()).filter(material__in=wanted).order_by()
    for key, free_g in usable.values_list("material").annotate(free=Sum(F("on_hand_g") - F("reserved_g"))):
        found[key].append(_Source(left_g=float(free_g)))
    for key, mass_g, due_on in _expected(wanted).values_list("material", "mass_g", "due_on"):
        found[key].append(_Source(left_g=float(mass_g), on=max(due_on, timezone.localdate())))
    return found


def _expected(wanted: set[int]) -> Any:
    open_ones = ExpectedDelivery.objects.filter(material__in=wanted, arrived_at=None, cancelled_at=None)
    return open_ones.order_by("due_on", "pk")


def _overdue(sources: Mapping[int, list[_Source]], wanted: set[int]) -> list[dict[str, Any]]:
    if not any(source.on is not None for listed in sources.values() for source in listed):
        return []
    late = _expected(wanted).filter(due_on__lt=timezone.localdate()).select_related("material")
    return [overdue(row.material.name, row.due_on) for row in late]


def _own(wanted: set[int], numbers: list[int]) -> dict[tuple[int, int], float]:
    """Return what is reserved for each job and what was used for it, by job number and material, in one query."""
    lines = Movement.objects.filter(lot__material__in=wanted, job_number__in=numbers).order_by()
    used = Sum("mass_g", filter=Q(kind__in=[Kind.ISSUE, Kind.RETURN]) | Q(reverses__kind__in=[Kind.ISSUE, Kind.RETURN]))
    found: dict[tuple[int, int], float] = defaultdict(float)
    rows = lines.values_list("job_number", "lot__material").annotate(held=Sum("reserved_g"), used=used)
    for number, key, held_g, used_g in rows:
        found[number, key] = float(held_g or 0) - float(used_g or 0)
    return found
