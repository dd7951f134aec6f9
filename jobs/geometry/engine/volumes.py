"""Volumes of even walls over and inside a mesh, each with the bound it vouches for."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_surface import face_areas
from jobs.geometry.engine.octree import BUDGET_CELLS, LevelSum, level_sums
from jobs.geometry.engine.tree import DistanceTree, build_tree
from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Floats

TOLERANCE = 5e-4
THINNEST_MM, THICKEST_MM = 0.01, 500.0
# Faces that lie on the board within this share of the mesh's size carry no wall.
_ON_BOARD = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeResult:
    """One wall: its volume, how far that may be off, the area of its far side, and the finest cell it was measured with."""

    thickness_mm: float
    volume_mm3: float
    bound_mm3: float
    area_mm2: float
    cell_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A mesh ready to be measured.

    `volume_mm3` is what it encloses above the board, where that is known exactly: None lets the octree find it, by the
    winding number, for a scan with holes, flipped faces or parts that run into each other.
    """

    vertices: Floats
    faces: NDArray[Any]
    volume_mm3: float | None = None


def blanket_volumes(
    surface: Surface,
    thicknesses_mm: Sequence[float],
    *,
    on_board: bool,
    cell_mm: float | None = None,
    tolerance: float = TOLERANCE,
    budget_cells: int = BUDGET_CELLS,
    tree: DistanceTree | None = None,
) -> tuple[VolumeResult, ...]:
    """Measure even blankets over a mesh: all that lies outside it, above the board, and no farther than the wall.

    Parameters
    ----------
    surface : Surface
        The mesh, z up; on a board, with the board at z = 0 (faces that lie on the board change nothing). [mm]
    thicknesses_mm : sequence of float
        Walls, 0.01 to 500. [mm]
    on_board : bool
        Whether the piece stands on a board, which the blanket ends on.
    cell_mm : float, optional
        Measure every wall down to this cell.
    tolerance : float
        Otherwise refine until the bound is this share of the wall's volume, or the budget is spent.
    budget_cells : int
        How many cells may be measured.
    tree : DistanceTree, optional
        That of the same mesh, when it is there already.

    Returns
    -------
    tuple of VolumeResult
        In the order asked for; `area_mm2` is the outside of the blanket.

    Raises
    ------
    GeometryError
        For a wall out of range, or a mesh without triangles.

    Notes
    -----
    V(t) = vol{distance ≤ t or inside} − volume of the mesh; its derivative is the outer area. Coats that meet in a cleft
    are counted once. Every level of the octree gives an estimate; the bound is made from how they change.
    """
    walls = _checked(thicknesses_mm)
    return _walls(
        surface, tree or build_tree(surface.vertices, surface.faces), walls, 1.0,
        board_mm=0.0 if on_board else None, cell_mm=cell_mm, tolerance=tolerance, budget_cells=budget_cells,
    )  # fmt: skip


def hollow_volumes(
    surface: Surface,
    walls_mm: Sequence[float],
    *,
    on_board: bool,
    cell_mm: float | None = None,
    tolerance: float = TOLERANCE,
    budget_cells: int = BUDGET_CELLS,
) -> tuple[VolumeResult, ...]:
    """Measure even walls inside a mesh: the resin of a hollow casting.

    Parameters
    ----------
    surface, cell_mm, tolerance, budget_cells
        As for `blanket_volumes`.
    walls_mm : sequence of float
        Walls, 0.01 to 500. [mm]
    on_board : bool
        Whether the piece is open where it stands on the board: faces on the board then carry no wall.

    Returns
    -------
    tuple of VolumeResult
        `area_mm2` is the inside of the wall, nought where nothing hollow is left.
    """
    walls = _checked(walls_mm)
    if on_board:
        surface = _without_base(surface)
    return _walls(surface, build_tree(surface.vertices, surface.faces), walls, -1.0, board_mm=0.0 if on_board else None,
                  cell_mm=cell_mm, tolerance=tolerance, budget_cells=budget_cells)  # fmt: skip


def hollow_volume(surface: Surface, wall_mm: float, **how: Any) -> VolumeResult:
    """Measure one wall inside a mesh (see `hollow_volumes`)."""
    return hollow_volumes(surface, (wall_mm,), **how)[0]


def outer_area(surface: Surface, thickness_mm: float, **how: Any) -> float:
    """Measure the outside of a blanket, the derivative of its volume [mm²] (see `blanket_volumes`)."""
    return blanket_volumes(surface, (thickness_mm,), **how)[0].area_mm2


def _walls(
    surface: Surface,
    tree: DistanceTree,
    walls: list[float],
    side: float,
    *,
    board_mm: float | None,
    cell_mm: float | None,
    tolerance: float,
    budget_cells: int,
) -> tuple[VolumeResult, ...]:
    levels = [side * wall for wall in walls]
    guess = _guessed_mm3(surface, walls)
    tolerances = [tolerance * volume for volume in guess]
    known = surface.volume_mm3
    if known is None:
        # The mesh's own volume is part of every wall's error; the thinnest wall sets how well it must be known.
        levels, tolerances = [*levels, 0.0], [*(t / 2 for t in tolerances), min(tolerances) / 2]
    sums = level_sums(tree, np.array(levels), board_mm=board_mm, cell_mm=cell_mm, tolerances_mm3=np.array(tolerances),
                      budget_cells=budget_cells)  # fmt: skip
    base = LevelSum(level_mm=0.0, estimates_mm3=[known], areas_mm2=[0.0]) if known is not None else sums.pop()
    own = 0.0 if known is not None else base.bound_mm3
    return tuple(
        VolumeResult(
            thickness_mm=wall,
            volume_mm3=max(side * (entry.volume_mm3 - base.volume_mm3), 0.0),
            bound_mm3=entry.bound_mm3 + own,
            area_mm2=entry.area_mm2,
            cell_mm=entry.cell_mm,
        )
        for wall, entry in zip(walls, sums, strict=True)
    )


def _guessed_mm3(surface: Surface, walls: list[float]) -> list[float]:
    """Area × wall: what tolerances are shares of."""
    points = np.ascontiguousarray(surface.vertices, dtype=np.float64)
    corners = np.ascontiguousarray(surface.faces, dtype=np.int64)
    area = float(face_areas(points, corners).sum())
    return [area * wall for wall in walls]


def _without_base(surface: Surface) -> Surface:
    heights = np.abs(surface.vertices[:, 2])
    low = heights <= _ON_BOARD * float(np.ptp(surface.vertices, axis=0).max())
    return Surface(vertices=surface.vertices, faces=surface.faces[~low[surface.faces].all(axis=1)], volume_mm3=surface.volume_mm3)


def _checked(walls_mm: Sequence[float]) -> list[float]:
    walls = [float(wall) for wall in walls_mm]
    if not walls or not all(math.isfinite(wall) and THINNEST_MM <= wall <= THICKEST_MM for wall in walls):
        raise GeometryError(f"A wall must be between {THINNEST_MM:g} and {THICKEST_MM:g} mm.")
    return walls
