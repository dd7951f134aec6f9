"""The plans of many jobs computed together, in a number of queries that does not grow with the jobs."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from jobs.errors import JobNotReady
from jobs.inputs import materials_of
from jobs.models import Job, Plan, TakeoffRecord
from jobs.planning.results import MoldPlan
from jobs.planning.shape import ShapeBrief
from jobs.services.plans import as_far_as_decided, compute_with
from jobs.studies.following import shapes_for
from materials.inputs import specs
from materials.science.material import MaterialSpec
from studio.figures import Given, WorkingError
from studio.services.rates import current_rates


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """All that the plan of one job is computed from, read already; `known` are the materials of all jobs read with it."""

    job: Job
    record: TakeoffRecord | None
    shape: ShapeBrief | None
    rates: Mapping[str, Given]
    known: Mapping[int, MaterialSpec]

    def compute(self, plan: Plan) -> MoldPlan:
        """Compute the job's plan, or a copy of it that is decided otherwise."""
        return compute_with(plan, self.record, rates=self.rates, specs=self.known, shape=self.shape)


def readings_of(wanted: "QuerySet[Any]") -> list[Readings]:
    """Read what the plans of jobs are computed from, by the jobs' numbers."""
    jobs = list(
        wanted.select_related("client", "piece", "plan", "plan__scrap_bin")
        .prefetch_related("plan__own_minutes")
        .order_by("number")
    )  # fmt: skip
    if not jobs:
        return []
    rates, records = current_rates(), _records(jobs)
    known = specs(chosen for job in jobs for chosen in materials_of(job.plan))
    shapes = shapes_for([(job.plan, records.get(job.piece.pk)) for job in jobs], rates)
    return [
        Readings(job=job, record=records.get(job.piece.pk), shape=shape, rates=rates, known=known)
        for job, shape in zip(jobs, shapes, strict=True)
    ]


def plans_of(job_ids: Iterable[int]) -> dict[int, MoldPlan | str]:
    """Return the plan of each job, or a sentence that says why it cannot be computed now."""
    found: dict[int, MoldPlan | str] = {}
    for read in readings_of(Job.objects.filter(pk__in=set(job_ids))):
        try:
            found[read.job.pk] = read.compute(as_far_as_decided(read.job.plan))
        except (JobNotReady, WorkingError) as error:
            found[read.job.pk] = str(error)
    return found


def _records(jobs: list[Job]) -> dict[int, TakeoffRecord]:
    """Return the takeoff in use of each piece, in one query."""
    rows = TakeoffRecord.objects.filter(piece__job__in=[job.pk for job in jobs]).order_by("used_at", "pk")
    return {record.piece_id: record for record in rows}
