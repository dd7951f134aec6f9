"""The exact cut of a triangle mesh with a plane, as closed lines; holes in the mesh are bridged and told."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Bools, Doubles, Floats, Ints
from jobs.geometry.section.plane import CutPlane

Corners = NDArray[np.signedinteger[Any]]
# Beyond so many loose lines their ends are not matched any more; each is closed by itself.
MOST_LOOSE = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Closed lines in the plane's own places.

    Attributes
    ----------
    loops : tuple of ndarray, each (n, 2)
        The piece lies to the left: outer lines run counter-clockwise, holes clockwise. [mm]
    bridged_mm : float
        Length of the straight lines put where the mesh is open and that do not run along the board. [mm]
    """

    loops: tuple[Doubles, ...]
    bridged_mm: float


def cut_mesh(vertices: Floats, faces: Corners, plane: CutPlane) -> Cut:
    """Cut a mesh.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        In the piece's frame. [mm]
    faces : ndarray, shape (m, 3)
        Triangles, outward; holes, edges of many triangles and single turned ones are borne.
    plane : CutPlane
        A corner that lies exactly in it counts as behind it, so every triangle is cut in two edges or not at all.
    """
    dots = vertices @ np.array(plane.normal, dtype=vertices.dtype)
    front = dots > plane.offset_mm
    sides = front[faces]
    cut = faces[(sides[:, 0] != sides[:, 1]) | (sides[:, 1] != sides[:, 2])]
    if not len(cut):
        return Cut(loops=(), bridged_mm=0.0)
    starts, ends, places = _segments(vertices, cut, front, plane)
    lines = _chains(starts, ends, len(places))
    closed = [places[line] for line, loose in lines if not loose]
    joined, bridged = _bridged([places[line] for line, loose in lines if loose], plane.board_v)
    loops = [distinct for distinct in map(_distinct, [*closed, *joined]) if len(distinct) >= 3]
    return Cut(loops=tuple(loops), bridged_mm=bridged)


def _segments(vertices: Floats, cut: Corners, front: Bools, plane: CutPlane) -> tuple[Ints, Ints, Doubles]:
    """Return for each triangle the cut edge where its segment starts and the one where it ends, and the edges' places."""
    following = np.roll(cut, -1, axis=1)
    here_front, next_front = front[cut], front[following]
    leaving, entering = here_front & ~next_front, ~here_front & next_front
    pairs = np.concatenate([np.column_stack([cut[mask], following[mask]]) for mask in (leaving, entering)]).astype(np.int64)
    low, high = pairs.min(axis=1), pairs.max(axis=1)
    keys, index = np.unique(low * len(vertices) + high, return_inverse=True)
    a = vertices[keys // len(vertices)].astype(np.float64)
    b = vertices[keys % len(vertices)].astype(np.float64)
    before, after = plane.distances(a), plane.distances(b)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.nan_to_num(np.clip(before / (before - after), 0.0, 1.0), nan=0.0)[:, None]
    return index[: len(cut)], index[len(cut) :], plane.flat(a + share * (b - a))


def _chains(starts: Ints, ends: Ints, number: int) -> list[tuple[list[int], bool]]:
    """Follow the segments from edge to edge; True marks a line that does not come back to its start.

    Turned triangles are passed backwards; a line takes the direction of most of its segments.
    """
    a, b = starts.tolist(), ends.tolist()
    at: list[list[int]] = [[] for _ in range(number)]
    for segment, (start, end) in enumerate(zip(a, b, strict=True)):
        at[start].append(segment)
        at[end].append(segment)
    used = [False] * len(a)
    degree = np.bincount(np.concatenate([starts, ends]), minlength=number)
    # Lines that are open begin at an end of theirs, at best at that from which they run forward.
    loose = np.flatnonzero(degree % 2 == 1)
    begins = sorted(loose.tolist(), key=lambda node: not any(a[segment] == node for segment in at[node]))
    found = []
    for node in (*begins, *a):
        first = next((segment for segment in at[node] if not used[segment]), None)
        if first is None:
            continue
        line, forward, here, segment = [node], 0, node, first
        while True:
            used[segment] = True
            ahead = a[segment] == here
            forward += 1 if ahead else -1
            here = b[segment] if ahead else a[segment]
            if here == node:
                break
            line.append(here)
            free = [other for other in at[here] if not used[other]]
            if not free:
                break
            segment = next((other for other in free if a[other] == here), free[0])
        found.append((line if forward >= 0 else line[::-1], here != node))
    return found


def _bridged(lines: list[Doubles], board_v: float | None) -> tuple[list[Doubles], float]:
    """Close loose lines: each end is led straight to the nearest beginning that is still free."""
    if not lines:
        return [], 0.0
    follower = list(range(len(lines)))
    if len(lines) <= MOST_LOOSE:
        gaps = np.linalg.norm(
            np.array([line[-1] for line in lines])[:, None] - np.array([line[0] for line in lines])[None], axis=2
        )
        order = np.argsort(gaps, axis=None)
        follower, taken = [-1] * len(lines), [False] * len(lines)
        for end, begin in zip(*(axis.tolist() for axis in np.unravel_index(order, gaps.shape)), strict=True):
            if follower[end] < 0 and not taken[begin]:
                follower[end], taken[begin] = begin, True
    joined, bridged, done = [], 0.0, [False] * len(lines)
    for first in range(len(lines)):
        parts, at = [], first
        while not done[at]:
            done[at] = True
            parts.append(lines[at])
            end, begin = lines[at][-1], lines[follower[at]][0]
            on_board = board_v is not None and max(abs(end[1] - board_v), abs(begin[1] - board_v)) < 0.05
            bridged += 0.0 if on_board else float(np.hypot(*(begin - end)))
            at = follower[at]
        if parts:
            joined.append(np.vstack(parts))
    return joined, bridged


def _distinct(loop: Doubles) -> Doubles:
    """Drop points that repeat the one before."""
    return loop[(np.abs(loop - np.roll(loop, 1, axis=0)) > 1e-9).any(axis=1)]
