"""The coated solid, and the rubber that makes its hollows solid so that shell pieces can be pulled off."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.hidden_columns import Solid, hidden_mm3
from jobs.geometry.study.level_surface import level_surface

# How much of a pixel of the maps, four times as large as those measured with, outlines may be misplaced by: over the mouths of
# what is filled, and over the flat sides that pulls graze, both as wide as their volume would make them.
_MISPLACED, _GRAZED = 0.08, 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class CoatedSurface:
    """The outside of the coated piece.

    Attributes
    ----------
    vertices, faces : ndarray, (n, 3) float32 and (m, 3) int32
        Oriented outward; open at z = 0 on a board. [mm]
    volume_mm3 : float
        What this very surface encloses above the board: piece and rubber.
    field : DistanceField
        To the piece; the surface is where it is `wall_mm`.
    """

    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    volume_mm3: float
    on_board: bool
    wall_mm: float
    field: DistanceField


def coat(field: DistanceField, wall_mm: float, *, on_board: bool) -> CoatedSurface:
    """Return the outside of an even wall over the piece.

    Raises
    ------
    GeometryError
        When the wall lies outside the field's band, or the field has no room on the board that it is said to stand on.
    """
    if on_board and abs(float(field.origin[2])) > 1e-9:
        raise GeometryError("On a board the grid of distances must begin at the board.")
    vertices, faces = level_surface(field, wall_mm)
    if len(faces) == 0:
        raise GeometryError("The coated piece has no outside at this wall.")
    volume = enclosed_mm3(vertices, faces)
    return CoatedSurface(vertices=vertices, faces=faces, volume_mm3=volume, on_board=on_board, wall_mm=wall_mm, field=field)


def enclosed_mm3(vertices: NDArray[np.float32], faces: NDArray[np.int32]) -> float:
    """Return ∫ z n_z dA: the volume inside a closed surface, or between the board and one that is open at z = 0."""
    points = vertices.astype(np.float64)
    a, b, c = (points[faces[:, corner]] for corner in range(3))
    shadow = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return float((shadow * (a[:, 2] + b[:, 2] + c[:, 2])).sum()) / 6


def fill_of(coated: CoatedSurface, maps: Sequence[DepthMap], *, parting: PartingPlane | None = None) -> tuple[float, float]:
    """Measure the rubber that must be filled in so that shell pieces leave along the maps' pulls.

    Parameters
    ----------
    coated : CoatedSurface
        The coated piece.
    maps : sequence of DepthMap
        One for each pull, with equal pixels: their pulls and how fine they are is what counts here.
    parting : PartingPlane, optional
        Where two pieces must meet: on the side its normal points to only the first pull counts, beyond it only the second.

    Returns
    -------
    fill_mm3 : float
        Volume outside the coated solid, above the board, that is hidden from every pull.
    bound_mm3 : float
        How far that may be off.

    Raises
    ------
    GeometryError
        When there is no end to what would be filled: all pulls alike, or one that leads back through the parting.

    Notes
    -----
    Measured with pixels half as large as the maps', turned against them. The bound is one and a half times what that changed,
    half of what a grid of distances twice as coarse changes (its error falls as the step squared, to a third of this change),
    and what misplaced outlines can do.
    """
    if not maps or (parting is not None and len(maps) != 2):
        raise GeometryError("Fill is measured for one pull or more, and for a fixed parting for exactly two.")
    pulls, pixel = [one.pull for one in maps], maps[0].pixel_mm
    middling = rough_fill(coated, pulls, pixel_mm=pixel, parting=parting)
    fine = rough_fill(coated, pulls, pixel_mm=pixel / 2, parting=parting)
    coarse = rough_fill(coarser(coated), pulls, pixel_mm=pixel, parting=parting)
    if not math.isfinite(fine + middling + coarse):
        raise GeometryError(
            "The fill would never end: these pulls leave a side of the piece that no shell piece can be lifted from. "
            "Turn one pull to the other side."
        )
    misplaced = pixel * (_MISPLACED * fine ** (2 / 3) + _GRAZED * coated.volume_mm3 ** (2 / 3))
    return fine, 1.5 * abs(fine - middling) + 0.5 * abs(middling - coarse) + misplaced


def rough_fill(
    coated: CoatedSurface,
    pulls: Sequence[Direction],
    *,
    pixel_mm: float,
    parting: PartingPlane | None = None,
) -> float:
    """Measure the fill once, with one size of pixel and no bound; infinite when there is no end to it (see `fill_of`)."""
    board = [(0.0, 0.0, 1.0, 0.0)] if coated.on_board else []
    if parting is None:
        solid = Solid(vertices=coated.vertices, faces=coated.faces, planes=_planes(board))
        return hidden_mm3(solid, pulls, pixel_mm=pixel_mm)
    around = math.radians(parting.azimuth_deg)
    x, y = math.cos(around), math.sin(around)
    sides = ((x, y, 0.0, -parting.offset_mm), (-x, -y, 0.0, parting.offset_mm))
    return sum(
        hidden_mm3(Solid(vertices=coated.vertices, faces=coated.faces, planes=_planes([*board, side])), [pull], pixel_mm=pixel_mm)
        for side, pull in zip(sides, pulls, strict=True)
    )


def _planes(planes: Sequence[tuple[float, float, float, float]]) -> Doubles:
    return np.array(planes, dtype=np.float64).reshape(-1, 4)


def coarser(coated: CoatedSurface) -> CoatedSurface:
    """Return the coated surface from every other node of the grid; the same one where that leaves nothing."""
    field = coated.field
    # A last layer that would be left out is put back, so that the surface still closes.
    values = np.ascontiguousarray(
        np.pad(field.values, [(0, 1 - count % 2) for count in field.values.shape], mode="edge")[::2, ::2, ::2]
    )
    twice = replace(field, values=values, step_mm=2 * field.step_mm)
    try:
        return coat(twice, coated.wall_mm, on_board=coated.on_board)
    except GeometryError:
        return coated
