"""The triangles of a surface and which of them are neighbours, measured once for all that walks over them."""

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_regions import parts_of
from jobs.geometry.engine.soup import edge_table_fast
from jobs.geometry.mesh_edges import half_edge_vectors
from jobs.geometry.raw_mesh import Doubles, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceGraph:
    """A surface of n points and m triangles with p inner edges.

    Attributes
    ----------
    vertices, faces : ndarray, (n, 3) and (m, 3)
        The surface, faces oriented outward. [mm]
    areas : ndarray, shape (m,)
        [mm²]
    middles : ndarray, shape (m, 3)
        Centroids. [mm]
    normals : ndarray, shape (m, 3)
        Unit normals, averaged over the triangles round each corner, so that slivers do not point astray.
    sides : ndarray, shape (p, 2)
        The two triangles at each inner edge.
    ends : ndarray, shape (p, 2)
        The two points of each inner edge.
    lengths : ndarray, shape (p,)
        [mm]
    beside : ndarray, shape (m, 3), int32
        The triangle beyond each side, corner k to the next; −1 where there is none.
    beside_edge : ndarray, shape (m, 3), int32
        That side's row in `lengths`; −1 likewise.
    """

    vertices: Doubles
    faces: Ints
    areas: Doubles
    middles: Doubles
    normals: Doubles
    sides: Ints
    ends: Ints
    lengths: Doubles
    beside: NDArray[np.int32]
    beside_edge: NDArray[np.int32]

    def parts(self, piece: Ints) -> tuple[Ints, int]:
        """Number the parts (m,) that hang together and belong to one piece, and count them."""
        return cast("tuple[Ints, int]", parts_of(self.beside, piece))


def face_graph(vertices: Floats, faces: NDArray[Any]) -> FaceGraph:
    """Measure the triangles of a welded mesh (n, 3), (m, 3) with at least one, and pair them over their edges."""
    points, corners = np.ascontiguousarray(vertices, np.float64), np.ascontiguousarray(faces, np.int64)
    a, b, c = (points[corners[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    areas = 0.5 * np.sqrt(np.einsum("ij,ij->i", flat, flat))
    # Each triangle's own normal, as long as twice its area, summed at its corners.
    weights = (np.repeat(flat[:, k], 3) for k in range(3))
    sums = [np.bincount(corners.reshape(-1), weight, minlength=len(points)).astype(np.float64) for weight in weights]
    at_points = _unit(np.stack(sums, axis=1))
    normals = _unit(at_points[corners[:, 0]] + at_points[corners[:, 1]] + at_points[corners[:, 2]])
    pairs = edge_table_fast(corners, len(points)).pairs
    along = half_edge_vectors(points, corners, pairs[:, 0])
    start = corners.reshape(-1)[pairs[:, 0]]
    end = corners[pairs[:, 0] // 3, (pairs[:, 0] % 3 + 1) % 3]
    beside, beside_edge = np.full(corners.size, -1, np.int32), np.full(corners.size, -1, np.int32)
    for k in range(2):
        beside[pairs[:, k]] = pairs[:, 1 - k] // 3
        beside_edge[pairs[:, k]] = np.arange(len(pairs))
    return FaceGraph(
        vertices=points, faces=corners, areas=areas, middles=(a + b + c) / 3, normals=normals, sides=pairs // 3,
        ends=np.stack([start, end], axis=1), lengths=np.sqrt(np.einsum("ij,ij->i", along, along)),
        beside=beside.reshape(-1, 3), beside_edge=beside_edge.reshape(-1, 3),
    )  # fmt: skip


def _unit(vectors: Doubles) -> Doubles:
    lengths = np.sqrt(np.einsum("ij,ij->i", vectors, vectors))
    unit: Doubles = vectors / np.maximum(lengths, 1e-300)[:, None]
    return unit
