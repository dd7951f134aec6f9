"""In which order shell pieces come off: a piece is blocked by another whose shell lies in its way."""

from itertools import permutations

import numpy as np
from scipy.ndimage import label

from jobs.geometry.engine.kernel_removal import draw_shells
from jobs.geometry.raw_mesh import Bools, Doubles, Ints
from jobs.geometry.study.depth_map import frame_across
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.face_graph import FaceGraph

# Layers through the thickness at which the shell is looked for.
_LAYERS = np.array([0.1, 0.5, 0.9])
# A shell in the way on a patch smaller than this, in pixels, or in thicknesses squared, only touches: shells are fitted there.
_TOUCH_PIXELS, _TOUCH_THICKNESSES = 16, 4.0


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
    Both shells are seen along the pull of a: where the highest of b is above the lowest of a, b lies in the way. That
    pieces touch along their parting is no obstacle: heights must differ by more than the shell's own thickness, over a
    patch of some size.
    """
    # As wide as a usual triangle: each puts four points into each layer.
    pixel = float(np.sqrt(2 * graph.areas.sum() / len(graph.areas)))
    ways = np.stack([np.vstack([frame_across(pull), (pull.x, pull.y, pull.z)]) for pull in pulls])
    places = graph.vertices @ ways[:, :2].reshape(-1, 3).T
    rim = shell_mm + pixel
    corners = (places.min(axis=0) - rim).reshape(-1, 2)
    rows, columns = (int(size) for size in np.ceil(((places.max(axis=0) + rim).reshape(-1, 2) - corners).max(axis=0) / pixel) + 1)
    count = len(pulls)
    lowest = np.full((count, rows, columns), np.inf, np.float32)
    highest = np.full((count, count, rows, columns), -np.inf, np.float32)
    draw_shells(
        graph.vertices, graph.faces, graph.normals, piece, ways, _LAYERS, shell_mm, corners, pixel, lowest, highest
    )  # fmt: skip
    tolerance, touch = shell_mm + 2 * pixel, max(_TOUCH_PIXELS, _TOUCH_THICKNESSES * (shell_mm / pixel) ** 2)
    return tuple((a, b) for a, b in permutations(range(count), 2) if _widest(highest[a, b] - lowest[a] > tolerance) > touch)


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


def _widest(marked: Bools) -> int:
    """Count the pixels of the largest patch of marked ones; lines a pixel wide are left out."""
    square = marked[:-1, :-1] & marked[1:, :-1] & marked[:-1, 1:] & marked[1:, 1:]
    patches, count = label(square)
    return int(np.bincount(patches.reshape(-1))[1:].max()) if count else 0
