"""The coated solid, and the rubber that makes its hollows solid so that shell pieces can be pulled off."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.level_surface import level_surface


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
