"""The jobs that are laid out, with their plans computed."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from jobs.days.said import doubt, left_out
from jobs.errors import JobNotReady
from jobs.inputs import MATERIAL_FIELDS, materials_of
from jobs.models import Job, Plan, TakeoffRecord
from jobs.planning.results import MoldPlan, Task
from jobs.planning.shape import ShapeBrief
from jobs.services.plans import SHELL_OPEN, as_far_as_decided, compute_with
from jobs.studies.following import shapes_for
from materials.inputs import specs
from materials.science.material import MaterialSpec
from studio.figures import Given, WorkingError
from studio.services.rates import current_rates
from studio.workrates import Stage

LAID_OUT = (Job.State.AGREED, Job.State.WORKING)
# Stages whose waits follow the room hour by hour; those of the others stand as the plan has them.
CURED_BY = {Stage.COATS: "rubber", Stage.FILL: "rubber", Stage.SHELL: "shell_matrix", Stage.CAST: "resin"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedJob:
    """A job and its plan; `made` has the waits of curing stages as they are at the day's temperature, without nights.

    `materials` are the plan's materials by its fields.
    """

    job: Job
    plan: Plan
    made: MoldPlan
    materials: Mapping[str, MaterialSpec]
    rates: Mapping[str, Given]

    @property
    def order(self) -> str:
        """The job's key in the scheduling core."""
        return order_key(self.job)

    def task(self, plan_key: str) -> Task:
        """Return a task of the plan."""
        return next(task for task in self.made.tasks if task.key == plan_key)


def order_key(job: Job) -> str:
    """Return the key of a job in the scheduling core."""
    return str(job.pk)


def planned_jobs(also: Job | None = None) -> tuple[list[PlannedJob], list[dict[str, Any]]]:
    """Compute the plans of all jobs that are laid out, and of one more; say which cannot be.

    The number of queries does not grow with the jobs.
    """
    wanted = Job.objects.filter(state__in=LAID_OUT)
    if also is not None:
        wanted = wanted | Job.objects.filter(pk=also.pk)
    jobs = list(
        wanted.select_related("client", "piece", "plan", "plan__scrap_bin")
        .prefetch_related("plan__own_minutes")
        .order_by("number")
    )
    for job in jobs:
        job.plan.job = job
    rates, records = current_rates(), _records(jobs)
    known = specs(chosen for job in jobs for chosen in materials_of(job.plan))
    shapes = shapes_for([(job.plan, records.get(job.piece.pk)) for job in jobs], rates)
    found: list[PlannedJob] = []
    said: list[dict[str, Any]] = []
    for job, shape in zip(jobs, shapes, strict=True):
        try:
            made = _made(job.plan, records.get(job.piece.pk), rates, known, shape)
        except JobNotReady as error:
            said.append(left_out(job, str(error), page=error.page))
            continue
        except WorkingError as error:
            said.append(left_out(job, str(error), page="jobs:mold_show"))
            continue
        if as_far_as_decided(job.plan) is not job.plan:
            said.append(doubt(SHELL_OPEN.text, job=job, page="jobs:shell_show"))
        materials = {field: known[key] for field in _fields(job.plan) if (key := getattr(job.plan, f"{field}_id")) in known}
        found.append(PlannedJob(job=job, plan=job.plan, made=made, materials=materials, rates=rates))
    return found, said


def _fields(plan: Plan) -> tuple[str, ...]:
    if plan.shell_kind != Plan.ShellKind.NONE:
        return MATERIAL_FIELDS
    return tuple(field for field in MATERIAL_FIELDS if not field.startswith("shell_"))


def _made(
    plan: Plan,
    record: TakeoffRecord | None,
    rates: Mapping[str, Given],
    known: Mapping[int, MaterialSpec],
    shape: ShapeBrief | None,
) -> MoldPlan:
    """Compute a plan whose curing stages wait as at the day's temperature: nights come in hour by hour."""
    decided = as_far_as_decided(plan)
    made = compute_with(decided, record, rates=rates, specs=known, shape=shape)
    if decided.night_temperature_c is None:
        return made
    without_night = copy.copy(decided)
    without_night.night_temperature_c = None
    by_day = compute_with(without_night, record, rates=rates, specs=known, shape=shape)
    waits = {task.key: task for task in by_day.tasks}
    return replace(
        made,
        tasks=tuple(
            replace(task, wait_after_min=waits[task.key].wait_after_min, latest_next_min=waits[task.key].latest_next_min)
            if task.stage in CURED_BY and task.key in waits
            else task
            for task in made.tasks
        ),
    )


def _records(jobs: list[Job]) -> dict[int, TakeoffRecord]:
    """Return the takeoff in use of each piece, in one query."""
    newest: dict[int, TakeoffRecord] = {}
    for record in TakeoffRecord.objects.filter(piece__job__in=[job.pk for job in jobs]).order_by("used_at", "pk"):
        newest[record.piece_id] = record
    return newest
