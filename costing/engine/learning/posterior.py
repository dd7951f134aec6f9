"""The robust Bayesian update: a belief about a rate after jobs were noted, on a grid.

The logarithm of what a job showed lies round the logarithm of the studio's rate with Student's t of few degrees of freedom, so
that one job gone wrong is doubted, not believed. How widely jobs lie is not known either, and is learnt along.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from costing.engine.learning.prior import Prior

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

STEPS, SCALES = 601, 31
# How far the grid reaches, in spreads of the prior and beyond the outermost job.
REACH = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Likelihood:
    """How jobs lie round a studio's own rate: degrees of freedom, the usual scale of their logarithms and how sure that is.

    The scale has a log-normal belief of its own; `scale_spread` nought takes it as known, `freedom` infinite takes jobs as
    normally distributed.
    """

    freedom: float = 4.0
    scale: float = 0.25
    scale_spread: float = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """What is believed of a rate: median and 80 % interval, and the moments of its logarithm.

    `weights` says of each job how far it is believed: 1 as any, near 0 as one gone wrong.
    """

    median: float
    low: float
    high: float
    log_mean: float
    log_spread: float
    weights: tuple[float, ...]
    prior_low: float
    prior_high: float
    prior_spread: float

    @property
    def share_of_log(self) -> float:
        """How much of what is believed comes from the log: 1 − (spread after ÷ spread before)², as a share of precision."""
        return min(max(1.0 - (self.log_spread / self.prior_spread) ** 2, 0.0), 1.0)

    @property
    def narrowing(self) -> float:
        """How much narrower the 80 % interval has become, on a scale of ratios."""
        before, after = math.log(self.prior_high / self.prior_low), math.log(self.high / self.low)
        return min(max(1.0 - after / before, 0.0), 1.0)


def update(prior: Prior, observed: Sequence[float], likelihood: Likelihood | None = None) -> Posterior:
    """Update the belief about a rate by what jobs showed.

    Parameters
    ----------
    prior : Prior
        What was believed before.
    observed : sequence of float
        The rate that each job showed, each above nought, in the rate's unit.
    likelihood : Likelihood, optional
        How jobs lie round the rate.

    Returns
    -------
    Posterior
        In the rate's unit.
    """
    import numpy as np

    like = likelihood or Likelihood()
    logs = np.log(np.asarray(observed, dtype=float)) if len(observed) else np.zeros(0)
    rates = _grid(prior, logs)
    scales, belief = _scales(like)
    weight = -0.5 * ((rates - prior.middle) / prior.spread) ** 2
    surface = weight[:, None] + belief[None, :]
    for one in logs:
        surface = surface + _log_density((one - rates[:, None]) / scales[None, :], like.freedom) - np.log(scales)[None, :]
    surface = np.exp(surface - surface.max())
    marginal = surface.sum(axis=1)
    step = float(rates[1] - rates[0])
    marginal = marginal / (marginal.sum() * step)
    mean = float((marginal * rates).sum() * step)
    spread = math.sqrt(max(float((marginal * (rates - mean) ** 2).sum() * step), 0.0))
    low, median, high = (math.exp(_quantile(rates, marginal, step, part)) for part in (0.1, 0.5, 0.9))
    z90 = 1.2815515655446004
    return Posterior(
        median=median, low=low, high=high, log_mean=mean, log_spread=spread,
        weights=_weights(logs, rates, scales, surface, like.freedom),
        prior_low=math.exp(prior.middle - z90 * prior.spread), prior_high=math.exp(prior.middle + z90 * prior.spread),
        prior_spread=prior.spread,
    )  # fmt: skip


def _grid(prior: Prior, logs: "Array") -> "Array":
    import numpy as np

    ends = [prior.middle - REACH * prior.spread, prior.middle + REACH * prior.spread]
    return np.linspace(min([*ends, *(logs - 0.5)]), max([*ends, *(logs + 0.5)]), STEPS)


def _scales(like: Likelihood) -> "tuple[Array, Array]":
    """Return scales to sum over and the logarithm of what is believed of each."""
    import numpy as np

    if like.scale_spread <= 0:
        return np.array([like.scale]), np.zeros(1)
    away = np.linspace(-3, 3, SCALES)
    return like.scale * np.exp(away * like.scale_spread), -0.5 * away**2


def _log_density(away: Any, freedom: float) -> Any:
    """Return the logarithm of the density at so many scales from the middle, but for what does not depend on it."""
    import numpy as np

    if math.isinf(freedom):
        return -0.5 * away**2
    return -0.5 * (freedom + 1) * np.log1p(away**2 / freedom)


def _quantile(rates: "Array", marginal: "Array", step: float, part: float) -> float:
    import numpy as np

    # The trapezium below the density up to each step.
    summed = np.concatenate(([0.0], np.cumsum((marginal[1:] + marginal[:-1]) / 2) * step))
    return float(np.interp(part, summed / summed[-1], rates))


def _weights(logs: "Array", rates: "Array", scales: "Array", surface: "Array", freedom: float) -> tuple[float, ...]:
    """Return how far each job is believed: the weight that it has in the mean, against a job right at the rate."""
    if math.isinf(freedom):
        return tuple(1.0 for _ in logs)
    whole = float(surface.sum())
    found = []
    for one in logs:
        away = (one - rates[:, None]) / scales[None, :]
        found.append(float((surface / (1 + away**2 / freedom)).sum()) / whole)
    return tuple(found)
