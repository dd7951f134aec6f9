"""The upright section through the middle of a mesh, as one closed line to draw."""

import numpy as np

from jobs.geometry.outline import Outline, OutlineKind
from jobs.geometry.raw_mesh import Bools, Doubles, Ints

MAX_SEGMENTS = 100_000
MAX_POINTS = 600


def middle_section(vertices: Doubles, faces: Ints) -> Outline | None:
    """Cut a mesh with the plane y = 0 and return its largest loop.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        z up, the middle of the box at x = y = 0. [mm]
    faces : ndarray, shape (m, 3)
        Triangles; a loop left open (by the missing base, or a hole) is closed with a straight line.

    Returns
    -------
    Outline or None
        None when the plane meets no loop worth drawing.
    """
    extent = float(np.ptp(vertices, axis=0).max())
    # Off the corners, which like to lie exactly in the middle.
    level = 1.234567e-6 * extent
    above = vertices[:, 1] > level
    sides = above[faces]
    cut = faces[sides.any(axis=1) & ~sides.all(axis=1)]
    if not 3 <= len(cut) <= MAX_SEGMENTS:
        return None
    segments, places = _segments(vertices, cut, above, level)
    loops = [places[chain] for chain in _chains(segments, len(places)) if len(chain) >= 3]
    if not loops:
        return None
    largest = max(loops, key=_area)
    if _area(largest) <= 1e-9 * extent * extent:
        return None
    kept = _simplified(largest, extent)
    return Outline(points=tuple((float(x), float(z)) for x, z in kept), kind=OutlineKind.SECTION)


def _segments(vertices: Doubles, cut: Ints, above: Bools, level: float) -> tuple[Ints, Doubles]:
    """Two cut edges for each triangle, as indices of points in the plane, and these points (k, 2)."""
    ends = np.stack([cut, np.roll(cut, -1, axis=1)], axis=2)
    crossed = above[ends[:, :, 0]] != above[ends[:, :, 1]]
    pairs = np.sort(ends[crossed], axis=1)
    distinct, index = np.unique(pairs, axis=0, return_inverse=True)
    a, b = vertices[distinct[:, 0]], vertices[distinct[:, 1]]
    share = ((level - a[:, 1]) / (b[:, 1] - a[:, 1]))[:, None]
    places = a[:, [0, 2]] + share * (b[:, [0, 2]] - a[:, [0, 2]])
    return index.reshape(-1, 2).astype(np.int64), places


def _chains(segments: Ints, points: int) -> list[list[int]]:
    """Follow the segments from point to point; open chains from their ends first."""
    neighbours: list[list[int]] = [[] for _ in range(points)]
    for a, b in segments.tolist():
        neighbours[a].append(b)
        neighbours[b].append(a)
    ends = [point for point, others in enumerate(neighbours) if len(others) == 1]
    seen = [False] * points
    chains = []
    for start in (*ends, *range(points)):
        if seen[start]:
            continue
        chain, point = [start], start
        seen[start] = True
        while (following := next((n for n in neighbours[point] if not seen[n]), None)) is not None:
            seen[following] = True
            chain.append(following)
            point = following
        chains.append(chain)
    return chains


def _area(loop: Doubles) -> float:
    x, z = loop[:, 0], loop[:, 1]
    return abs(float(np.dot(x, np.roll(z, -1)) - np.dot(z, np.roll(x, -1)))) / 2


def _simplified(loop: Doubles, extent: float) -> Doubles:
    """Drop points that change the line by less than the eye sees, coarser until few enough are left."""
    tolerance = 2e-4 * extent
    kept = loop[_keep(loop, tolerance)]
    while len(kept) > MAX_POINTS:
        tolerance *= 1.5
        kept = loop[_keep(loop, tolerance)]
    return kept


def _keep(loop: Doubles, tolerance: float) -> Bools:
    """Mark the points to keep: a part of the line is split at its farthest point until it is straight enough."""
    last = len(loop) - 1
    far = int(np.argmax(((loop - loop[0]) ** 2).sum(axis=1)))
    keep = np.zeros(len(loop), dtype=bool)
    keep[[0, far, last]] = True
    waiting = [(0, far), (far, last)]
    while waiting:
        start, end = waiting.pop()
        if end - start < 2:
            continue
        along = loop[end] - loop[start]
        off = loop[start + 1 : end] - loop[start]
        length = float(np.hypot(*along))
        gap = np.hypot(off[:, 0], off[:, 1])
        if length > 0:
            gap = np.abs(along[0] * off[:, 1] - along[1] * off[:, 0]) / length
        at = int(np.argmax(gap))
        if float(gap[at]) > tolerance:
            middle = start + 1 + at
            keep[middle] = True
            waiting += [(start, middle), (middle, end)]
    return keep
