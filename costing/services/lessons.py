"""What finished jobs show of the studio's rates, each plan computed once for as long as nothing about it changes."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from costing.engine.learning.prior import is_learnable
from costing.engine.learning.teaching import Lesson, Shown, lessons, shown_by
from costing.services.facts import facts_of
from jobs.errors import JobNotReady
from jobs.inputs import materials_of
from jobs.models import Job, WorkDone
from jobs.services.plans import as_far_as_decided
from jobs.services.plans_together import Readings, readings_of
from studio.figures import Given, WorkingError
from studio.workrates import WORK_RATES

# More finished jobs than these would say the same again, and older hands less of today's.
MOST_JOBS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class JobShown:
    """What one job shows of one rate."""

    job: Job
    shown: Shown


class _Key:
    """A job's readings, equal to others as long as the lessons drawn from them are the same."""

    __slots__ = ("mark", "read")

    def __init__(self, read: Readings) -> None:
        plan = read.job.plan
        self.read = replace(read, rates=_untaught(read.rates))
        rates = tuple(sorted((key, given.value) for key, given in self.read.rates.items()))
        materials = tuple(repr(read.known.get(pk)) for pk in materials_of(plan))
        piece = (plan.job.piece.sealed, plan.job.piece.surface, plan.job.piece.mass_g)
        record = read.record.pk if read.record else None
        self.mark = (plan.pk, plan.revision, record, read.shape is None, piece, materials, rates)

    def __hash__(self) -> int:
        return hash(self.mark)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.mark == other.mark


def shown_by_jobs() -> dict[str, list[JobShown]]:
    """Return by rate what each delivered job shows of it; the plan in use says how much work there was.

    Only delivered jobs teach: a task that is half noted would look quick.
    """
    noted = WorkDone.objects.filter(taken_back_at=None).exclude(task_key="").values("job")
    chosen = Job.objects.filter(state=Job.State.DELIVERED, pk__in=noted).order_by("-number").values_list("pk", flat=True)
    reads = readings_of(Job.objects.filter(pk__in=list(chosen[:MOST_JOBS])))
    facts = facts_of([read.job for read in reads])
    found: dict[str, list[JobShown]] = {}
    for read in reads:
        minutes = {key: float(value) for key, value in facts[read.job.pk].minutes.items()}
        for one in shown_by(_lessons(_Key(read)), minutes):
            found.setdefault(one.rate_key, []).append(JobShown(job=read.job, shown=one))
    return found


def _untaught(rates: Mapping[str, Given]) -> dict[str, Given]:
    """Put the table's values in place of rates that can be learnt, so that taking one over changes nothing that is learnt."""
    return {key: kind.as_given() if is_learnable(kind) else rates[key] for key, kind in WORK_RATES.items()}


@lru_cache(maxsize=4 * MOST_JOBS)
def _lessons(key: _Key) -> tuple[Lesson, ...]:
    read = key.read
    plan = copy.copy(as_far_as_decided(read.job.plan))
    # An unkept plan carries no minutes typed for the job: those say nothing of rates.
    plan.pk = None

    def at(rates: Mapping[str, Given]) -> Readings:
        return replace(read, rates=rates)

    try:
        made = read.compute(plan)
        found = lessons(made.tasks, read.rates, lambda rates: at(rates).compute(plan).tasks)
    except (JobNotReady, WorkingError):
        return ()
    return tuple(one for one in found if is_learnable(WORK_RATES[one.rate_key]))


def as_kept(value: float) -> Decimal:
    """Round a rate to two digits, as it is offered and kept: no log of a few jobs knows more; whole minutes stay whole."""
    exact = Decimal(repr(value))
    places = max(1 - exact.adjusted(), 0)
    return exact.quantize(Decimal(1).scaleb(-min(places, 4)))
