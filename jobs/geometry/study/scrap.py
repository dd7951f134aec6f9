"""Scrap in the fill: the room that chunks of one size have, and where they can be laid by hand.

A chunk's middle keeps cover plus half an edge from the fresh coats and from the shell's side; the room is all that balls as
wide as a chunk reach from there.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.study.chunk_laying import lay_chunks
from jobs.geometry.study.clearance import Axes, Clearance, clearance_of
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.hollows import Hollow, hollows_of
from jobs.geometry.study.opening import inside_mm3, opened_mm3, side_mm2
from jobs.geometry.study.results import Point3, ScrapRoom

# Between two chunks laid side by side, as a share of their edge: fresh rubber that bonds them. Common practice, no source; it
# makes 0.63 of a wide room chunks, the middle of what is said of placed chunks.
JOINT = 1 / 6
# Cut by hand, a chunk's edge is off by more than this share of it; so much of the cover is not fought for.
CUTTING = 0.01
MOST_NODES = 1_500_000
MOST_PLACES = 10_000
# Steps of the grid to an edge of a chunk: a multiple of this, for the joint must be whole steps; 12 and 2 mm are fine enough.
_STEPS = 6
_FINE_MM = 2.0
# So many times the nodes are spent rather than lay no chunks at all.
_COARSE_MORE = 3
_FAR_MM = 1e4


@dataclass(frozen=True, slots=True)
class _Grid:
    """Nodes of a grid on which the hollow's first chunk has its middle."""

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
    radius = chunk_edge_mm / 2
    clearance = clearance_of(
        distance, outside, wall_mm=wall_mm, least_mm=cover_mm + radius, need_mm=cover_mm + 2 * chunk_edge_mm, on_board=on_board
    )
    tight = clearance.blur_mm - CUTTING * chunk_edge_mm
    hollows = hollows_of(clearance, radius_mm=radius, cover_mm=cover_mm, tight_mm=tight)
    size = sum(hollow.size_mm3 for hollow in hollows)
    parts = _steps_to_an_edge(size, chunk_edge_mm, most_nodes)
    places: list[Point3] = []
    if parts:
        step = chunk_edge_mm / parts
        room = bound = 0.0
        for hollow in hollows:
            grid = _grid(clearance, hollow, step_mm=step, cover_mm=cover_mm)
            opened = opened_mm3(grid.spare, step, radius)
            room += opened
            bound += _bound(grid, opened, clearance, radius)
            fitting = np.minimum(grid.sides - np.float32(tight), grid.over)
            places += lay_chunks(fitting, grid.axes, half=parts // 2, pitch=parts + parts // _STEPS)
    else:
        grids = [_grid(clearance, hollow, step_mm=(size / most_nodes) ** (1 / 3), cover_mm=cover_mm) for hollow in hollows]
        room, bound = _tipped(grids, clearance, radius)
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


def _grid(clearance: Clearance, hollow: Hollow, *, step_mm: float, cover_mm: float) -> _Grid:
    start = np.floor((hollow.low - hollow.first) / step_mm)
    stop = np.ceil((hollow.high - hollow.first) / step_mm)
    if clearance.on_board:
        start[2] = 0.0
    x, y, z = (first + step_mm * np.arange(a, b + 1) for first, a, b in zip(hollow.first, start, stop, strict=True))
    over = z if clearance.on_board else np.full(len(z), np.inf)
    sides = np.where(hollow.holds((x, y, z)), clearance.on((x, y, z)) - np.float32(cover_mm), np.float32(-_FAR_MM))
    return _Grid((x, y, z), step_mm, sides, over.astype(np.float32))


def _bound(grid: _Grid, opened: float, clearance: Clearance, radius: float) -> float:
    """Say how far the room may be off [mm³].

    What balls do not reach inside the cover lies in corners; there the grid errs by up to ¾ of its step over the radius of
    it, and a field, read between its nodes, by up to 1.2 times its step over the radius, at most 0.6 (measured on boxes, where
    it was 0.9 and 0.5). On smooth sides a field read between its nodes is blurred.
    """
    spare, step = grid.spare, grid.step_mm
    if spare.max() < radius:
        return opened  # perhaps not one fits
    missed = max(inside_mm3(spare, step) - opened, 0.0)
    corners = missed * (0.75 * step / radius + min(1.2 * clearance.step_mm / radius, 0.6))
    return corners + side_mm2(spare, step) * clearance.blur_mm


def _tipped(grids: Sequence[_Grid], clearance: Clearance, radius: float) -> tuple[float, float]:
    """Bracket the room for chunks far smaller than the fill: less than all inside the cover, more than for larger ones.

    Nobody lays so many by hand, so no places are given.
    """
    most = sum(inside_mm3(grid.spare, grid.step_mm) for grid in grids)
    least = sum(opened_mm3(grid.spare, grid.step_mm, max(radius, 3 * grid.step_mm)) for grid in grids)
    blur = sum(side_mm2(grid.spare, grid.step_mm) for grid in grids) * clearance.blur_mm
    return (most + least) / 2, (most - least) / 2 + blur
