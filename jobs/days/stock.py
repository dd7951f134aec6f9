"""What jobs need against what is here and what is ordered, in the order in which jobs are promised."""

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone

from jobs.days.clock import Grid, local
from jobs.days.plans import OF_RUBBER, PlannedJob
from jobs.days.said import missing, overdue
from jobs.planning.results import Task
from jobs.planning.work.work import plain_key
from jobs.services.reserving import held_and_used, needs_of
from materials.models import ExpectedDelivery
from materials.science.material import MaterialSpec
from materials.science.stock_ahead import LEAST_G
from materials.services.expected import still_expected
from materials.services.pooled import pools
from studio.workrates import Stage

_FIELDS_OF = {
    Stage.COATS: ("rubber", "thickener", "tint"),
    Stage.FILL: ("rubber", "thickener", "tint"),
    Stage.SHELL: ("shell_matrix", "shell_reinforcement"),
    Stage.CAST: ("resin", "casting_tint"),
}


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
    specs = (spec for one in listed for spec in one.materials.values())
    known = {spec.key: spec for spec in specs if isinstance(spec.key, int) and spec.key in wanted}
    ordered = list(still_expected().filter(material__in=known))
    sources = _sources(known, ordered)
    held, used = held_and_used(one.job.number for one in listed)
    opens: dict[tuple[int, int], datetime.date] = {}
    said = [overdue(one.material.name, one.due_on) for one in ordered if one.due_on < timezone.localdate()]
    for one in listed:
        for key, mass_g in needs[one.job.pk].items():
            own = (one.job.number, key)
            short_g, on = _take(sources[key], mass_g - float(held.get(own, 0) + used.get(own, 0)))
            if on is not None:
                opens[one.job.pk, key] = on
            if short_g >= LEAST_G:
                said.append(missing(one.job, known[key].name, material_id=key, missing_g=short_g))
    return Supply(opens=opens, said=tuple(said))


def _take(sources: list[_Source], wanted_g: float) -> tuple[float, datetime.date | None]:
    """Take a mass from what is here and then from deliveries; return what is short, and the day of the last that is wanted."""
    on: datetime.date | None = None
    for source in sources:
        if wanted_g < LEAST_G:
            break
        taken = min(source.left_g, wanted_g)
        if taken > 0:
            source.left_g -= taken
            wanted_g -= taken
            on = source.on or on
    return max(wanted_g, 0.0), on


def _needs(planned: PlannedJob, begun: Collection[tuple[int, str]]) -> dict[int, float]:
    """Return what a job still needs by material. [g]"""
    ahead = (task for task in planned.made.tasks if (planned.job.pk, task.key) not in begun)
    wanted = {planned.materials[name].key for task in ahead for name in materials_of_task(task) if name in planned.materials}
    return {key: float(mass_g) for key, mass_g in needs_of(planned.made.needs).items() if key in wanted}


def _sources(known: Mapping[int, MaterialSpec], ordered: Iterable[ExpectedDelivery]) -> dict[int, list[_Source]]:
    """Return what is free of each material, A and B paired, and then its deliveries by their day."""
    today = timezone.localdate()
    found = {key: [_Source(left_g=float(free.mass_g))] for key, free in pools(known, today).items()}
    for one in ordered:
        found[one.material_id].append(_Source(left_g=float(one.mass_g), on=max(one.due_on, today)))
    return found
