"""In which order shell pieces come off: a piece is blocked by another whose shell lies in its way."""

from itertools import permutations

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles, Ints
from jobs.geometry.study.depth_map import frame_across
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.face_graph import FaceGraph

# Layers through the thickness at which the shell is looked for.
_LAYERS = (0.1, 0.5, 0.9)
# Pixels are so many usual triangles wide: then each triangle's middle fills one.
_PIXEL = 1.5
# Shells that overlap on a smaller patch than this many thicknesses squared, or pixels, merely touch.
_TOUCH_THICKNESSES, _TOUCH_PIXELS = 2.0, 12.0


def blocked_pairs(graph: FaceGraph, piece: Ints, pulls: tuple[Direction, ...], shell_mm: float) -> tuple[tuple[int, int], ...]:
    """Find pairs (a, b), numbered from 0, where piece a cannot be pulled before piece b is gone.

    Parameters
    ----------
    graph : FaceGraph
        What the shell lies on, m triangles.
    piece : ndarray, shape (m,)
        Which piece covers each.
    pulls : tuple of Direction
        Where each piece is pulled to.
    shell_mm : float
        Thickness of the shell. [mm]

    Notes
    -----
    Both shells are seen along the pull of a: where the highest of b is above the lowest of a, b lies in the way. That the
    pieces touch along their parting is no obstacle: heights must differ by more than the shell's own thickness.
    """
    usual_mm = float(np.sqrt(2 * graph.areas.sum() / len(graph.areas)))
    pixel = _PIXEL * usual_mm
    enough = max(_TOUCH_PIXELS, (_TOUCH_THICKNESSES * shell_mm / pixel) ** 2)
    shells = [_shell_points(graph, piece == k, shell_mm) for k in range(len(pulls))]
    pairs = []
    for a, b in permutations(range(len(pulls)), 2):
        if len(shells[a]) == 0 or len(shells[b]) == 0:
            continue
        way = np.vstack([frame_across(pulls[a]), (pulls[a].x, pulls[a].y, pulls[a].z)])
        if _overlap(shells[a] @ way.T, shells[b] @ way.T, pixel, shell_mm + 2 * pixel) > enough:
            pairs.append((a, b))
    return tuple(pairs)


def removal_order(pairs: tuple[tuple[int, int], ...], heights: Doubles, areas: Doubles) -> tuple[int, ...]:
    """Order pieces so that each is pulled after all that block it; empty when there is no such order.

    Parameters
    ----------
    pairs : tuple of (a, b)
        a cannot be pulled before b is gone.
    heights, areas : ndarray, shape (k,)
        Where the middle of each piece lies, as a share of the body's height, and its share of the area. Of pieces that are
        free together the highest comes first, then the largest, then the first in number; shares count by fiftieths, so
        that rounding decides nothing.
    """
    rank = [(-round(50 * float(heights[k])), -round(50 * float(areas[k])), k) for k in range(len(heights))]
    rest, order = set(range(len(heights))), []
    while rest:
        free = [rank[k] for k in rest if not any(a == k and b in rest for a, b in pairs)]
        if not free:
            return ()
        order.append(min(free)[2])
        rest.remove(order[-1])
    return tuple(order)


def _shell_points(graph: FaceGraph, mine: Bools, shell_mm: float) -> Doubles:
    middles, normals = graph.middles[mine], graph.normals[mine]
    points: Doubles = np.concatenate([middles + share * shell_mm * normals for share in _LAYERS])
    return points


def _overlap(a: Doubles, b: Doubles, pixel: float, tolerance: float) -> int:
    """Count the pixels where the highest of b (n, 3) is above the lowest of a; the last column is the height."""
    low = np.minimum(a[:, :2].min(axis=0), b[:, :2].min(axis=0))
    cells_a, cells_b = (np.floor((points[:, :2] - low) / pixel).astype(np.int64) for points in (a, b))
    rows, columns = np.maximum(cells_a.max(axis=0), cells_b.max(axis=0)) + 1
    lowest, highest = np.full(rows * columns, np.inf), np.full(rows * columns, -np.inf)
    np.minimum.at(lowest, cells_a[:, 0] * columns + cells_a[:, 1], a[:, 2])
    np.maximum.at(highest, cells_b[:, 0] * columns + cells_b[:, 1], b[:, 2])
    return int(np.count_nonzero(highest - lowest > tolerance))
