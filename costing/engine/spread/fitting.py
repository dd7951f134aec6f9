"""Smooth responses fitted through a few plans: exact at those points, held against others."""

import math
from collections.abc import Mapping, Sequence

import numpy as np

from costing.engine.spread.model import Surfaces

Numbers = Mapping[str, float]
# Columns of area and wall before those of the losses.
PLANE = 5


def plane(
    center: float, x: tuple[float, float], y: tuple[float, float] | None, both: float | None, h: float, k: float
) -> list[float]:
    """Fit ln q = ln q₀ + αx + α₂x² + βy + β₂y² + γxy through its values at ±h, ±k and (h, k); flat where one is missing."""
    logs = [_log(value) for value in (center, *x)]
    if any(value is None for value in logs):
        return [0.0] * PLANE
    f0, below, above = (float(value or 0.0) for value in logs)
    alpha, alpha2 = (above - below) / (2 * h), (above + below - 2 * f0) / (2 * h * h)
    low, high = (None, None) if y is None else (_log(y[0]), _log(y[1]))
    if low is None or high is None:
        return [alpha, alpha2, 0.0, 0.0, 0.0]
    beta, beta2 = (high - low) / (2 * k), (high + low - 2 * f0) / (2 * k * k)
    corner = None if both is None else _log(both)
    cross = 0.0 if corner is None else (corner - f0 - alpha * h - alpha2 * h * h - beta * k - beta2 * k * k) / (h * k)
    return [alpha, alpha2, beta, beta2, cross]


def bend(center: float, ends: Sequence[tuple[float, float]]) -> list[float]:
    """Fit ln q = ln q₀ + az + bz² through two points (z, q)."""
    (z1, q1), (z2, q2) = ends
    logs = [_log(value) for value in (center, q1, q2)]
    if any(value is None for value in logs) or len({z1, z2, 0.0}) < 3:
        return [0.0, 0.0]
    f0, f1, f2 = (float(value or 0.0) for value in logs)
    slope1, slope2 = (f1 - f0) / z1, (f2 - f0) / z2
    second = (slope2 - slope1) / (z2 - z1)
    return [slope1 - second * z1, second]


def surfaces(base: Sequence[float], coefficients: Sequence[Sequence[float]], columns: int) -> Surfaces:
    """Put fitted responses together; missing columns are nought."""
    table = np.zeros((len(base), columns))
    for row, found in enumerate(coefficients):
        table[row, : len(found)] = found
    shapes, shape_of = np.unique(table.round(12), axis=0, return_inverse=True)
    return Surfaces(base=np.asarray(base, dtype=float), shapes=shapes, shape_of=np.asarray(shape_of).reshape(-1))


def _log(value: float) -> float | None:
    return math.log(value) if value > 1e-12 else None
