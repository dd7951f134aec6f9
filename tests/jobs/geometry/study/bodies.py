"""Bodies whose depth, slope and fill are known, with their exact distances."""

from collections.abc import Callable
from typing import Any

import numpy as np

from jobs.geometry.study.field import DistanceField

# A cup on its foot: outer and inner radius, height, thickness of the floor.
OUTER, INNER, HEIGHT, FLOOR = 60.0, 45.0, 100.0, 20.0
CUP = [(0, 0), (OUTER, 0), (OUTER, HEIGHT), (INNER, HEIGHT), (INNER, FLOOR), (0, FLOOR)]


def cup_distance(points: Any) -> Any:
    """Signed distance to the cup; inside, where two of its parts meet, it may read too near."""
    radius, z = np.hypot(points[..., 0], points[..., 1]), points[..., 2]

    def ring(inner: float, outer: float, low: float, high: float) -> Any:
        aside, above = np.maximum(inner - radius, radius - outer), np.maximum(low - z, z - high)
        return np.hypot(np.maximum(aside, 0), np.maximum(above, 0)) + np.minimum(np.maximum(aside, above), 0)

    return np.minimum(ring(INNER, OUTER, 0, HEIGHT), ring(-1, OUTER, 0, FLOOR))


def filled_cup_distance(points: Any, wall: float) -> Any:
    """Signed distance to the cup coated `wall` thick whose hollow is filled up to its brim's coat."""
    radius, z = np.hypot(points[..., 0], points[..., 1]), points[..., 2]
    aside, above = radius - OUTER, z - HEIGHT
    return np.hypot(np.maximum(aside, 0), np.maximum(above, 0)) + np.minimum(np.maximum(aside, above), 0) - wall


def field_of(
    distance: Callable[[Any], Any], low: float, high: float, *, step: float, floor: float | None = None
) -> DistanceField:
    """Lay a distance onto a cube of nodes."""
    sides = [np.arange(low if floor is None or axis < 2 else floor, high + step, step) for axis in range(3)]
    nodes = np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1)
    origin = np.array([side[0] for side in sides])
    values = distance(nodes).astype(np.float32)
    return DistanceField(values=values, origin=origin, step_mm=step, low_mm=-50.0, high_mm=50.0)
