"""Which ways no other beats in hours and in spend at once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from costing.engine.frontier.sums import WaySums


@dataclass(frozen=True, slots=True, kw_only=True)
class Frontier:
    """The undominated ways by number, fewest hours first, and what becomes of the others.

    `beaten` gives for each dominated way the one that beats it; `same` for each way that takes exactly as much as an undominated
    one the number of that one, which stands for both.
    """

    joined: tuple[int, ...] = ()
    beaten: Mapping[int, int] = field(default_factory=dict)
    same: Mapping[int, int] = field(default_factory=dict)

    @property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Return the undominated ways two by two, as they lie next to each other."""
        return tuple(zip(self.joined, self.joined[1:], strict=False))


def frontier_of(ways: Iterable[WaySums], *, rate_per_h: float = 0.0) -> Frontier:
    """Find the ways of which none takes fewer hours for no more money, or less money for no more hours.

    Parameters
    ----------
    ways : iterable of WaySums
        In any order; of two that take exactly as much the lower number stands for both.
    rate_per_h : float
        Where several beat a way, the one that costs least at this rate is named. [money/h]
    """
    ordered = sorted(ways, key=lambda way: (way.hours, way.spend, way.number))
    joined: list[WaySums] = []
    others: list[WaySums] = []
    for way in ordered:
        if not joined or way.spend < joined[-1].spend:
            joined.append(way)
        else:
            others.append(way)
    beaten: dict[int, int] = {}
    same: dict[int, int] = {}
    for way in others:
        twin = next((one for one in joined if (one.hours, one.spend) == (way.hours, way.spend)), None)
        if twin is not None:
            same[way.number] = twin.number
        else:
            beaten[way.number] = _beater(way, joined, rate_per_h).number
    return Frontier(joined=tuple(way.number for way in joined), beaten=beaten, same=same)


def ranks(ways: Sequence[WaySums], *, rate_per_h: float, step: float) -> dict[int, int]:
    """Rank ways by cost, 1 for the least; what costs the same to the smallest coin shares a rank.

    Parameters
    ----------
    ways : sequence of WaySums
        In any order.
    rate_per_h : float
        What an hour counts. [money/h]
    step : float
        The smallest coin. [money]
    """
    costs = {way.number: round(way.cost(rate_per_h) / step) for way in ways}
    return {number: 1 + sum(other < cost for other in costs.values()) for number, cost in costs.items()}


def _beater(way: WaySums, joined: Sequence[WaySums], rate_per_h: float) -> WaySums:
    better = [one for one in joined if one.hours <= way.hours and one.spend <= way.spend]
    return min(better, key=lambda one: (one.cost(rate_per_h), one.number))
