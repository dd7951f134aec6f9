"""What is told of an estimate's spread: plain values without numpy, so that they can be kept, shown and frozen."""

from dataclasses import dataclass

from costing.engine.spread.drivers import Driver

PERCENTS = (10, 50, 90)
OFFERED = (50, 60, 70, 80, 90)


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A quantity as planned, and what is not exceeded in 10, 50 and 90 of 100 cases."""

    key: str
    label: str
    unit: str
    planned: float
    p10: float
    p50: float
    p90: float

    @property
    def width(self) -> float:
        """How far eight of ten cases reach."""
        return self.p90 - self.p10


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverShare:
    """How much of the variance of the cost one driver makes by itself, in percent."""

    key: str
    label: str
    percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """Something to measure: the price's range as it would be then, recomputed with the narrower drivers."""

    key: str
    words: str
    price: Range
    drivers: tuple[Driver, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """An estimate's spread.

    `curve` holds the cost at each whole percent from 1 to 99; `losing_percent` in how many of 100 cases the job costs more than
    its price. `worst` are the largest errors of the quick model against the planner, in percent, by quantity.
    """

    draws: int
    ranges: tuple[Range, ...]
    margin: Range
    curve: tuple[float, ...]
    losing_percent: float
    drivers: tuple[Driver, ...]
    shares: tuple[DriverShare, ...]
    together_percent: float
    measures: tuple[Measure, ...]
    worst: tuple[tuple[str, float], ...]

    def of(self, key: str) -> Range:
        """Return the range of a quantity."""
        return next(found for found in self.ranges if found.key == key)

    def cost_at(self, percent: int) -> float:
        """Return the cost that is not exceeded in so many of 100 cases. [money]"""
        return self.curve[percent - 1]

    def contingency(self, percent: int) -> float:
        """Return what the cost at a percentage lies above the cost as planned; never less than nought. [money]"""
        return max(self.cost_at(percent) - self.of("cost").planned, 0.0)
