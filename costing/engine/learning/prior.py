"""What is known of a rate before anything is noted: the table's value and its usual range."""

import math
from dataclasses import dataclass

from studio.workrates import WorkRateKind

# The 95th percentile of a standard normal distribution.
Z95 = 1.6448536269514722
# No table is so sure of a rate of handwork that nothing could be learnt.
LEAST_SPREAD = 0.05
SAID = "The table's value is the middle, its usual range holds nine studios in ten, on a scale of ratios."


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """A log-normal belief: the mean and the spread of the logarithm of a rate."""

    middle: float
    spread: float


def prior_of(kind: WorkRateKind) -> Prior | None:
    """Return what the table says of a rate; None where it is no rate of handwork that a log of minutes could teach.

    The default is the median; the usual range is read as the 5th to the 95th percentile.
    """
    if not is_learnable(kind):
        return None
    return Prior(middle=math.log(kind.default), spread=max(math.log(kind.high / kind.low) / (2 * Z95), LEAST_SPREAD))


def is_learnable(kind: WorkRateKind) -> bool:
    """Say whether minutes noted at work can teach this rate: waits and habits of material cannot be learnt so."""
    wait = "wait" in kind.key or kind.key in {"laminate_heat_min", "mix_min", "vacuum_min"}
    of_work = kind.unit == "min" or kind.unit.startswith("min/")
    return of_work and not wait and 0 < kind.low <= kind.default <= kind.high
