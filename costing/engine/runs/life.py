"""How many molds a run uses up: lives are log-normal, one mold after another until all castings are made."""

import math
from functools import lru_cache

from costing.engine.brief import MOST_CASTINGS
from costing.engine.errors import EngineError
from materials.science.life import USUAL_VARIATION, chance_of_dying_before

MOST_MOLDS = 40


def chance_of_more_than(molds: int, *, castings: int, expected: float, variation: float = USUAL_VARIATION) -> float:
    """Return the chance that so many molds, used up one after another, do not give all castings.

    Parameters
    ----------
    molds : int
        Molds at hand, 0 to 40.
    castings : int
        Castings of the run, 1 to 10,000.
    expected : float
        Castings that a mold gives on average, above nought.
    variation : float
        Standard deviation of a life over its mean.

    Returns
    -------
    float
        P(L1 + … + Lm < n), lives counted in whole castings; with one mold the log-normal's own chance.
    """
    _check(castings, expected)
    if not 0 <= molds <= MOST_MOLDS:
        raise EngineError(f"A run is reckoned with at most {MOST_MOLDS} molds.")
    return 1.0 if molds == 0 else _chances(castings, expected, variation, molds)[molds - 1]


def molds_used(*, castings: int, expected: float, variation: float = USUAL_VARIATION) -> float:
    """Return how many molds a run uses up on average, the last one counted whole.

    The sum of the chances that none, one, two, … molds do not suffice. Of many molds that is hardly told from castings ÷
    mean + mean of (life × (life − 1)) ÷ (2 × mean²), lives in whole castings, which is then taken (renewal theorem).
    """
    _check(castings, expected)
    if castings > expected * MOST_MOLDS / 2:
        # What a mold gives in whole castings is half a casting less on average.
        mean = max(expected - 0.5, 0.5)
        return castings / mean + ((variation * expected) ** 2 + mean**2 - mean) / (2 * mean**2)
    return 1.0 + math.fsum(_chances(castings, expected, variation, MOST_MOLDS))


@lru_cache(maxsize=64)
def _chances(castings: int, expected: float, variation: float, molds: int) -> tuple[float, ...]:
    import numpy as np

    below = [chance_of_dying_before(castings=n, expected=expected, variation=variation) for n in range(castings + 1)]
    life = np.diff(np.array(below))
    size = 1 << (2 * castings - 1).bit_length()
    wave, sums, found = np.fft.rfft(life, size), life, []
    for _ in range(molds):
        # What gives n castings or more is done; only sums below n go on.
        left = float(min(max(sums.sum(), 0.0), 1.0))
        if left < 1e-13:
            break
        found.append(left)
        sums = np.maximum(np.fft.irfft(np.fft.rfft(sums, size) * wave, size)[:castings], 0.0)
    return (*found, *[0.0] * (molds - len(found)))


def _check(castings: int, expected: float) -> None:
    if not 1 <= castings <= MOST_CASTINGS:
        raise EngineError(f"A run has 1 to {MOST_CASTINGS:,} castings.")
    if not expected > 0:
        raise EngineError("A mold's expected castings must be above nought; set them on the rubber's page.")
