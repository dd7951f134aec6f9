"""Points and triangles as read, and the check that they are numbers."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.errors import GeometryError

Floats = NDArray[np.floating[Any]]
Doubles = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class RawMesh:
    """`vertices` (n, 3) in the file's own unit and precision, `faces` (m, 3) indices; `split_polygons` had more corners.

    `welded` says that no two points are equal already. `unit` and `up_axis` are what the file states or its format lays down,
    and `said` is what to tell the person about it; they are empty where the file says nothing.
    """

    vertices: Floats
    faces: Ints
    split_polygons: int = 0
    welded: bool = False
    unit: str = ""
    up_axis: str = ""
    said: str = ""


def checked_mesh(vertices: Floats, faces: Ints, split_polygons: int = 0) -> RawMesh:
    """Refuse points that are no numbers, corners that do not exist, and meshes without extent."""
    if len(faces) == 0 or len(vertices) == 0:
        raise GeometryError("The file holds no triangles. Export the scan as a mesh with faces.")
    refuse_bad_points(int(np.count_nonzero(~np.isfinite(vertices).all(axis=1))), len(vertices))
    lowest, highest = int(faces.min()), int(faces.max())
    if lowest < 0 or highest >= len(vertices):
        raise GeometryError(
            f"A face refers to point {max(highest, -lowest) + 1:,}, but the file has {len(vertices):,} points: it is "
            "damaged. Export the scan again."
        )
    refuse_odd_extents(vertices)
    return RawMesh(vertices=vertices, faces=faces, split_polygons=split_polygons)


def refuse_bad_points(bad: int, points: int) -> None:
    """Refuse a mesh with points that are no numbers, with their count."""
    if bad:
        raise GeometryError(
            f"{bad:,} of {points:,} points are not numbers (NaN or infinite), so the surface is damaged there. "
            "Repair the scan in the scanning program and export it again."
        )


def refuse_odd_extents(vertices: Floats) -> None:
    """Refuse coordinates beyond any piece, and points that all lie in one spot."""
    # Column by column: several times faster than along an axis.
    lowest = [float(vertices[:, axis].min()) for axis in range(3)]
    highest = [float(vertices[:, axis].max()) for axis in range(3)]
    if max(*highest, *(-low for low in lowest)) > 1e15:
        raise GeometryError("The file holds coordinates beyond any piece (over 10¹⁵). Export the scan again.")
    if highest == lowest:
        raise GeometryError("All points of the mesh lie in one spot. Export the scan again.")


def fan(polygon: list[int]) -> list[tuple[int, int, int]]:
    """Split a polygon into triangles from its first corner."""
    first = polygon[0]
    return [(first, polygon[i], polygon[i + 1]) for i in range(1, len(polygon) - 1)]
