"""Low, likely and high: what three numbers tell of a distribution."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

from costing.engine.errors import EngineError

# Weight of the likely value, as the three-point rule gives it.
WEIGHT = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """A mean and a standard deviation, in the unit of the three numbers."""

    mean: float
    sd: float

    def percentile(self, percent: float) -> float:
        """Return what is not exceeded in so many of 100 cases, as if normal."""
        return self.mean + self.sd * NormalDist().inv_cdf(percent / 100)


def three_point(low: float, likely: float, high: float) -> Moments:
    """Apply the three-point rule: mean (low + 4 likely + high) ÷ 6, standard deviation (high − low) ÷ 6.

    References
    ----------
    .. [1] Malcolm, Roseboom, Clark, Fazar, Operations Research 7 (1959) (from memory).
    """
    _check(low, likely, high)
    return Moments(mean=(low + WEIGHT * likely + high) / (WEIGHT + 2), sd=(high - low) / 6)


def chain(parts: Iterable[Moments]) -> Moments:
    """Add independent parts: means add, and so do variances, not standard deviations."""
    found = list(parts)
    return Moments(mean=math.fsum(part.mean for part in found), sd=math.sqrt(math.fsum(part.sd**2 for part in found)))


def beta_shape(low: float, likely: float, high: float) -> tuple[float, float]:
    """Return both shape numbers of the beta distribution between low and high whose mean is that of the three-point rule."""
    _check(low, likely, high)
    if high == low:
        raise EngineError("Low and high are the same, so nothing is spread between them.")
    return 1 + WEIGHT * (likely - low) / (high - low), 1 + WEIGHT * (high - likely) / (high - low)


def _check(low: float, likely: float, high: float) -> None:
    if not (math.isfinite(low) and math.isfinite(high) and low <= likely <= high):
        raise EngineError("The likely value must lie between the low and the high one; correct the three.")
