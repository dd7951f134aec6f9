"""Fields of distances to simple bodies, exact by formula."""

from collections.abc import Callable

import numpy as np

from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.field import DistanceField

Distance = Callable[[Doubles], Doubles]


def field_of(
    distance: Distance, low: tuple[float, float, float], high: tuple[float, float, float], *, step: float,
    exact_to: float = np.inf,
) -> DistanceField:  # fmt: skip
    """Sample a distance on a grid; beyond ±`exact_to` give values that are too far, as a pruned field may."""
    axes = [start + step * np.arange(int(np.ceil((end - start) / step)) + 1) for start, end in zip(low, high, strict=True)]
    values = distance(np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1))
    values = np.where(np.abs(values) > exact_to, values + np.sign(values) * 4 * step, values)
    return DistanceField(
        values=values.astype(np.float32), origin=np.array(low, dtype=np.float64), step_mm=step, low_mm=-exact_to, high_mm=exact_to
    )


def box(half: tuple[float, float, float], middle: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Distance:
    def distance(points: Doubles) -> Doubles:
        beyond = np.abs(points - np.array(middle)) - np.array(half)
        found: Doubles = np.linalg.norm(np.maximum(beyond, 0.0), axis=-1) + np.minimum(beyond.max(axis=-1), 0.0)
        return found

    return distance


def ball(radius: float) -> Distance:
    return lambda points: np.linalg.norm(points, axis=-1) - radius


def nothing(points: Doubles) -> Doubles:
    return np.full(points.shape[:-1], 1e4)
