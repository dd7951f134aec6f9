"""Cost and price of each casting from one to many, without the mold and with its share."""

from collections.abc import Iterable
from dataclasses import dataclass

from costing.engine.brief import MOST_CASTINGS
from costing.engine.castings import Break
from costing.engine.cost import Cost
from materials.science.life import molds_wanted
from studio.figures import Figure, Given

_ROUND = (1, 2, 5)
# Enough for a curve of half a sheet; more points would lie on one another.
_POINTS = 28


@dataclass(frozen=True, slots=True, kw_only=True)
class MoldCount:
    """Molds planned, castings that one gives (None where not known), and further ones decided (None where nobody has)."""

    planned: int
    expected: Given | None
    decided: int | None

    def of(self, quantity: int) -> int:
        """Return the molds of a run: the planned and the decided ones, or as many as the rule of seven tenths wants."""
        if self.decided is not None:
            return self.planned + self.decided
        if self.expected is None:
            return self.planned
        return max(self.planned, molds_wanted(castings=quantity, expected=self.expected.value))


@dataclass(frozen=True, slots=True, kw_only=True)
class MoldMoney:
    """What the planned molds and a further one cost and sell for."""

    planned: Cost
    further: Cost
    count: MoldCount


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A run at one quantity: as priced, molds in all, and cost and price of each casting with its share of the molds [money]."""

    run: Break
    molds: int
    cost_with: Figure
    price_with: Figure

    @property
    def quantity(self) -> int:
        """Castings of the run."""
        return self.run.quantity


def furthest(count: int, quantities: Iterable[int]) -> int:
    """Return how far the curve goes: twice the run, and to every quantity asked for."""
    return min(max(2 * count, 10, *quantities), MOST_CASTINGS)


def round_quantities(most: int) -> list[int]:
    """Return 1, 2, 5, 10, 20, 50 and so on up to the most."""
    found, power = [], 1
    while power <= most:
        found += [step * power for step in _ROUND if step * power <= most]
        power *= 10
    return found


def curve_quantities(most: int, molds: MoldCount) -> list[int]:
    """Return the quantities that the curve is drawn through, with those on both sides of every step of the molds."""
    found = {round(most ** (place / _POINTS)) for place in range(_POINTS + 1)}
    if molds.decided is None and molds.expected is not None:
        wanted = [molds.of(quantity) for quantity in range(1, most + 1)]
        steps = [place + 1 for place in range(most - 1) if wanted[place] != wanted[place + 1]]
        found |= {quantity + more for quantity in steps[:_POINTS] for more in (0, 1)}
    return sorted(found)


def points(runs: Iterable[Break], money: MoldMoney) -> tuple[Point, ...]:
    """Spread the molds over the castings of each run.

    Parameters
    ----------
    runs : iterable of Break
        Runs as priced, without molds.
    money : MoldMoney
        What molds cost, and how many there are.

    Returns
    -------
    tuple of Point
        With its share: cost (price) of each casting + cost (price) of all molds ÷ castings.
    """
    return tuple(_point(run, money) for run in runs)


def _point(run: Break, money: MoldMoney) -> Point:
    molds = money.count.of(run.quantity)
    more = molds - money.count.planned
    return Point(
        run=run,
        molds=molds,
        cost_with=_with("cost", "Cost", run, run.each.cost, money.planned.cost, money.further.cost, more),
        price_with=_with("price", "Price", run, run.each.price, money.planned.price, money.further.price, more),
    )


def _with(kind: str, label: str, run: Break, each: Figure, planned: Figure, further: Figure, more: int) -> Figure:
    given: tuple[Given | Figure, ...] = (each, planned, Given(label="Castings", value=run.quantity, unit="1"))
    formula = f"{kind} of each + {kind} of the mold ÷ castings"
    if more:
        given = (*given, Given(label="Further molds", value=more, unit="1"), further)
        formula = f"{kind} of each + ({kind} of the mold + further molds × {kind} of each of them) ÷ castings"
    return Figure(
        key=f"run-{run.quantity}-{kind}-with",
        label=f"{label} of each of {run.quantity} with its share of the mold",
        value=each.value + (planned.value + more * further.value) / run.quantity,
        unit="money",
        formula=formula,
        given=given,
    )
