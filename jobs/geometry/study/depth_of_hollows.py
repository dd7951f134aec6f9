"""How deep a surface lies in its hollows: the way through the air from a tight wrapping of the piece."""

import numpy as np

from jobs.geometry.engine.kernel_wrapping import below_planes
from jobs.geometry.raw_mesh import Doubles, Ints
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.ways import ways_out

# The wrapping is laid over the farthest points in this many directions; a ball of 100 mm then reads 0.5 mm too low at most.
_DIRECTIONS = 600


def depths(points: Doubles, normals: Doubles, *, distance: DistanceField, on_board: bool) -> Doubles:
    """Return how far points (n, 3) of the surface lie from the wrapping, on the shortest way through the air. [mm]

    The wrapping is the convex hull; on a board it is open below, but no way leads out there. Where nothing stands in between
    the straight distance counts, which is exact; where the way is a detour, the way as `ways_out` walks it.
    """
    planes = _wrapping(points, on_board=on_board)
    straight = _below(points, planes)
    span = float(np.ptp(points, axis=0).max())
    if float(straight.max(initial=0.0)) <= 1e-6 * span:
        return straight
    way, detour = ways_out(
        points, normals, under=lambda places: _below(places, planes), free=lambda places: distance.at(places) > 0,
        floor_mm=0.0 if on_board else -np.inf,
    )  # fmt: skip
    way = np.where(np.isfinite(way), np.maximum(way, straight), straight)
    return straight + np.clip(40 * (detour - 0.005), 0.0, 1.0) * (way - straight)


def _wrapping(points: Doubles, *, on_board: bool) -> Doubles:
    """Return the hull's planes (k, 4): outward normal and −offset; those that look down at the board left out."""
    from scipy.spatial import ConvexHull, QhullError

    turn = np.arange(_DIRECTIONS) + 0.5
    z, around = 1 - 2 * turn / _DIRECTIONS, np.pi * (1 + 5**0.5) * turn
    ways = np.stack([np.sqrt(1 - z * z) * np.cos(around), np.sqrt(1 - z * z) * np.sin(around), z], axis=1)
    # Corners of boxes lie farthest in whole solid angles, so that boxes are wrapped exactly.
    try:
        # What lies within a hull of a few of the farthest points is itself none of them.
        few = points[_farthest(points, ways[::12])]
        near = _below(points, np.ascontiguousarray(ConvexHull(few).equations)) <= 1e-9 * float(np.ptp(points, axis=0).max())
        without = points[near]
        planes: Doubles = ConvexHull(without[_farthest(without, ways)]).equations
    except (QhullError, ValueError):  # flat: everything lies on the wrapping
        return np.empty((0, 4))
    planes = np.unique(np.round(planes, 9), axis=0)
    return np.ascontiguousarray(planes[planes[:, 2] > -0.99] if on_board else planes)


def _farthest(points: Doubles, ways: Doubles) -> Ints:
    """Return which points lie farthest in these directions."""
    across = np.ascontiguousarray(points.T, dtype=np.float32)
    blocks = np.array_split(ways.astype(np.float32), 1 + len(ways) // 40)
    found: Ints = np.unique(np.concatenate([np.argmax(block @ across, axis=1) for block in blocks]))
    return found


def _below(points: Doubles, planes: Doubles) -> Doubles:
    """Return how far points lie below the nearest plane; negative outside."""
    if len(planes) == 0:
        return np.zeros(len(points))
    found = np.empty(len(points))
    below_planes(np.ascontiguousarray(points, np.float64), planes, found)
    return found
