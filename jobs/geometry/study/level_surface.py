"""The surface at one distance from a piece, as a closed mesh."""

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_level import count_cut, cut_cells, cut_edges
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.level_table import level_table


def level_surface(field: DistanceField, level_mm: float) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """Return the surface on which a field has one value.

    Parameters
    ----------
    field : DistanceField
        Distances on a grid.
    level_mm : float
        From `field.low_mm` to `field.high_mm`. [mm]

    Returns
    -------
    vertices : ndarray, shape (n, 3), float32
        Each belongs to one edge of the grid. [mm]
    faces : ndarray, shape (m, 3), int32
        Counter-clockwise seen from where distances are greater. Every edge belongs to two triangles but those in the grid's
        own boundary: on a board the surface is open at z = 0.

    Raises
    ------
    GeometryError
        When the level lies outside the field's band.

    Notes
    -----
    Marching cubes with the distance taken as linear along the edges: corners lie within step² / 8R of the surface, R its
    radius of curvature. Published: W. Lorensen, H. Cline, Comput. Graph. 21, 1987 (from memory).
    """
    if not field.low_mm <= level_mm <= field.high_mm:
        raise GeometryError(f"Distances are known from {field.low_mm:g} to {field.high_mm:g} mm only.")
    level = np.float32(level_mm)
    sizes, table = level_table()
    counts = count_cut(field.values, level, sizes)
    ends = np.cumsum(counts, axis=0)
    starts = ends - counts
    vertices, faces = np.empty((int(ends[-1, 0]), 3), np.float32), np.empty((int(ends[-1, 1]), 3), np.int32)
    numbers = np.empty((*field.values.shape, 3), np.int32)
    cut_edges(field.values, level, field.origin, field.step_mm, np.ascontiguousarray(starts[:, 0]), vertices, numbers)
    cut_cells(field.values, level, np.ascontiguousarray(starts[:, 1]), sizes, table, numbers, faces)
    return vertices, faces
