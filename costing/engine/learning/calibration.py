"""Were the ranges right: how often what came out lay below, inside and above what was said before."""

from collections.abc import Sequence
from dataclasses import dataclass

# What a P90 promises.
PROMISED = 0.9
CONFIDENCE = 0.8
# Below so many jobs even a studio that is always right could not be told from one that is right seven times in ten.
FEW = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One job: its P10, P50 and P90 as frozen, and what came out."""

    p10: float
    p50: float
    p90: float
    actual: float

    @property
    def place(self) -> str:
        """Where it came out: "below", "inside" or "above"."""
        if self.actual < self.p10:
            return "below"
        return "inside" if self.actual <= self.p90 else "above"


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """Counts, the share of jobs at or below their P90, and the exact 80 % interval of that share."""

    below: int
    inside: int
    above: int
    share: float
    low: float
    high: float

    @property
    def jobs(self) -> int:
        """How many jobs there are."""
        return self.below + self.inside + self.above

    @property
    def held(self) -> int:
        """How many came out at or below their P90."""
        return self.below + self.inside


def calibration_of(outcomes: Sequence[Outcome]) -> Calibration:
    """Count where jobs came out, with the exact interval of the share that kept below their P90."""
    places = [one.place for one in outcomes]
    below, inside, above = (places.count(name) for name in ("below", "inside", "above"))
    low, high = exact_interval(below + inside, len(places), CONFIDENCE)
    share = (below + inside) / len(places) if places else 0.0
    return Calibration(below=below, inside=inside, above=above, share=share, low=low, high=high)


def exact_interval(hits: int, tries: int, confidence: float) -> tuple[float, float]:
    """Return the exact interval of a share from a count of hits (Clopper and Pearson 1934).

    Parameters
    ----------
    hits, tries : int
        How often it held, of how many.
    confidence : float
        How often such intervals hold the true share, at least.

    Returns
    -------
    tuple of float
        Its ends; (0, 1) where nothing was tried.
    """
    from scipy.special import betaincinv

    if tries <= 0:
        return 0.0, 1.0
    tail = (1 - confidence) / 2
    low = 0.0 if hits == 0 else float(betaincinv(hits, tries - hits + 1, tail))
    high = 1.0 if hits == tries else float(betaincinv(hits + 1, tries - hits, 1 - tail))
    return low, high


def judged(found: Calibration) -> str:
    """Say in one sentence what the counts tell, and what they do not; the interval stands beside it."""
    if found.jobs == 0:
        return "No delivered job has a range to be held against yet."
    said = f"{found.held} of {found.jobs} came out at or below their P90"
    if found.jobs < FEW:
        jobs = "1 job" if found.jobs == 1 else f"{found.jobs} jobs"
        return f"With {jobs} nothing can be said yet: {said}, and the true share may lie anywhere in the interval."
    if found.high < PROMISED:
        return f"{said}: too seldom. The ranges are too narrow or lie too low; promise more than the P90 until they hold."
    if found.low > PROMISED:
        return f"{said}: more often than nine in ten. The ranges are wider, or lie higher, than they need to."
    return f"{said}: that agrees with nine in ten."
