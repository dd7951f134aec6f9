"""The filled solid: the coated piece with all made solid that no pull frees, and its surface."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_pieces import cut_at_plane, fill_nodes, reach_nodes
from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Bools, Doubles
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.fill import CoatedSurface, enclosed_mm3
from jobs.geometry.study.level_surface import level_surface
from jobs.geometry.study.sight import Sight, sight_of

# How far fill may lie outside the grid of the coat, as a share of the grid's own nodes on each side, and how often it grows.
_GROWTH = 0.35
_GROWS = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilledSolid:
    """The filled solid of one division.

    Attributes
    ----------
    vertices, faces : ndarray, (n, 3) float32 and (m, 3) int32
        Its surface, oriented outward, closed but for the base on a board. [mm]
    sight : Sight
        What was looked through; its field holds all of the solid.
    sides : ndarray of int8
        −1 at that field's nodes in the solid, 1 at those outside.
    """

    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    sight: Sight
    sides: NDArray[np.int8]

    @property
    def volume_mm3(self) -> float:
        """Its volume, the board taken as its base."""
        return enclosed_mm3(self.vertices, self.faces)


def filled_solid(coated: CoatedSurface, maps: Sequence[DepthMap], *, parting: PartingPlane | None = None) -> FilledSolid:
    """Make solid what no pull frees, and cut its surface.

    Parameters
    ----------
    coated : CoatedSurface
        The coated piece.
    maps : sequence of DepthMap
        Of the coated piece, one for each pull.
    parting : PartingPlane, optional
        On each side of it only that side's pull counts; for two pulls.

    Raises
    ------
    GeometryError
        When the pulls leave no end to the fill.

    Notes
    -----
    The least distance to the piece on a point's way along a pull is the distance to all that the piece sweeps when it goes
    the other way; the filled solid is where that is below the wall for every pull. So it is a level surface of the greatest
    of those distances, as smooth as the coat, and the coat itself where that is the outside.
    """
    sight, sides = _roomy(sight_of(coated, maps, parting), on_board=coated.on_board)
    field = sight.field
    reach = np.empty_like(field.values)
    reach_nodes(field.values, sides, *sight.around[1:], sight.pictures, sight.frames, sight.plane, reach)
    level = coated.wall_mm
    border = replace(field, values=reach, low_mm=level - 1.0, high_mm=level + 1.0)
    vertices, faces = level_surface(border, level)
    if sight.plane[4] > 0:
        points = vertices.astype(np.float64)
        cut_at_plane(points, field.values, sides, *sight.around[1:], sight.pictures, sight.frames, sight.plane)
        vertices = points.astype(np.float32)
    return FilledSolid(vertices=vertices, faces=faces, sight=sight, sides=sides)


def _roomy(sight: Sight, *, on_board: bool) -> tuple[Sight, NDArray[np.int8]]:
    """Return the sight on a grid that holds all fill, and the sides of its nodes: −1 filled, 1 free."""
    for _ in range(_GROWS + 1):
        sides = np.empty(sight.field.values.shape, np.int8)
        fill_nodes(*sight.around, sight.pictures, sight.frames, sight.plane, sides)
        crowded = _crowded(sides, on_board=on_board)
        if not crowded.any():
            return sight, sides
        sight = replace(sight, field=_grown(sight.field, crowded))
    raise GeometryError(
        "These pulls point so nearly the same way that the fill has no end; turn one of them away from the others."
    )


def _crowded(sides: NDArray[np.int8], *, on_board: bool) -> Bools:
    """Say on which ends (3, 2) of the grid nodes are filled."""
    crowded: Bools = np.array([[(np.take(sides, end, axis=axis) < 0).any() for end in (0, -1)] for axis in range(3)])
    if on_board:
        crowded[2, 0] = False
    return crowded


def _grown(field: DistanceField, crowded: Bools) -> DistanceField:
    more = crowded * np.ceil(_GROWTH * np.array(field.values.shape)).astype(int)[:, None]
    origin: Doubles = field.origin - more[:, 0] * field.step_mm
    # Beyond the old grid nothing is known but that it lies beyond the band.
    beyond = field.high_mm + 3 * field.step_mm
    values = np.pad(field.values, [(int(low), int(high)) for low, high in more], constant_values=beyond)
    return replace(field, values=values, origin=origin)
