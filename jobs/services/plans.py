"""The plan of a job: computing it, keeping what a person decided, going back one step."""

import copy
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from jobs.errors import JobNotReady, NothingToUndo, PlanChangedMeanwhile
from jobs.inputs import MATERIAL_FIELDS, brief_of, latest_record, materials_of, takeoff_in
from jobs.models import Job, OwnMinutes, Piece, Plan, TakeoffRecord
from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from jobs.planning.shape import ShapeBrief
from jobs.studies.asking import ask_study
from jobs.studies.following import shape_for
from materials.inputs import specs as material_specs
from materials.models import Material, ScrapBin
from materials.science.material import MaterialSpec
from studio.figures import Given, Remark, WorkingError
from studio.models import Account
from studio.services.rates import current_rates

PLAIN_FIELDS = (
    "thicken_print_coat", "people_per_coat", "temperature_c", "positions", "wall_mm", "print_coat_mm",
    "closing_coat_mm", "build_coats", "cup_loss_percent", "fill_volume_l", "scrap_share_percent", "packing_fraction",
    "seam_length_mm", "shell_kind", "shell_pieces", "shell_layers", "shell_thickness_mm", "shell_flange_percent",
    "castings", "casting_wall_mm", "skins", "turning_rpm", "pinned_pulls", "parting", "division_rank", "making", "molds",
    "night_temperature_c", "humidity_percent", "deairing", "strip_width_mm", "strip_height_mm", "widest_girth_mm",
    "opening_girth_mm", "box_margin_mm", "key_spacing_mm", "bolt_spacing_mm", "turning_ratio",
)  # fmt: skip
DECISIONS = (*MATERIAL_FIELDS, "scrap_bin", *PLAIN_FIELDS)
PIECE_DECISIONS = ("surface", "sealed")
COMPARE = "What you entered still stands below: compare it with the figures, then keep it again to replace theirs."
SHELL_OPEN = Remark(
    key="shell_open",
    text=(
        "The shell is not planned yet, so its material and hours are missing here and the job has no price. "
        "Choose the shell's material on the Shell page, or “no shell”."
    ),
)


def plan_of(job: Job) -> Plan:
    """Return a job's plan with every row that the computing reads, in a fixed number of queries."""
    plan = Plan.objects.select_related("job__piece", "scrap_bin", "changed_by").get(job=job)
    plan.job.client = job.client
    return plan


def mold_plan(job: Job) -> MoldPlan:
    """Compute the kept plan of a job; raises JobNotReady with what is missing and the page to enter it on."""
    return compute(plan_of(job))


def compute(plan: Plan) -> MoldPlan:
    """Compute a plan, kept or not; raises JobNotReady with what is missing and the page to enter it on."""
    return _compute(plan, plan)


def compute_so_far(plan: Plan) -> MoldPlan:
    """Compute what is decided: a shell without a material is left out, and a remark says so."""
    decided = as_far_as_decided(plan)
    made = _compute(decided, plan)
    return made if decided is plan else replace(made, remarks=(SHELL_OPEN, *made.remarks))


def _compute(plan: Plan, shaped: Plan) -> MoldPlan:
    """Compute a plan with what the shape tells `shaped`: the shell divides it although its material is not chosen yet."""
    record, rates = latest_record(plan.job.piece), current_rates()
    shape = shape_for(shaped, record, rates)
    return compute_with(plan, record, rates=rates, specs=material_specs(materials_of(plan)), shape=shape)


def as_far_as_decided(plan: Plan) -> Plan:
    """Return the plan, or where its shell has no material yet a copy of it without the shell."""
    whole = plan.shell_kind == Plan.ShellKind.NONE or plan.shell_matrix_id is not None
    # A block has its box in place of a shell.
    if whole or plan.making == Plan.Making.BLOCK:
        return plan
    without = copy.copy(plan)
    without.shell_kind = Plan.ShellKind.NONE
    return without


def is_whole(made: MoldPlan) -> bool:
    """Say whether nothing was left out of a computed plan."""
    return SHELL_OPEN not in made.remarks


def compute_with(
    plan: Plan,
    record: TakeoffRecord | None,
    *,
    rates: Mapping[str, Given],
    specs: Mapping[int, MaterialSpec],
    shape: ShapeBrief | None = None,
) -> MoldPlan:
    """Compute a plan whose rows are loaded already."""
    if record is None:
        raise JobNotReady("The piece is not measured yet; measure it on the Piece page.", page="jobs:piece_show")
    takeoff = takeoff_in(record)
    try:
        return make_plan(brief_of(plan, takeoff, rates, specs=specs, shape=shape))
    except WorkingError as error:
        raise JobNotReady(str(error), page="jobs:mold_show") from error


def decisions_of(plan: Plan) -> dict[str, Any]:
    """Return what was decided, as plain values that a JSON column keeps."""
    kept: dict[str, Any] = {field: getattr(plan, f"{field}_id") for field in (*MATERIAL_FIELDS, "scrap_bin")}
    for field in PLAIN_FIELDS:
        value = getattr(plan, field)
        kept[field] = str(value) if isinstance(value, Decimal) else value
    kept["piece"] = {field: getattr(plan.job.piece, field) for field in PIECE_DECISIONS}
    kept["own_minutes"] = {own.task_key: str(own.minutes) for own in plan.own_minutes.all()}
    return kept


@transaction.atomic
def keep_plan(
    *,
    plan: Plan,
    values: Mapping[str, Any],
    revision: int,
    by: Account | None,
    piece_values: Mapping[str, Any] | None = None,
    advice: str = COMPARE,
) -> Plan:
    """Keep decisions made on a page that was opened at a revision; refused when somebody else kept a newer one.

    `advice` ends the sentence of that refusal: what the person may do on the page they came from.
    """
    fresh = _locked(plan)
    _refuse_older(fresh, revision, advice)
    before = decisions_of(fresh)
    for field, value in values.items():
        setattr(fresh, field, value)
    if piece_values:
        Piece.objects.filter(pk=fresh.job.piece.pk).update(**piece_values)
    return _store(fresh, before, by)


@transaction.atomic
def keep_decisions(*, plan: Plan, decisions: Mapping[str, Any], revision: int, by: Account | None, advice: str = COMPARE) -> Plan:
    """Put whole decisions, as `decisions_of` returned them, in place of the kept ones; refused like `keep_plan`."""
    fresh = _locked(plan)
    _refuse_older(fresh, revision, advice)
    before = decisions_of(fresh)
    _restore(fresh, dict(decisions))
    return _store(fresh, before, by)


@transaction.atomic
def keep_minutes(*, plan: Plan, minutes: Mapping[str, Decimal], by: Account | None) -> Plan:
    """Put the person's own minutes in place of the computed ones, by task; tasks that are not named are computed."""
    fresh = _locked(plan)
    before = decisions_of(fresh)
    fresh.own_minutes.all().delete()
    OwnMinutes.objects.bulk_create(
        OwnMinutes(plan=fresh, task_key=key, minutes=typed.quantize(Decimal("0.1"))) for key, typed in minutes.items()
    )
    return _store(fresh, before, by)


@transaction.atomic
def undo_plan(*, plan: Plan, by: Account | None) -> Plan:
    """Go back to the decisions before the last change; doing it twice brings the change back."""
    fresh = _locked(plan)
    if not fresh.previous:
        raise NothingToUndo("There is nothing to undo: this plan was not changed yet.")
    before, target = decisions_of(fresh), dict(fresh.previous)
    _restore(fresh, target)
    return _store(fresh, before, by)


def _locked(plan: Plan) -> Plan:
    return Plan.objects.select_for_update(of=("self",)).select_related("job__piece", "changed_by").get(pk=plan.pk)


def _refuse_older(fresh: Plan, revision: int, advice: str) -> None:
    if fresh.revision == revision:
        return
    who = fresh.changed_by.name if fresh.changed_by else "Somebody"
    raise PlanChangedMeanwhile(
        f"{who} kept this plan at {timezone.localtime(fresh.changed_at):%H:%M}, after you opened the page. {advice}"
    )


def _store(fresh: Plan, before: dict[str, Any], by: Account | None) -> Plan:
    fresh.previous = before
    fresh.revision += 1
    fresh.changed_by, fresh.changed_at = by, timezone.now()
    fresh.save()
    ask_study(fresh)
    return fresh


def _restore(fresh: Plan, target: dict[str, Any]) -> None:
    materials = set(Material.objects.filter(pk__in=_ids(target)).values_list("pk", flat=True))
    for field in MATERIAL_FIELDS:
        wanted = target.get(field)
        setattr(fresh, f"{field}_id", wanted if wanted in materials else None)
    scrap_bin = target.get("scrap_bin")
    fresh.scrap_bin_id = scrap_bin if scrap_bin and ScrapBin.objects.filter(pk=scrap_bin).exists() else None
    for name in PLAIN_FIELDS:
        if name in target:
            setattr(fresh, name, _plain(Plan._meta.get_field(name), target[name]))
    Piece.objects.filter(pk=fresh.job.piece.pk).update(**target.get("piece", {}))
    fresh.own_minutes.all().delete()
    OwnMinutes.objects.bulk_create(
        OwnMinutes(plan=fresh, task_key=key, minutes=Decimal(minutes)) for key, minutes in target.get("own_minutes", {}).items()
    )


def _ids(target: Mapping[str, Any]) -> list[int]:
    return [target[field] for field in MATERIAL_FIELDS if target.get(field)]


def _plain(field: Any, value: Any) -> Any:
    return Decimal(value) if isinstance(field, models.DecimalField) and value is not None else value
