"""All ways of a job in one table: each planned whole, and priced where money may be seen."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from costing.engine.brief import Terms
from costing.engine.compare import Compared, compare
from costing.engine.estimate import Estimate, make_estimate
from costing.inputs import PlannedJob, brief_of, terms_of, terms_values
from jobs.models import KeptPlan, Plan
from jobs.planning.results import MoldPlan
from jobs.planning.weighing import Weighed, weigh
from jobs.services.alternatives import JobWays
from jobs.services.copies import differences
from materials.science.material import MaterialSpec
from studio.figures import Figure, Remark
from studio.models import StudioProfile

USED = "in_use"


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """One way as a line of the table and a mark of the drawing; money is None where it may not be seen."""

    number: int
    key: str
    label: str
    why: str
    used: bool
    kept: KeptPlan | None
    rubber: Figure
    hours: Figure
    mold_hours: Figure
    laying: Figure
    material: Figure | None = None
    cost: Figure | None = None
    compared: Compared | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysTable:
    """The ways that can be planned, those that cannot with their reasons, and what is to be said of prices."""

    rows: tuple[WayRow, ...]
    refused: tuple[tuple[str, KeptPlan | None, str], ...]
    remarks: tuple[Remark, ...]
    rate: Figure | None

    @property
    def used(self) -> WayRow | None:
        """The plan in use, where it can be planned."""
        return next((row for row in self.rows if row.used), None)

    @property
    def cheapest(self) -> WayRow | None:
        """The way of least cost, where money may be seen."""
        priced = [row for row in self.rows if row.cost is not None]
        return min(priced, key=lambda row: (row.cost.value if row.cost else 0.0, row.number), default=None)


def ways_table(plan: Plan, found: JobWays, profile: StudioProfile, *, money: bool) -> WaysTable:
    """Plan every way of a job and put it beside the plan in use."""
    pricing = _Pricing(plan, found.specs, profile) if money else None
    weighed = weigh((way.alternative for way in found.ways), spend=pricing)
    rows: list[WayRow] = []
    refused: list[tuple[str, KeptPlan | None, str]] = []
    for way, one in zip(found.ways, weighed, strict=True):
        if one.plan is None:
            refused.append((one.alternative.label, way.kept, one.refusal))
            continue
        why = one.alternative.why if way.kept is None else _apart(plan, way.kept)
        rows.append(_row(len(rows) + 1, one, one.plan, why, way.kept, pricing))
    refused.extend((row.name, row, reason) for row, reason in found.broken)
    remarks, rate = (pricing.remarks, pricing.rate) if pricing else ((), None)
    return WaysTable(rows=tuple(_beside(rows)), refused=tuple(refused), remarks=remarks, rate=rate)


class _Pricing:
    """Prices plans on the terms of one job; remembers each estimate, so that none is made twice."""

    def __init__(self, plan: Plan, specs: Mapping[int, MaterialSpec], profile: StudioProfile) -> None:
        self._plan, self._specs, self._profile = plan, specs, profile
        # Runs at other quantities are no part of this table.
        self._terms: Terms = replace(terms_values(terms_of(plan.job), profile), quantities=())
        self._made: dict[int, Estimate] = {}

    def __call__(self, made: MoldPlan) -> Figure:
        return self.of(made).makeup.material

    def of(self, made: MoldPlan) -> Estimate:
        if id(made) not in self._made:
            found = PlannedJob(job=self._plan.job, plan=self._plan, mold=made, materials=self._specs)
            self._made[id(made)] = make_estimate(brief_of(found, self._terms, self._profile))
        return self._made[id(made)]

    @property
    def remarks(self) -> tuple[Remark, ...]:
        every = (remark for estimate in self._made.values() for remark in estimate.spend.remarks)
        return tuple({remark.key: remark for remark in every}.values())

    @property
    def rate(self) -> Figure | None:
        return next((estimate.full_rate for estimate in self._made.values()), None)


def _row(
    number: int, one: Weighed, made: MoldPlan, why: str, kept: KeptPlan | None, pricing: _Pricing | None
) -> WayRow:  # fmt: skip
    key = one.alternative.key
    assert one.laying is not None
    return WayRow(
        number=number,
        key=key,
        label=one.alternative.label,
        why=why,
        used=key == USED,
        kept=kept,
        rubber=_named(key, made.rubber_fresh),
        hours=_named(key, made.hours_hands_on),
        mold_hours=_named(key, made.mold_hours),
        laying=_named(key, one.laying),
        material=None if one.spend is None else _named(key, one.spend),
        cost=None if pricing is None else _named(key, pricing.of(made).makeup.cost),
    )


def _beside(rows: list[WayRow]) -> list[WayRow]:
    used = next((row for row in rows if row.used), None)
    if used is None or used.material is None:
        return rows
    return [row if row.used or row.material is None else replace(row, compared=_compared(row, used)) for row in rows]


def _compared(row: WayRow, used: WayRow) -> Compared | None:
    if row.material is None or used.material is None:
        return None
    return compare(key=row.key, spend=row.material, hours=row.hours, used_spend=used.material, used_hours=used.hours)


def _apart(plan: Plan, kept: KeptPlan) -> str:
    apart = differences(plan, kept)
    return f"Differs from the plan in use in: {', '.join(apart)}." if apart else "The same as the plan in use."


def _named(key: str, figure: Figure) -> Figure:
    return replace(figure, key=f"{key}-{figure.key}")
