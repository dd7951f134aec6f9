"""The plans of many jobs computed together, in a number of queries that does not grow with the jobs."""

from collections.abc import Iterable

from jobs.errors import JobNotReady
from jobs.inputs import materials_of
from jobs.models import Job, TakeoffRecord
from jobs.planning.results import MoldPlan
from jobs.services.plans import as_far_as_decided, compute_with
from jobs.studies.following import shapes_for
from materials.inputs import specs
from studio.figures import WorkingError
from studio.services.rates import current_rates


def plans_of(job_ids: Iterable[int]) -> dict[int, MoldPlan | str]:
    """Return the plan of each job, or a sentence that says why it cannot be computed now."""
    jobs = list(
        Job.objects.filter(pk__in=set(job_ids))
        .select_related("client", "piece", "plan", "plan__scrap_bin")
        .prefetch_related("plan__own_minutes")
        .order_by("number")
    )
    if not jobs:
        return {}
    rates, records = current_rates(), _records(jobs)
    known = specs(chosen for job in jobs for chosen in materials_of(job.plan))
    shapes = shapes_for([(job.plan, records.get(job.piece.pk)) for job in jobs], rates)
    found: dict[int, MoldPlan | str] = {}
    for job, shape in zip(jobs, shapes, strict=True):
        try:
            found[job.pk] = compute_with(
                as_far_as_decided(job.plan), records.get(job.piece.pk), rates=rates, specs=known, shape=shape
            )
        except (JobNotReady, WorkingError) as error:
            found[job.pk] = str(error)
    return found


def _records(jobs: list[Job]) -> dict[int, TakeoffRecord]:
    """Return the takeoff in use of each piece, in one query."""
    rows = TakeoffRecord.objects.filter(piece__job__in=[job.pk for job in jobs]).order_by("used_at", "pk")
    return {record.piece_id: record for record in rows}
