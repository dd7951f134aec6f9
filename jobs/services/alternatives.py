"""Other ways of doing a job, taken up in place of the plan in use, and copies of plans kept under a name."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from django.db import models, transaction

from jobs.errors import CopyRefused, JobNotReady, WayGone
from jobs.inputs import MATERIAL_FIELDS, brief_of, latest_record, materials_of, scrap_spec, takeoff_in
from jobs.models import KeptPlan, Plan, TakeoffRecord
from jobs.planning.alternatives import Alternative, alternatives
from jobs.planning.brief import PlanBrief
from jobs.planning.run.life import castings_expected
from jobs.planning.shape import ShapeBrief
from jobs.services.copies import copies_as_plans, own_minutes_in
from jobs.services.offered import offered_scrap, offered_thickener
from jobs.services.plans import keep_decisions, keep_plan
from jobs.studies.following import shapes_for
from materials.inputs import specs as material_specs
from materials.models import Material, ScrapBin
from materials.science.material import MaterialSpec
from studio.figures import Given, WorkingError
from studio.models import Account
from studio.services.rates import current_rates

LOOK_AGAIN = "Nothing was changed now: look at the table again, then take what you want."
CHOSEN = (*MATERIAL_FIELDS, "scrap_bin")


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of doing the job, as an unkept plan too; `kept` is the copy that it was kept as."""

    alternative: Alternative
    plan: Plan
    kept: KeptPlan | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobWays:
    """All ways of a job, the plan in use first; `broken` are copies that miss something, with what it is.

    `specs` are all materials that any of them uses.
    """

    ways: tuple[Way, ...]
    broken: tuple[tuple[KeptPlan, str], ...]
    specs: Mapping[int, MaterialSpec]


def ways_of(plan: Plan) -> JobWays:
    """Return every way of doing a job: the plan in use, what is changed in it, and the copies kept.

    Raises
    ------
    JobNotReady
        When the plan in use lacks something; the message says what, and names the page.
    """
    record, rates = latest_record(plan.job.piece), current_rates()
    if record is None:
        raise JobNotReady("The piece is not measured yet; measure it on the Piece page.", page="jobs:piece_show")
    # Every unkept plan below is a copy of this one and reads the same minutes.
    models.prefetch_related_objects([plan], "own_minutes")
    kept = list(plan.job.kept_plans.all())
    copies = copies_as_plans(plan, kept)
    thickeners = list(Material.objects.thickeners().values_list("pk", flat=True))
    known = material_specs([*materials_of(plan), *thickeners, *(pk for one in copies for pk in materials_of(one))])
    scrap = offered_scrap(plan, known)
    seated = copy.copy(plan)
    seated.scrap_bin = scrap
    shape, of_scrap, *of_copies = shapes_for([(one, record) for one in (plan, seated, *copies)], rates)
    desk = _Desk(record=record, rates=rates, specs=known)
    used = desk.brief(plan, shape)
    found = alternatives(
        used,
        thickener=offered_thickener(used.rubber, [known[pk] for pk in thickeners if pk in known]),
        scrap=scrap_spec(scrap),
        castings_expected=_expected(used),
    )
    ways = [_way(plan, one, scrap, desk, of_scrap) for one in found]
    broken: list[tuple[KeptPlan, str]] = []
    for row, one, its_shape in zip(kept, copies, of_copies, strict=True):
        try:
            brief = replace(desk.brief(one, its_shape), minutes_overrides=own_minutes_in(row))
        except (JobNotReady, WorkingError) as error:
            broken.append((row, str(error)))
            continue
        way = Alternative(key=f"kept-{row.pk}", label=row.name, why="", brief=brief)
        ways.append(Way(alternative=way, plan=one, kept=row))
    return JobWays(ways=tuple(ways), broken=tuple(broken), specs=known)


def take_way(*, plan: Plan, key: str, revision: int, by: Account | None) -> Alternative:
    """Take an alternative up in place of the plan in use; returns it.

    Raises
    ------
    WayGone
        When no such alternative is offered any more.
    PlanChangedMeanwhile
        When somebody kept the plan after the page was opened.
    """
    offered = {way.alternative.key: way.alternative for way in ways_of(plan).ways if way.kept is None}
    way = offered.get(key)
    if way is None or not way.changes:
        raise WayGone("That way is not offered any more, because the plan, the stock or the rates have changed. " + LOOK_AGAIN)
    keep_plan(plan=plan, values=columns_of(way.changes), revision=revision, by=by, advice=LOOK_AGAIN)
    return way


@transaction.atomic
def take_copy(*, plan: Plan, pk: int, revision: int, by: Account | None) -> KeptPlan:
    """Take a kept copy up in place of the plan in use; the copy stays. Raises CopyRefused and PlanChangedMeanwhile."""
    row = KeptPlan.objects.filter(job=plan.job, pk=pk).first()
    if row is None:
        raise CopyRefused("That copy is not there any more; somebody removed it. " + LOOK_AGAIN)
    keep_decisions(plan=plan, decisions=row.decisions, revision=revision, by=by, advice=LOOK_AGAIN)
    return row


def columns_of(changes: Mapping[str, Any]) -> dict[str, Any]:
    """Turn plain changes into values of the plan's columns."""
    found: dict[str, Any] = {}
    for name, value in changes.items():
        column = Plan._meta.get_field(name)
        if name in CHOSEN:
            found[f"{name}_id"] = value
        elif isinstance(column, models.DecimalField) and value is not None:
            found[name] = Decimal(str(value)).quantize(Decimal(1).scaleb(-column.decimal_places))
        else:
            found[name] = value
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Desk:
    """What every way of a job is computed from."""

    record: TakeoffRecord
    rates: Mapping[str, Given]
    specs: Mapping[int, MaterialSpec]

    def brief(self, plan: Plan, shape: ShapeBrief | None) -> PlanBrief:
        return brief_of(plan, takeoff_in(self.record), self.rates, specs=self.specs, shape=shape)


def _way(plan: Plan, way: Alternative, scrap: ScrapBin | None, desk: _Desk, of_scrap: ShapeBrief | None) -> Way:
    """Put an alternative beside the plan that it would make; another scrap bin asks the shape anew."""
    unkept = copy.copy(plan)
    for name, value in columns_of(way.changes).items():
        setattr(unkept, name, value)
    if "scrap_bin" in way.changes:
        unkept.scrap_bin = scrap
        way = replace(way, brief=desk.brief(unkept, of_scrap))
    return Way(alternative=way, plan=unkept)


def _expected(brief: PlanBrief) -> float | None:
    expected = None if brief.casting is None else castings_expected(brief.rubber, brief.casting.resin)
    return None if expected is None else expected.value
