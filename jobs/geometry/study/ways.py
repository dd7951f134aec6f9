"""The shortest way from a surface to the outside, around what stands in between."""

import itertools
from collections.abc import Callable

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles, Floats, Ints

# Nodes along the longest side of the grid that is walked.
NODES = 56
_STEPS = [step for step in itertools.product((-1, 0, 1), repeat=3) if step > (0, 0, 0)]


def ways_out(
    points: Doubles,
    normals: Doubles,
    *,
    under: Callable[[Doubles], Doubles],
    free: Callable[[Doubles], Bools],
    floor_mm: float = -np.inf,
) -> tuple[Doubles, Doubles]:
    """Return how long the shortest way out is from each point, and how much of it is a detour.

    Parameters
    ----------
    points, normals : ndarray, shape (n, 3)
        Where ways begin, and towards which side. [mm]
    under : callable
        How far places (k, 3) lie under what is the outside; negative beyond it. [mm]
    free : callable
        Whether places may be passed.
    floor_mm : float
        Nothing below this height is passed. [mm]

    Returns
    -------
    way : ndarray, shape (n,)
        Infinite where none is found. [mm]
    detour : ndarray, shape (n,)
        By which share of the way it is longer than straight through whatever stands there, 0 to 1.

    Notes
    -----
    Ways are walked on a grid of 1/56 of the longest side with 26 neighbours, which is 10 % too long at worst and exact along
    its axes and diagonals.
    """
    none = np.full(len(points), np.inf), np.zeros(len(points))
    step = float(np.ptp(points, axis=0).max()) / NODES
    if not step > 0:
        return none
    low = points.min(axis=0) - 0.5 * step
    low[2] = max(low[2], floor_mm + 0.5 * step)
    counts = np.floor((points.max(axis=0) - low) / step + 0.5).astype(np.int64).clip(0) + 1
    cells = np.stack(np.meshgrid(*(np.arange(count) for count in counts), indexing="ij"), axis=-1).reshape(-1, 3)
    cells = cells[free(low + step * cells)]
    deep = under(low + step * cells)
    cells, deep = cells[deep > 0], deep[deep > 0]
    if len(cells) == 0:
        return none
    walked = _walk(cells, counts, deep, step)
    reached = np.isfinite(walked)
    if not reached.any():
        return none
    cells, deep, walked = cells[reached], deep[reached], walked[reached]
    way, by = _read(points + 0.25 * step * normals, normals, low + step * cells, walked, step)
    return way, np.maximum(1 - deep / walked, 0.0)[by]


def _walk(cells: Ints, counts: Ints, under: Doubles, step: float) -> Doubles:
    """Return the shortest way from each free cell to the wrapping, over free neighbours."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    place = np.full(tuple(counts), -1, dtype=np.int64)
    place[tuple(cells.T)] = np.arange(len(cells))
    rows, columns, lengths = [], [], []
    for way in _STEPS:
        there = cells + way
        within = np.logical_and(there >= 0, there < counts).all(axis=1)
        to = np.full(len(cells), -1, dtype=np.int64)
        to[within] = place[tuple(there[within].T)]
        here = np.flatnonzero(to >= 0)
        rows.append(here)
        columns.append(to[here])
        lengths.append(np.full(len(here), step * float(np.linalg.norm(way))))
    # One more node stands for the world outside; the cells just below the wrapping lead to it.
    near = np.flatnonzero(under <= 1.5 * step)
    rows.append(near)
    columns.append(np.full(len(near), len(cells)))
    lengths.append(np.maximum(under[near], 1e-9))
    row, column, length = (np.concatenate(parts) for parts in (rows, columns, lengths))
    size = len(cells) + 1
    graph = coo_array((length, (row, column)), shape=(size, size)).tocsr()
    walked: Doubles = dijkstra(graph, directed=False, indices=len(cells))[: len(cells)]
    return walked


def _read(points: Floats, normals: Doubles, nodes: Doubles, walked: Doubles, step: float) -> tuple[Doubles, Ints]:
    """Read the way at points from the nodes around them: the shortest over any that lies before the surface, and which."""
    from scipy.spatial import cKDTree

    count = min(8, len(nodes))
    away, near = cKDTree(nodes).query(points, k=count, distance_upper_bound=2.0 * step)
    away, near = away.reshape(len(points), count), near.reshape(len(points), count)
    there = near < len(nodes)
    near = np.where(there, near, 0)
    before = there & (np.einsum("ijk,ik->ij", nodes[near] - points[:, None, :], normals) > -0.3 * step)
    ways = np.where(before, walked[near] + away, np.inf)
    best = ways.argmin(axis=1)
    rows = np.arange(len(points))
    return ways[rows, best], near[rows, best]
