"""Scrap in the fill: the room that chunks of one size have, and where they can be laid by hand.

A chunk's middle keeps cover plus half an edge from the fresh coats and from the shell's side; the room is all that balls as
wide as a chunk reach from there. Balls at the nodes of a grid, each as large as its own clearance allows, stand for it: all of
them are true parts of the room, so it is found to second order on flat sides.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.chunk_laying import lay_chunks
from jobs.geometry.study.clearance import Clearance, clearance_of
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.results import Point3, ScrapRoom

# Between two chunks laid side by side, as a share of their edge: fresh rubber that bonds them. Common practice, no source; it
# makes 0.63 of a wide room chunks, the middle of what is said of placed chunks.
JOINT = 1 / 6
MOST_NODES = 1_500_000
MOST_PLACES = 10_000
# Steps of the grid to an edge of a chunk: a multiple of this, for the joint must be whole steps; 12 and 1.25 mm are fine enough.
_STEPS = 6
_FINE_MM = 1.25
# So many times the nodes are spent rather than lay no chunks at all.
_COARSE_MORE = 3

Axes = tuple[Doubles, Doubles, Doubles]


@dataclass(frozen=True, slots=True)
class _Grid:
    """Nodes at whole steps from nought, so that a chunk can stand on the board."""

    axes: Axes
    step_mm: float
    sides: NDArray[np.float32]  # clearance beyond the cover [mm]
    over: NDArray[np.float32]  # height over the board, without end when there is none, by layer [mm]

    @property
    def spare(self) -> NDArray[np.float32]:
        """The way that is left on each node to the cover or the board. [mm]"""
        return np.minimum(self.sides, self.over)


def scrap_room(
    distance: DistanceField,
    outside: DistanceField,
    *,
    wall_mm: float,
    chunk_edge_mm: float,
    cover_mm: float,
    on_board: bool,
    most_nodes: int = MOST_NODES,
) -> ScrapRoom:
    """Find the room for chunks in the fill, and the places of those laid by hand.

    Parameters
    ----------
    distance : DistanceField
        To the piece; the coats end at `wall_mm`.
    outside : DistanceField
        To the filled outside, negative inside. The board is not part of its boundary.
    wall_mm : float
        Wall of the blanket. [mm]
    chunk_edge_mm : float
        Edge of the cubes, at least 3. [mm]
    cover_mm : float
        Fresh rubber between a chunk and the coats, and between it and the shell's side, at least 0. [mm]
    on_board : bool
        Whether the board at z = 0 carries the lowest chunks.
    most_nodes : int
        Nodes of the grid; fewer are quicker and give a wider bound.
    """
    clearance = clearance_of(distance, outside, wall_mm=wall_mm, need_mm=cover_mm + 2 * chunk_edge_mm, on_board=on_board)
    regions = _regions(clearance, chunk_edge_mm=chunk_edge_mm, cover_mm=cover_mm)
    size = float(sum(np.prod(high - low) for low, high in regions))
    if not regions:
        return ScrapRoom(chunk_edge_mm=chunk_edge_mm, cover_mm=cover_mm, room_mm3=0.0, places=())
    parts = _steps_to_an_edge(size, chunk_edge_mm, most_nodes)
    if parts == 0:
        return _tipped_room(clearance, regions, chunk_edge_mm=chunk_edge_mm, cover_mm=cover_mm, most_nodes=most_nodes, size=size)
    room = bound = 0.0
    places: list[Point3] = []
    radius, step = chunk_edge_mm / 2, chunk_edge_mm / parts
    for low, high in regions:
        grid = _grid(clearance, low, high, step_mm=step, cover_mm=cover_mm)
        opened = _opened(grid, radius)
        room += opened
        bound += _bound(grid, opened, clearance, radius)
        surely = np.minimum(grid.sides - np.float32(clearance.blur_mm), grid.over)
        places += lay_chunks(surely, grid.axes, half=parts // 2, pitch=parts + parts // _STEPS)
    places.sort(key=lambda place: (place[2], place[0], place[1]))
    return ScrapRoom(
        chunk_edge_mm=chunk_edge_mm,
        cover_mm=cover_mm,
        room_mm3=room,
        places=tuple(places[:MOST_PLACES]),
        room_bound_mm3=bound,
        laid=len(places),
    )


def chunk_sizes(
    distance: DistanceField,
    outside: DistanceField,
    *,
    wall_mm: float,
    cover_mm: float,
    edges_mm: Sequence[float],
    on_board: bool,
) -> tuple[ScrapRoom, ...]:
    """Find the room for several sizes of chunks, on a coarser grid: which size makes the best use of the fill."""
    return tuple(
        scrap_room(
            distance, outside, wall_mm=wall_mm, chunk_edge_mm=edge, cover_mm=cover_mm, on_board=on_board,
            most_nodes=MOST_NODES // 5,
        )
        for edge in edges_mm
    )  # fmt: skip


def _steps_to_an_edge(size_mm3: float, edge_mm: float, most_nodes: int) -> int:
    """Return how many steps a chunk's edge is divided into, a multiple of 6; nought when even 6 ask for too many nodes."""
    finest = _STEPS * math.ceil(max(2 * _STEPS, edge_mm / _FINE_MM) / _STEPS)
    for parts in range(finest, 0, -_STEPS):
        if size_mm3 * (parts / edge_mm) ** 3 <= most_nodes * (1 if parts > _STEPS else _COARSE_MORE):
            return parts
    return 0


def _regions(clearance: Clearance, *, chunk_edge_mm: float, cover_mm: float) -> list[tuple[Doubles, Doubles]]:
    """Return the boxes of those parts of the fill that may take chunks, apart from each other by more than a chunk."""
    from scipy.ndimage import distance_transform_edt, find_objects, label

    axes, values = clearance.nodes()
    step = axes[0][1] - axes[0][0]
    # A middle between nodes is at most half a cell's diagonal from one, and the clearance changes no faster than the way.
    near = values >= cover_mm + chunk_edge_mm / 2 - 0.87 * step
    if not near.any():
        return []
    reach = chunk_edge_mm / 2 + step
    found, _ = label(distance_transform_edt(~near, sampling=step) <= reach)
    boxes = []
    for cut in find_objects(found):
        low = np.array([axis[piece.start] for axis, piece in zip(axes, cut, strict=True)]) - step
        high = np.array([axis[piece.stop - 1] for axis, piece in zip(axes, cut, strict=True)]) + step
        if clearance.on_board:
            low[2] = max(low[2], 0.0)
        boxes.append((low, high))
    return _apart(boxes)


def _apart(boxes: list[tuple[Doubles, Doubles]]) -> list[tuple[Doubles, Doubles]]:
    """Join boxes that overlap, so that no part of the fill is counted twice."""
    apart: list[tuple[Doubles, Doubles]] = []
    for box in boxes:
        joined = box
        while meets := [number for number, other in enumerate(apart) if _overlap(joined, other)]:
            other = apart.pop(meets[0])
            joined = (np.minimum(joined[0], other[0]), np.maximum(joined[1], other[1]))
        apart.append(joined)
    return apart


def _overlap(box: tuple[Doubles, Doubles], other: tuple[Doubles, Doubles]) -> bool:
    return bool(np.all(box[0] < other[1]) and np.all(other[0] < box[1]))


def _grid(clearance: Clearance, low: Doubles, high: Doubles, *, step_mm: float, cover_mm: float) -> _Grid:
    first: NDArray[np.int64] = np.floor(low / step_mm).astype(np.int64)
    last: NDArray[np.int64] = np.ceil(high / step_mm).astype(np.int64)
    x, y, z = (step_mm * np.arange(start, stop + 1) for start, stop in zip(first, last, strict=True))
    over = z if clearance.on_board else np.full(len(z), np.inf)
    return _Grid((x, y, z), step_mm, clearance.on((x, y, z)) - np.float32(cover_mm), over.astype(np.float32))


def _opened(grid: _Grid, radius: float) -> float:
    """Return the volume of all balls of at least that radius (less 0.8 of a step) about nodes that have room for them [mm³].

    A point lies in one of them where the least |p − q|² − ρ(q)² is below nought; that minimum is taken one axis after the
    other. Larger balls than needed are made of smaller ones, so ρ is kept short, and few nodes around need to be looked at.
    With balls up to 0.8 of a step too small, what the nodes miss of a corner and what the smaller balls gain there cancel
    best (measured on turned boxes of random size against Steiner's formula).
    """
    step, spare = grid.step_mm, grid.spare
    if spare.max() < radius - 0.25 * step:
        return 0.0
    middles = spare >= radius - 0.8 * step
    most = radius + 2.0 * step
    power = np.where(middles, -np.square(np.minimum(spare, most)), np.float32(np.inf))
    for axis in range(3):
        power = _least_around(power, axis, step, reach=int(np.ceil(most / step)))
    typical = radius + 0.5 * step
    depth = typical - np.sqrt(np.maximum(power + typical**2, 0.0))
    # The room has no point that lies outside the cover.
    covered = np.clip(0.5 + np.minimum(depth, spare) / step, 0.0, 1.0)
    return float(covered.sum(dtype=np.float64) * step**3)


def _bound(grid: _Grid, opened: float, clearance: Clearance, radius: float) -> float:
    """Say how far the room may be off [mm³].

    What balls do not reach inside the cover lies in corners; there the grid errs by up to ¾ of its step over the radius of
    it, and a field, read between its nodes, by up to twice its step over the radius (both measured on boxes). On smooth
    sides a field read between its nodes is blurred.
    """
    spare, step = grid.spare, grid.step_mm
    inside = _inside(grid)
    if spare.max() < radius:
        return opened  # perhaps not one fits
    corners = max(inside - opened, 0.0) * (0.75 * step / radius + min(2.0 * clearance.step_mm / radius, 1.0))
    return corners + _side_mm2(grid) * clearance.blur_mm


def _side_mm2(grid: _Grid) -> float:
    """Return about the area where cover and room meet: nodes within half a step of it."""
    return float(np.count_nonzero(np.abs(grid.spare) < 0.5 * grid.step_mm)) * grid.step_mm**2


def _inside(grid: _Grid) -> float:
    """Return the volume that lies inside the cover [mm³]."""
    covered = np.clip(0.5 + grid.spare / grid.step_mm, 0.0, 1.0).sum(dtype=np.float64)
    return float(covered * grid.step_mm**3)


def _least_around(values: NDArray[np.float32], axis: int, step: float, *, reach: int) -> NDArray[np.float32]:
    """Return the least of value + distance² along one axis, as far as `reach` steps."""
    moved = np.moveaxis(values, axis, 0)
    least = moved.copy()
    for away in range(1, min(reach, len(moved) - 1) + 1):
        more = np.float32((away * step) ** 2)
        np.minimum(least[away:], moved[:-away] + more, out=least[away:])
        np.minimum(least[:-away], moved[away:] + more, out=least[:-away])
    return np.moveaxis(least, 0, axis)


def _tipped_room(
    clearance: Clearance,
    regions: list[tuple[Doubles, Doubles]],
    *,
    chunk_edge_mm: float,
    cover_mm: float,
    most_nodes: int,
    size: float,
) -> ScrapRoom:
    """Bracket the room for chunks far smaller than the fill: less than all inside the cover, more than for larger ones.

    Nobody lays so many by hand, so no places are given.
    """
    step = (size / most_nodes) ** (1 / 3)
    most = least = blur = 0.0
    for low, high in regions:
        grid = _grid(clearance, low, high, step_mm=step, cover_mm=cover_mm)
        most += _inside(grid)
        blur += _side_mm2(grid) * clearance.blur_mm
        least += _opened(grid, max(chunk_edge_mm / 2, 3 * step))
    return ScrapRoom(
        chunk_edge_mm=chunk_edge_mm,
        cover_mm=cover_mm,
        room_mm3=(most + least) / 2,
        places=(),
        room_bound_mm3=(most - least) / 2 + blur,
    )
