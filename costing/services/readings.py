"""The same ways read by a maker on own time and by a client who pays for hours and material."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from costing.engine.frontier.reading import Reading, Stance
from costing.services.alternatives import PlannedWays, WayRow, table_of
from studio.figures import Figure, Given


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadWay:
    """A way in the words of one reader: what is paid for material, the hours, and both together."""

    label: str
    number: int
    material: Figure
    hours: Figure
    whole: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """The plan in use and the way that is best for a reader: what it comes to less, and what an hour more of the slower earns."""

    reading: Reading
    hour: Given | Figure | None
    used: ReadWay
    best: ReadWay
    less: Figure
    earned: Figure | None

    @property
    def same(self) -> bool:
        """Say whether no way is better for this reader than the plan in use."""
        return self.best.number == self.used.number


def readings_of(planned: PlannedWays, stances: Iterable[Stance]) -> tuple[Read, ...]:
    """Read the ways for each of several readers; none where the plan in use cannot be planned."""
    found = (_read(planned, stance) for stance in stances)
    return tuple(one for one in found if one is not None)


def _read(planned: PlannedWays, stance: Stance) -> Read | None:
    table = table_of(planned, stance)
    used, best = table.used, table.cheapest
    if used is None or best is None:
        return None
    if used.rank == best.rank:
        best = used
    start = f"read-{stance.reading.value}"
    mine, its = _way(start, used), _way(f"{start}-best", best)
    less = Figure(
        key=f"{start}-less", label="Less than the plan in use", value=mine.whole.value - its.whole.value, unit="money",
        formula="of the plan in use − of this", given=(mine.whole, its.whole),
    )  # fmt: skip
    return Read(reading=stance.reading, hour=stance.hour, used=mine, best=its, less=less, earned=_earned(start, used, best))


def _way(start: str, row: WayRow) -> ReadWay:
    assert row.material is not None
    assert row.cost is not None
    return ReadWay(
        label=row.label, number=row.number, material=replace(row.material, key=f"{start}-material"),
        hours=replace(row.hours, key=f"{start}-hours"), whole=replace(row.cost, key=f"{start}-whole"),
    )  # fmt: skip


def _earned(start: str, used: WayRow, best: WayRow) -> Figure | None:
    """Return what each hour more of the slower of both earns by what it spends less. [money/h]"""
    slow, quick = (used, best) if used.sums.hours > best.sums.hours else (best, used)
    assert slow.material is not None
    assert quick.material is not None
    more, saved = slow.sums.hours - quick.sums.hours, quick.sums.spend - slow.sums.spend
    if more <= 0 or saved <= 0:
        return None
    return Figure(
        key=f"{start}-earned", label="What each hour more earns", value=saved / more, unit="money/h",
        formula="spent less ÷ hours more", given=(quick.material, slow.material, slow.hours, quick.hours),
    )  # fmt: skip
