"""Draws of the drivers: each by its law, those of one group partly together."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from costing.engine.spread.drivers import HANDS, IN_COMMON, PRICES, Driver, Law
from costing.engine.spread.model import Array
from costing.engine.spread.three_point import beta_shape

DRAWS = 10_000
_FURTHEST, _STEPS = 5.0, 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Normals:
    """Independent standard normal draws: one row for what each group has in common, one for each driver by itself."""

    common: Mapping[str, Array]
    own: Mapping[str, Array]


def normals(drivers: Sequence[Driver], *, seed: int, draws: int = DRAWS) -> Normals:
    """Draw the normals of drivers; the same seed and drivers give the same ones, however wide each is."""
    random = np.random.default_rng(seed)
    common = {group: random.standard_normal(draws) for group in (HANDS, PRICES)}
    return Normals(common=common, own={driver.key: random.standard_normal(draws) for driver in drivers})


def values_of(drivers: Sequence[Driver], drawn: Normals) -> dict[str, Array]:
    """Return the values of drivers at every draw.

    Notes
    -----
    A driver of a group is the value at its law's probability Φ(√c Z + √(1 − c) ε), Z what the group has in common and c the
    share in common: each keeps its own law exactly, whatever it has in common (a normal copula with one factor).
    """
    return {driver.key: _value(driver, _normal(driver, drawn)) for driver in drivers}


def _normal(driver: Driver, drawn: Normals) -> Array:
    own = drawn.own[driver.key]
    if not driver.group:
        return own
    found: Array = math.sqrt(IN_COMMON[driver.group]) * drawn.common[driver.group] + math.sqrt(1 - IN_COMMON[driver.group]) * own
    return found


def _value(driver: Driver, normal: Array) -> Array:
    if driver.is_fixed:
        return np.full(len(normal), driver.likely)
    if driver.law is Law.LOG_NORMAL:
        found: Array = driver.likely * np.exp(driver.sigma * normal)
        return found
    first, second = beta_shape(driver.low, driver.likely, driver.high)
    quantiles = _beta_quantiles(round(first, 9), round(second, 9))
    # The grid is even, so that the step to look in is known without a search.
    place = np.clip((normal + _FURTHEST) * (_STEPS / (2 * _FURTHEST)), 0, _STEPS - 1e-9)
    step = place.astype(np.intp)
    share = quantiles[step] + (place - step) * np.diff(quantiles)[step]
    spread: Array = driver.low + (driver.high - driver.low) * share
    return spread


@lru_cache(maxsize=1)
def _grid() -> Array:
    return np.linspace(-_FURTHEST, _FURTHEST, _STEPS + 1)


@lru_cache(maxsize=512)
def _beta_quantiles(first: float, second: float) -> Array:
    """Return the quantiles of a beta distribution at the normal's probabilities on the grid."""
    from scipy.special import betaincinv, ndtr

    found: Array = betaincinv(first, second, ndtr(_grid()))
    return found
