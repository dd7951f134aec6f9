"""The triangle tree: distances of points to a mesh, and on which side of it they lie."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_cells import distances
from jobs.geometry.engine.kernel_tree import (
    bound_level,
    bound_triangles,
    extent_rows,
    gather,
    join_rows,
    leaf_rows,
    morton_codes,
    radix_order,
)
from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Doubles, Floats

_PER_LEAF = 16
# Levels bounded by cylinders, from the leaves up; above them boxes are as good and cheaper.
_CYLINDER_LEVELS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceTree:
    """A tree over the m triangles of a mesh.

    Attributes
    ----------
    triangles : ndarray, shape (m, 9), float32
        Corners, measured from `middle`, in the tree's order.
    order : ndarray, shape (m,)
        Row of each in the mesh's own faces.
    bounds, dipoles : ndarray, shapes (2 · 2^depth + m, 8) and (2 · 2^depth, 8), float32
        See `kernel_tree`.
    lowest, highest : ndarray, shape (3,)
        Box of the mesh. [mm]
    """

    triangles: NDArray[np.float32]
    order: NDArray[np.int32]
    bounds: NDArray[np.float32]
    dipoles: NDArray[np.float32]
    depth: int
    boxed: int
    middle: Doubles
    lowest: Doubles
    highest: Doubles

    def distances(
        self, points: Floats, *, signed: bool = False, board_mm: float | None = None
    ) -> tuple[Doubles, NDArray[np.int32]]:
        """Measure how far points (n, 3) lie from the surface.

        Returns
        -------
        distance : ndarray, shape (n,)
            Negative inside when `signed`. [mm]
        face : ndarray, shape (n,)
            Row of the closest face in the mesh.
        """
        nearest = np.zeros(len(points), np.int32)
        shifted = np.ascontiguousarray(points, dtype=np.float64) - self.middle
        mirrored, board = self.board_at(board_mm)
        found: Doubles = distances(*self.arrays(), mirrored, board, shifted, nearest, signed)
        return found, self.order[nearest]

    def board_at(self, board_mm: float | None) -> tuple[bool, float]:
        """Say whether there is a board, and its height from `middle`."""
        return board_mm is not None, 0.0 if board_mm is None else board_mm - float(self.middle[2])

    def arrays(self) -> tuple[Any, ...]:
        """Return what every kernel takes first."""
        return self.triangles, self.bounds, self.dipoles, self.depth, self.boxed


def build_tree(vertices: Floats, faces: NDArray[Any]) -> DistanceTree:
    """Build the tree of a mesh.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Finite coordinates. [mm]
    faces : ndarray, shape (m, 3)
        At least one triangle; flipped ones, holes and edges of many faces do no harm.

    Raises
    ------
    GeometryError
        When there is no triangle.

    Notes
    -----
    Corners are kept as 32-bit numbers from the middle of the box: exact to 6e-8 of its size.
    """
    if len(faces) == 0:
        raise GeometryError("The mesh holds no triangle to measure from.")
    # One type alone, so that one compiled kernel serves all.
    vertices, faces = np.ascontiguousarray(vertices, dtype=np.float64), np.ascontiguousarray(faces, dtype=np.int64)
    rows = extent_rows(vertices)
    lowest, highest = rows[:, 0].min(axis=0), rows[:, 1].max(axis=0)
    middle = (lowest + highest) / 2
    codes = morton_codes(vertices, faces, lowest, 1023.0 / max(float((highest - lowest).max()), 1e-12))
    order = radix_order(codes)
    triangles = gather(vertices, faces, order, middle)
    depth = max(math.ceil(math.log2(max(len(faces) / _PER_LEAF, 1))), 0)
    nodes = 2 << depth
    bounds, dipoles = np.zeros((nodes + len(triangles), 8), np.float32), np.zeros((nodes, 8), np.float32)
    boxes = np.empty((nodes, 6), np.float32)
    leaf_rows(triangles, depth, dipoles, boxes)
    for level in range(depth - 1, -1, -1):
        join_rows(level, dipoles, boxes)
    first_cylinder = max(depth - _CYLINDER_LEVELS + 1, 1)
    for level in range(depth + 1):
        bound_level(triangles, level, level >= first_cylinder, dipoles, boxes, bounds)
    bound_triangles(triangles, depth, bounds)
    return DistanceTree(
        triangles=triangles, order=order, bounds=bounds, dipoles=dipoles, depth=depth, boxed=1 << first_cylinder,
        middle=middle, lowest=lowest, highest=highest,
    )  # fmt: skip
