"""Copies of a plan's decisions under a name: kept, read, compared, removed and brought back."""

import copy
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, models, transaction

from jobs.errors import CopyRefused
from jobs.inputs import MATERIAL_FIELDS
from jobs.models import Job, KeptPlan, Plan
from jobs.services.plans import PIECE_DECISIONS, PLAIN_FIELDS, decisions_of
from materials.models import Material, ScrapBin
from studio.models import Account

MOST_COPIES = 12
LONGEST_NAME = 80


@transaction.atomic
def keep_copy(*, plan: Plan, name: str, by: Account | None) -> KeptPlan:
    """Keep a copy of the plan in use under a name that no other copy of the job has. Raises CopyRefused."""
    return _kept(plan.job, " ".join(name.split()), decisions_of(plan), by)


@transaction.atomic
def remove_copy(*, job: Job, pk: int) -> dict[str, Any]:
    """Remove a copy; returns what `bring_back_copy` needs to keep it again. Raises CopyRefused."""
    row = KeptPlan.objects.filter(job=job, pk=pk).first()
    if row is None:
        raise CopyRefused("That copy is not there any more; somebody removed it already.")
    told = {"job": job.pk, "name": row.name, "decisions": row.decisions}
    row.delete()
    return told


@transaction.atomic
def bring_back_copy(*, job: Job, told: Mapping[str, Any], by: Account | None) -> KeptPlan:
    """Keep a removed copy again. Raises CopyRefused when another has taken its name, or it belongs to another job."""
    if told.get("job") != job.pk:
        raise CopyRefused("There is no removed copy of this job to bring back.")
    return _kept(job, str(told["name"]), dict(told["decisions"]), by)


def copies_as_plans(plan: Plan, rows: Sequence[KeptPlan]) -> list[Plan]:
    """Return kept copies as unkept plans of the same job, in two queries; materials and bins that are gone are left empty."""
    wanted = {row.decisions[name] for row in rows for name in MATERIAL_FIELDS if row.decisions.get(name)}
    there = set(Material.objects.filter(pk__in=wanted).values_list("pk", flat=True))
    bins = ScrapBin.objects.in_bulk([row.decisions["scrap_bin"] for row in rows if row.decisions.get("scrap_bin")])
    return [_as_plan(plan, row.decisions, there, bins) for row in rows]


def _as_plan(plan: Plan, told: Mapping[str, Any], there: set[int], bins: Mapping[int, ScrapBin]) -> Plan:
    unkept, job, piece = copy.copy(plan), copy.copy(plan.job), copy.copy(plan.job.piece)
    for name in MATERIAL_FIELDS:
        setattr(unkept, f"{name}_id", told.get(name) if told.get(name) in there else None)
    unkept.scrap_bin = bins.get(told.get("scrap_bin") or 0)
    for name in PLAIN_FIELDS:
        if name in told:
            setattr(unkept, name, _plain(name, told[name]))
    for name in PIECE_DECISIONS:
        setattr(piece, name, told.get("piece", {}).get(name, getattr(piece, name)))
    job.piece = piece
    unkept.job = job
    return unkept


def own_minutes_in(row: KeptPlan) -> dict[str, float]:
    """Return the minutes that were typed for tasks when a copy was kept."""
    return {key: float(minutes) for key, minutes in row.decisions.get("own_minutes", {}).items()}


def differences(plan: Plan, row: KeptPlan) -> tuple[str, ...]:
    """Name the decisions in which a copy differs from the plan in use, in the words of its forms."""
    now, then = decisions_of(plan), row.decisions
    names = [name for name in (*MATERIAL_FIELDS, "scrap_bin", *PLAIN_FIELDS) if name in then and then[name] != now[name]]
    named = [str(getattr(Plan._meta.get_field(name), "verbose_name", name)) for name in names]
    beside = (("piece", "surface of the piece"), ("own_minutes", "own minutes"))
    more = [word for key, word in beside if then.get(key) != now[key]]
    return tuple(dict.fromkeys((*named, *more)))


def _kept(job: Job, name: str, decisions: dict[str, Any], by: Account | None) -> KeptPlan:
    if not name:
        raise CopyRefused("A copy needs a name, so that you find it again; type one.")
    if len(name) > LONGEST_NAME:
        raise CopyRefused(f"The name of a copy has at most {LONGEST_NAME} letters; shorten it.")
    if KeptPlan.objects.filter(job=job).count() >= MOST_COPIES:
        raise CopyRefused(f"{MOST_COPIES} copies of this job are kept already; remove one first.")
    taken = CopyRefused(f"A copy of this job is called “{name}” already; choose another name.")
    if KeptPlan.objects.filter(job=job, name__iexact=name).exists():
        raise taken
    try:
        with transaction.atomic():
            row: KeptPlan = KeptPlan.objects.create(job=job, name=name, decisions=decisions, kept_by=by)
            return row
    except IntegrityError as error:
        raise taken from error


def _plain(name: str, value: Any) -> Any:
    return Decimal(value) if isinstance(Plan._meta.get_field(name), models.DecimalField) and value is not None else value
