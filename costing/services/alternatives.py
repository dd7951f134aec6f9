"""All ways of a job side by side: each planned whole, once, and counted for whoever pays for its hours and material."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from costing.engine.brief import Terms
from costing.engine.compare import Compared, Side, compare
from costing.engine.frontier.dominance import Frontier, frontier_of, ranks
from costing.engine.frontier.names import bests, traits
from costing.engine.frontier.reading import Reading, Stance
from costing.engine.frontier.sums import WaySums
from costing.inputs import PlannedJob, money_places, prices_of, terms_of, terms_values
from costing.services.planned_before import weigh_once
from costing.services.stances import standing
from costing.services.way_hands import hands_of
from costing.services.way_takes import Takes, spend_of, takes_of
from jobs.models import KeptPlan, Plan
from jobs.planning.results import MoldPlan
from jobs.planning.weighing import Weighed
from jobs.services.alternatives import JobWays, Way
from jobs.services.copies import differences
from studio.figures import Figure, Given, Remark
from studio.models import StudioProfile

USED = "in_use"
# Hours are compared to the minute, as they are shown; what is shown alike does not beat.
MINUTES_PER_H = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWay:
    """A way with its whole plan; nothing here depends on what an hour or the rubber costs."""

    number: int
    way: Way
    weighed: Weighed
    mold: MoldPlan
    why: str
    traits: tuple[str, ...]

    @property
    def key(self) -> str:
        """Return what its figures begin with."""
        return self.way.alternative.key


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWays:
    """All ways planned, those that cannot be with their reasons, and all that pricing them takes."""

    plan: Plan
    found: JobWays
    ways: tuple[PlannedWay, ...]
    refused: tuple[tuple[str, KeptPlan | None, str], ...]
    terms: Terms
    revision: int
    profile: StudioProfile
    hands: Mapping[str, object] = field(default_factory=dict)

    @property
    def rubber_price(self) -> Given | None:
        """Return what a kilogram of the rubber of the plan in use costs; None where that is not known. [money/kg]"""
        spec = self.found.specs.get(self.plan.rubber_id or 0)
        return None if spec is None or spec.price_per_kg is None else replace(spec.price_per_kg, label=f"Price of {spec.name}")


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """One way as a line of the table and a mark of the drawing; money is None where it may not be seen.

    `names` say what an undominated way is best at and in what it differs; `beaten_by` and `same_as` name the way that beats a
    dominated one, or that takes exactly as much. `sooner` says that a beaten way is done before the one that beats it.
    """

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
    takes: Takes
    sums: WaySums
    names: tuple[str, ...] = ()
    beaten_by: "WayRow | None" = None
    same_as: "WayRow | None" = None
    sooner: bool = False
    rank: int = 0
    material: Figure | None = None
    cost: Figure | None = None
    compared: Compared | None = None

    @property
    def joined(self) -> bool:
        """Say whether no other way beats it, nor stands for it."""
        return self.beaten_by is None and self.same_as is None

    @property
    def cheapest(self) -> bool:
        """Say whether none costs less."""
        return self.rank == 1 and self.cost is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two undominated ways next to each other: the slower held against the quicker."""

    quick: WayRow
    slow: WayRow
    compared: Compared


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysTable:
    """The ways that can be planned, cheapest first where money may be seen, and what lies between them."""

    rows: tuple[WayRow, ...]
    refused: tuple[tuple[str, KeptPlan | None, str], ...]
    remarks: tuple[Remark, ...]
    stance: Stance | None = None
    frontier: Frontier = field(default_factory=Frontier)
    pairs: tuple[Pair, ...] = ()

    @property
    def rate(self) -> Given | Figure | None:
        """What an hour counts, where money may be seen and somebody has said it."""
        return self.stance.hour if self.stance else None

    @property
    def used(self) -> WayRow | None:
        """The plan in use, where it can be planned."""
        return next((row for row in self.rows if row.used), None)

    @property
    def cheapest(self) -> WayRow | None:
        """The way of least cost, where money may be seen."""
        return next((row for row in self.rows if row.cheapest), None)

    def joined(self) -> list[WayRow]:
        """Return the undominated ways, fewest hours first."""
        by_number = {row.number: row for row in self.rows}
        return [by_number[number] for number in self.frontier.joined]

    def figures(self) -> Iterator[Figure]:
        """Go through the figures that another price of an hour or of the rubber moves."""
        for row in self.rows:
            yield from (figure for figure in (row.material, row.cost, *row.takes.moved()) if figure is not None)
            yield from _of_compared(row.compared)
        for pair in self.pairs:
            yield from _of_compared(pair.compared)


def plan_ways(plan: Plan, found: JobWays, profile: StudioProfile) -> PlannedWays:
    """Plan every way of a job whole; this is what takes time, so it is done once for an answer."""
    kept = terms_of(plan.job)
    weighed = weigh_once(plan.job_id, (way.alternative for way in found.ways))
    used = next(
        ((way.alternative.brief, one.plan) for way, one in zip(found.ways, weighed, strict=True) if way.alternative.key == USED),
        None,
    )
    ways: list[PlannedWay] = []
    refused: list[tuple[str, KeptPlan | None, str]] = []
    for way, one in zip(found.ways, weighed, strict=True):
        if one.plan is None:
            refused.append((one.alternative.label, way.kept, one.refusal))
            continue
        words = traits(*used, way.alternative.brief, one.plan) if used else ()
        why = one.alternative.why if way.kept is None else _apart(plan, way.kept)
        ways.append(PlannedWay(number=len(ways) + 1, way=way, weighed=one, mold=one.plan, why=why, traits=words))
    refused.extend((row.name, row, reason) for row, reason in found.broken)
    return PlannedWays(
        plan=plan, found=found, ways=tuple(ways), refused=tuple(refused), terms=terms_values(kept, profile),
        revision=kept.revision, profile=profile, hands=hands_of(plan.job),
    )  # fmt: skip


def ways_table(plan: Plan, found: JobWays, profile: StudioProfile, *, money: bool) -> WaysTable:
    """Plan every way of a job and put it beside the plan in use, an hour counted at the job's rate with overhead."""
    planned = plan_ways(plan, found, profile)
    return table_of(planned, standing(Reading.EMPLOYED, planned.terms, profile, planned.rubber_price) if money else None)


def table_of(planned: PlannedWays, stance: Stance | None) -> WaysTable:
    """Count ways that are planned for one reading; without a stance money is left out, and fresh rubber takes its place."""
    rows: list[WayRow] = []
    remarks: dict[str, Remark] = {}
    for one in planned.ways:
        row, told = _row(planned, one, stance)
        rows.append(row)
        remarks |= {remark.key: remark for remark in told}
    sums = [row.sums for row in rows]
    rate, coin = (stance.rate if stance else 0.0), 10.0 ** -money_places(planned.profile)
    frontier = frontier_of(sums, rate_per_h=rate)
    ranked = ranks(sums, rate_per_h=rate, step=coin if stance else 1e-6)
    best = bests(sums, frontier, ranked, cheapest=stance.reading.cheapest if stance else "")
    by_number = {row.number: row for row in rows}
    of_plan = {one.number: one for one in planned.ways}
    used = next((row for row in rows if row.used), None)
    placed = [
        _placed(row, of_plan[row.number], frontier, by_number, best.get(row.number, ()), ranked[row.number], used, stance)
        for row in rows
    ]
    if stance:
        placed.sort(key=lambda row: (row.rank, row.number))
    by_number = {row.number: row for row in placed}
    pairs = tuple(_pair(by_number[quick], by_number[slow], stance) for quick, slow in frontier.pairs)
    return WaysTable(
        rows=tuple(placed),
        refused=planned.refused,
        remarks=tuple(remarks.values()),
        stance=stance,
        frontier=frontier,
        pairs=pairs,
    )


def _row(planned: PlannedWays, one: PlannedWay, stance: Stance | None) -> tuple[WayRow, tuple[Remark, ...]]:
    key, mold = one.key, one.mold
    assert one.weighed.laying is not None
    job = PlannedJob(job=planned.plan.job, plan=one.way.plan, mold=mold, materials=planned.found.specs)
    spend = spend_of(key, job, prices_of(job), planned.plan.rubber_id, stance, planned.terms)
    hours = _named(key, mold.hours_hands_on)
    places = money_places(planned.profile)
    sums = WaySums(
        number=one.number,
        hours=round(hours.value * MINUTES_PER_H) / MINUTES_PER_H,
        spend=round(mold.rubber_fresh.value) if stance is None else round(spend.material.value, places),
        rubber_kg=spend.rubber.value,
    )
    row = WayRow(
        number=one.number, key=key, label=one.way.alternative.label, why=one.why, used=key == USED, kept=one.way.kept,
        rubber=_named(key, mold.rubber_fresh), hours=hours, mold_hours=_named(key, mold.mold_hours),
        laying=_named(key, one.weighed.laying), sums=sums,
        takes=takes_of(key, one.way, mold, spend, planned.hands, stance, planned.terms, planned.found.specs),
        material=spend.material if stance else None, cost=spend.cost(hours, stance) if stance else None,
    )  # fmt: skip
    return row, (spend.remarks if stance else ())


def _placed(
    row: WayRow, one: PlannedWay, frontier: Frontier, rows: Mapping[int, WayRow], best: tuple[str, ...], rank: int,
    used: WayRow | None, stance: Stance | None,
) -> WayRow:  # fmt: skip
    beater = rows.get(frontier.beaten.get(row.number, 0))
    compared = None
    if used is not None and not row.used and stance:
        compared = compare(key=row.key, way=_side(row), other=_side(used), hour=stance.hour, price=stance.rubber_price)
    return replace(
        row, names=(*best, *one.traits), beaten_by=beater, same_as=rows.get(frontier.same.get(row.number, 0)),
        sooner=beater is not None and row.takes.days.value < beater.takes.days.value - 0.05, rank=rank, compared=compared,
    )  # fmt: skip


def _pair(quick: WayRow, slow: WayRow, stance: Stance | None) -> Pair:
    key = f"pair-{quick.number}-{slow.number}"
    hour, price = (stance.hour, stance.rubber_price) if stance else (None, None)
    return Pair(
        quick=quick, slow=slow, compared=compare(key=key, way=_side(slow), other=_side(quick), hour=hour, price=price)
    )  # fmt: skip


def _side(row: WayRow) -> Side:
    return Side(sums=row.sums, hours=row.hours, spend=row.material or row.rubber, rubber=row.takes.priced_rubber)


def _of_compared(compared: Compared | None) -> Iterator[Figure]:
    if compared is not None:
        yield from (one for one in (compared.saved, compared.rate, compared.price) if one is not None)


def _apart(plan: Plan, kept: KeptPlan) -> str:
    apart = differences(plan, kept)
    return f"Differs from the plan in use in: {', '.join(apart)}." if apart else "The same as the plan in use."


def _named(key: str, figure: Figure) -> Figure:
    return replace(figure, key=f"{key}-{figure.key}")
