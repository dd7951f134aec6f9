"""Where shell pieces meet: the borders between their regions as smooth lines over the filled outside."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from jobs.geometry.raw_mesh import Bools, Doubles, Ints
from jobs.geometry.study.face_graph import FaceGraph

MOST_POINTS = 400
# How many usual triangle sides a line is evened out over: steps of one triangle must vanish, the body's own turns must not.
_REACH = 4.0
# Points per usual triangle side while a line is evened out.
_FINE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BorderLine:
    """A line between two pieces, by their numbers from 0: points (n, 3); a closed one does not repeat its start."""

    between: tuple[int, int]
    points: Doubles
    closed: bool
    length_mm: float


def border_lines(graph: FaceGraph, piece: Ints, *, plane: tuple[Doubles, float] | None = None) -> list[BorderLine]:
    """Trace the borders between pieces, longest first.

    Parameters
    ----------
    graph : FaceGraph
        The filled outside, m triangles.
    piece : ndarray, shape (m,)
        Which piece covers each.
    plane : (normal, offset), optional
        A plane on which all borders must lie.

    Notes
    -----
    A border runs along triangle sides, in steps that would make it too long; it is drawn through a weighted mean of its
    neighbourhood that keeps circles their size: twice the mean, less the mean of the mean. Lines end where three pieces
    meet, at the board, or where they began.
    """
    usual_mm = float(np.sqrt(2 * graph.areas.sum() / len(graph.areas)))
    pair = np.sort(piece[graph.sides], axis=1)
    differs = pair[:, 0] != pair[:, 1]
    ends, pair = graph.ends[differs], pair[differs]
    crossing = _crossing_points(ends, pair, len(graph.vertices))
    lines = []
    for low, high in np.unique(pair, axis=0):
        for chain, closed in _chains(ends[(pair == (low, high)).all(axis=1)], crossing):
            points = graph.vertices[chain]
            if plane is not None:
                points = points - np.outer(points @ plane[0] - plane[1], plane[0])
            points, length = _smooth(points, closed, usual_mm)
            lines.append(BorderLine(between=(int(low), int(high)), points=points, closed=closed, length_mm=length))
    return sorted(lines, key=lambda line: -line.length_mm)


def _crossing_points(ends: Ints, pair: Ints, points: int) -> Bools:
    """Mark points where a line must end: where anything but two border sides of one pair of pieces meets."""
    degree = np.bincount(ends.reshape(-1), minlength=points)
    lowest, highest = np.full(points, np.iinfo(np.int64).max), np.full(points, -1)
    key = pair[:, 0] * 256 + pair[:, 1]
    for k in range(2):
        np.minimum.at(lowest, ends[:, k], key)
        np.maximum.at(highest, ends[:, k], key)
    crossing: Bools = (degree != 2) | (lowest != highest)
    return crossing


def _chains(ends: Ints, crossing: Bools) -> list[tuple[Ints, bool]]:
    """Chain sides (s, 2) to lines of points, split at crossing points."""
    at: dict[int, list[int]] = {}
    sides = ends.tolist()
    for number, (a, b) in enumerate(sides):
        at.setdefault(a, []).append(number)
        at.setdefault(b, []).append(number)
    free = [True] * len(sides)

    def walk(start: int, side: int) -> list[int]:
        chain = [start]
        while True:
            free[side] = False
            a, b = sides[side]
            chain.append(b if a == chain[-1] else a)
            if crossing[chain[-1]]:
                return chain
            onward = [number for number in at[chain[-1]] if free[number]]
            if not onward:
                return chain
            side = onward[0]

    found = []
    for start in (point for point in at if crossing[point]):
        for side in at[start]:
            if free[side]:
                found.append((np.array(walk(start, side)), False))
    for side, (a, _) in enumerate(sides):
        if free[side]:
            found.append((np.array(walk(a, side)[:-1]), True))
    return found


def _smooth(points: Doubles, closed: bool, usual_mm: float) -> tuple[Doubles, float]:
    fine = _evenly(points, closed, max(round(_length(points, closed) / usual_mm * _FINE), 8 if closed else 2))
    # A short line is evened out over less, so that a small ring stays a ring.
    reach = min(_REACH * _FINE, len(fine) / 12)
    if reach > 0.5:
        fine = _mean_kept(fine, closed, reach)
    length = _length(fine, closed)
    if len(fine) > MOST_POINTS:
        fine = _evenly(fine, closed, MOST_POINTS if closed else MOST_POINTS - 1)
    return fine, length


def _mean_kept(points: Doubles, closed: bool, reach: float) -> Doubles:
    """Take twice the mean less the mean of the mean; ends stay where they are, as if the line went on turned about them."""

    def mean(line: Doubles) -> Doubles:
        spread: Doubles = gaussian_filter1d(line, reach, axis=0, mode="wrap" if closed else "nearest", truncate=3.0)
        return spread

    if closed:
        once = mean(points)
        return 2 * once - mean(once)
    before, after = 2 * points[0] - points[:0:-1], 2 * points[-1] - points[-2::-1]
    long = np.concatenate([before, points, after])
    once = mean(long)
    kept: Doubles = (2 * once - mean(once))[len(before) : len(before) + len(points)]
    return kept


def _length(points: Doubles, closed: bool) -> float:
    round_trip = np.concatenate([points, points[:1]]) if closed else points
    return float(np.linalg.norm(np.diff(round_trip, axis=0), axis=1).sum())


def _evenly(points: Doubles, closed: bool, count: int) -> Doubles:
    """Set `count` points (one more on an open line, ends included) at even distances along a line."""
    whole = np.concatenate([points, points[:1]]) if closed else points
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(whole, axis=0), axis=1))])
    wanted = np.linspace(0.0, along[-1], count + 1)
    wanted = wanted[:-1] if closed else wanted
    even: Doubles = np.stack([np.interp(wanted, along, whole[:, k]) for k in range(3)], axis=1)
    return even
