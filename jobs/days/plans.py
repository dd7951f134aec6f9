"""The jobs that are laid out, with their plans computed."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from jobs.days.said import doubt, left_out
from jobs.errors import JobNotReady
from jobs.inputs import MATERIAL_FIELDS
from jobs.models import Job, Plan
from jobs.planning.results import MoldPlan, Task
from jobs.planning.work.before import PATCH, POUR_STRIP
from jobs.services.plans import SHELL_OPEN, as_far_as_decided
from jobs.services.plans_together import Readings, readings_of
from materials.science.material import MaterialSpec
from studio.figures import Given, WorkingError
from studio.workrates import Stage

LAID_OUT = (Job.State.AGREED, Job.State.WORKING)
# Stages whose waits follow the room hour by hour; those of the others stand as the plan has them.
CURED_BY = {Stage.COATS: "rubber", Stage.FILL: "rubber", Stage.SHELL: "shell_matrix", Stage.CAST: "resin"}
# Work with fresh rubber that stands in a stage of its own.
OF_RUBBER = frozenset({POUR_STRIP, PATCH})


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
    found: list[PlannedJob] = []
    said: list[dict[str, Any]] = []
    for read in readings_of(wanted):
        job, plan = read.job, read.job.plan
        try:
            made = _made(read)
        except JobNotReady as error:
            said.append(left_out(job, str(error), page=error.page))
            continue
        except WorkingError as error:
            said.append(left_out(job, str(error), page="jobs:mold_show"))
            continue
        if as_far_as_decided(plan) is not plan:
            said.append(doubt(SHELL_OPEN.text, job=job, page="jobs:shell_show"))
        materials = {field: read.known[key] for field in _fields(plan) if (key := getattr(plan, f"{field}_id")) in read.known}
        found.append(PlannedJob(job=job, plan=plan, made=made, materials=materials, rates=read.rates))
    return found, said


def _fields(plan: Plan) -> tuple[str, ...]:
    if plan.shell_kind != Plan.ShellKind.NONE:
        return MATERIAL_FIELDS
    return tuple(field for field in MATERIAL_FIELDS if not field.startswith("shell_"))


def _made(read: Readings) -> MoldPlan:
    """Compute a plan whose curing stages wait as at the day's temperature: nights come in hour by hour."""
    decided = as_far_as_decided(read.job.plan)
    made = read.compute(decided)
    if decided.night_temperature_c is None:
        return made
    without_night = copy.copy(decided)
    without_night.night_temperature_c = None
    waits = {task.key: task for task in read.compute(without_night).tasks}
    return replace(
        made,
        tasks=tuple(
            replace(task, wait_after_min=waits[task.key].wait_after_min, latest_next_min=waits[task.key].latest_next_min)
            if task.stage in CURED_BY and task.key in waits
            else task
            for task in made.tasks
        ),
    )
