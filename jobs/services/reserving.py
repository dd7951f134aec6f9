"""What the shelf holds for a job: reserved when the client agrees, released when the job is given up or done.

Scrap is chosen at its bins: a plan takes of a bin what is free there, so a promise would change the plan that asked for it.
"""

import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from jobs.errors import JobNotReady
from jobs.models import Job
from jobs.planning.results import Component, MoldPlan, Need
from jobs.services.plans import compute_so_far, plan_of
from materials import ledger
from materials.inputs import specs_of
from materials.ledger.masses import rounded
from materials.models import Lot, Material, Movement, ScrapBin
from materials.services.choosing import choose_what_there_is
from studio.figures import WorkingError
from studio.models import Account

# Less than this is neither short nor too much: nothing is weighed closer.
LEAST_G = Decimal(1)
HOLDS = (Job.State.AGREED, Job.State.WORKING)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReservedLine:
    """A material of a job: what it needs in all, what is held for it and what was used. [g]"""

    material: Material
    need_g: Decimal
    held_g: Decimal
    used_g: Decimal

    @property
    def short_g(self) -> Decimal:
        """What it still needs and nothing is held for."""
        short = self.need_g - self.used_g - self.held_g
        return short if short >= LEAST_G else Decimal(0)

    @property
    def too_much_g(self) -> Decimal:
        """What is held and not needed any more."""
        over = self.held_g - max(self.need_g - self.used_g, Decimal(0))
        return over if over >= LEAST_G else Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserved:
    """All that a job needs and holds; `problem` says why its needs are not known."""

    lines: tuple[ReservedLine, ...]
    problem: str = ""

    @property
    def held(self) -> bool:
        """Whether anything is held for the job."""
        return any(line.held_g > 0 for line in self.lines)

    @property
    def short(self) -> bool:
        """Whether it needs more than is held."""
        return any(line.short_g for line in self.lines)

    @property
    def too_much(self) -> bool:
        """Whether more is held than it needs, as after a change of its plan."""
        return any(line.too_much_g for line in self.lines)


def reserved_of(job: Job, made: MoldPlan | None = None) -> Reserved:
    """Return what a job needs, holds and has used, in a fixed number of queries; `made` is its plan where it is computed."""
    try:
        needs, problem = needs_of((made or compute_so_far(plan_of(job))).needs), ""
    except (JobNotReady, WorkingError) as error:
        needs, problem = {}, str(error)
    return Reserved(lines=_lines(job, needs), problem=problem)


@transaction.atomic
def reserve(*, job: Job, by: Account | None) -> Reserved:
    """Reserve what a job needs and does not hold, as far as it is free: the lots that a mix of it would be taken from.

    A and B are reserved in their ratio. Called again it reserves what has become free since, and nothing twice.

    Raises
    ------
    JobNotReady
        When the plan does not say yet what is needed.
    """
    _lock(job)
    return _reserve(job, needs_of(compute_so_far(plan_of(job)).needs), by)


@transaction.atomic
def release(*, job: Job, by: Account | None, why: str = "") -> int:
    """Release all that is held for a job; return how many lots and bins it was."""
    _lock(job)
    return _release(job, by, why or "no longer wanted by the job")


@transaction.atomic
def reserve_anew(*, job: Job, by: Account | None) -> Reserved:
    """Release all that is held for a job and reserve what its plan needs now; all or nothing."""
    _lock(job)
    needs = needs_of(compute_so_far(plan_of(job)).needs)
    _release(job, by, "reserved anew, the plan has changed")
    return _reserve(job, needs, by)


def follow_state(*, job: Job, came_from: str, by: Account | None) -> None:
    """Reserve where a client has agreed, and release where the job is given up, done or not agreed any more.

    A plan that cannot be computed yet holds nothing back: its page says that nothing is reserved.
    """
    if job.state == Job.State.AGREED and came_from not in HOLDS:
        try:
            reserve(job=job, by=by)
        except (JobNotReady, WorkingError):
            return
    elif job.state not in HOLDS and came_from in HOLDS:
        release(job=job, by=by, why=f"the job is “{Job.State(job.state).label}”")


def needs_of(needs: Iterable[Need]) -> dict[int, Decimal]:
    """Add needs up by material, all components together; scrap has bins of its own. [g]"""
    found: dict[int, Decimal] = defaultdict(Decimal)
    for need in needs:
        if isinstance(need.material_key, int) and need.component is not Component.SCRAP:
            found[need.material_key] += rounded(Decimal(repr(need.mass.value)))
    return dict(found)


def held_and_used(numbers: Iterable[int]) -> tuple[dict[tuple[int, int], Decimal], dict[tuple[int, int], Decimal]]:
    """Return what is held for jobs and what they used, by job number and material, in one query."""
    lines = Movement.objects.filter(job_number__in=numbers, lot__isnull=False).order_by()
    used_g = Sum("mass_g", filter=Movement.IS_USE)
    held: dict[tuple[int, int], Decimal] = {}
    used: dict[tuple[int, int], Decimal] = {}
    rows = lines.values_list("job_number", "material").annotate(held=Sum("reserved_g"), used=used_g)
    for number, material, held_g, gone_g in rows:
        held[number, material] = rounded(held_g)
        used[number, material] = -rounded(gone_g or Decimal(0))
    return held, used


def _lock(job: Job) -> None:
    """Let one hand at a time reserve and release for a job."""
    Job.objects.select_for_update().get(pk=job.pk)


def _lines(job: Job, needs: Mapping[int, Decimal]) -> tuple[ReservedLine, ...]:
    held, used = held_and_used([job.number])
    wanted = needs.keys() | {material for (_, material), grams in held.items() if grams > 0}
    lines = [
        ReservedLine(
            material=material,
            need_g=needs.get(pk, Decimal(0)),
            held_g=held.get((job.number, pk), Decimal(0)),
            used_g=used.get((job.number, pk), Decimal(0)),
        )
        for pk, material in Material.objects.in_bulk(wanted).items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.need_g, line.material.name)))


def _reserve(job: Job, needs: Mapping[int, Decimal], by: Account | None) -> Reserved:
    wanted = {line.material.pk: line for line in _lines(job, needs) if line.short_g}
    # All are locked in the one order before any is chosen from, so that what is chosen is still free when it is written.
    today = timezone.localdate()
    held = ledger.hold(*Lot.objects.usable(today).with_free().filter(material__in=wanted), money=False)
    of_material: dict[int, list[Lot]] = defaultdict(list)
    for lot in held.lots.values():
        if lot.usable_on(today):
            of_material[lot.material_id].append(lot)
    known = specs_of(Material.objects.filter(pk__in=of_material), priced=False)
    batch = uuid.uuid4().hex[:12]
    for pk, mine in sorted(of_material.items()):
        line = wanted[pk]
        for one in choose_what_there_is(material=line.material, spec=known[pk], lots=mine, mass_g=line.short_g):
            key = f"job-{job.number}-{batch}-{one.lot.pk}"
            ledger.reserve(of=one.lot, mass_g=one.mass_g, key=key, by=by, job_number=job.number, why="for the job’s plan")
    return Reserved(lines=_lines(job, needs))


def _release(job: Job, by: Account | None, why: str) -> int:
    rows = Movement.objects.of_job(job.number).order_by().values_list("lot", "scrap_bin").annotate(held=Sum("reserved_g"))
    found = {(lot, scrap_bin): rounded(held_g) for lot, scrap_bin, held_g in rows if rounded(held_g) > 0}
    lots = Lot.objects.filter(pk__in=[lot for lot, _ in found if lot])
    bins = ScrapBin.objects.filter(pk__in=[scrap_bin for _, scrap_bin in found if scrap_bin])
    held = ledger.hold(*lots, *bins, money=False)
    batch = uuid.uuid4().hex[:12]
    for number, ((lot, scrap_bin), grams) in enumerate(found.items()):
        of: Lot | ScrapBin = held.lots[lot] if lot else held.bins[scrap_bin]
        ledger.release(
            of=of, mass_g=grams, key=f"free-{job.number}-{batch}-{number}", by=by, job_number=job.number, why=why
        )  # fmt: skip
    return len(found)
