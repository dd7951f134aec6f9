"""From loose triangles to a checked mesh, fast: weld, edges, parts, area and volume."""

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_edges import paired_half_edges
from jobs.geometry.engine.kernel_surface import face_sums, parts_in_use
from jobs.geometry.engine.kernel_weld import weld_bits, weld_facets
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_edges import EdgeTable
from jobs.geometry.raw_mesh import Doubles, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshCheck:
    """What a mesh is, in one look: `hole_edges` have one face, `crowded_edges` three or more, `flipped_edges` disagree."""

    area_mm2: float
    volume_mm3: float
    edges: int
    hole_edges: int
    crowded_edges: int
    flipped_edges: int
    parts: int


def weld_fast(vertices: Floats, faces: Ints) -> tuple[Doubles, Ints]:
    """Merge points of exactly equal coordinates (see `mesh_weld.weld`), in order of appearance.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Finite coordinates, float32 or float64.
    faces : ndarray, shape (m, 3)
        Indices into `vertices`.

    Returns
    -------
    vertices : ndarray, shape (k, 3), float64
    faces : ndarray, shape (m, 3)
    """
    points = np.ascontiguousarray(vertices) + vertices.dtype.type(0)  # −0 becomes 0
    word: Any = np.uint32 if points.dtype.itemsize == 4 else np.uint64
    number, firsts = weld_bits(points.view(word))
    in_order = len(faces) * 3 == len(points) and _counts_up(faces)
    corners: Ints = (number if in_order else number[faces.reshape(-1)]).astype(np.int64).reshape(-1, 3)
    return points[firsts].astype(np.float64), corners


def weld_stl(facets: bytes | memoryview) -> tuple[NDArray[np.float32], Ints, int]:
    """Weld the facets of a binary STL, 50 bytes each, as they lie in the file.

    Returns
    -------
    vertices : ndarray, shape (k, 3), float32
        Distinct points in order of appearance.
    faces : ndarray, shape (m, 3)
        The triangles on them.
    bad : int
        Corners with a coordinate that is not a number.

    Raises
    ------
    GeometryError
        When the bytes are not whole facets.
    """
    if len(facets) % 50:
        raise GeometryError("The STL ends in the middle of a triangle: it was cut short. Export the scan again.")
    bits, faces, bad = weld_facets(np.frombuffer(facets, dtype="<u2").reshape(-1, 25))
    return bits.view(np.float32), faces, bad


def edge_table_fast(faces: Ints, points: int) -> EdgeTable:
    """Pair the half-edges of faces (m, 3) (see `mesh_edges.edge_table`)."""
    pairs, single, crowded, flipped, count = paired_half_edges(np.ascontiguousarray(faces, dtype=np.int64), points)
    return EdgeTable(pairs=pairs, single=single, crowded=crowded, flipped=flipped, count=count)


def check_mesh(vertices: Doubles, faces: Ints) -> MeshCheck:
    """Count edges and parts of a welded mesh, and sum its area and volume.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Distinct points. [mm]
    faces : ndarray, shape (m, 3)
        At least one.
    """
    points, corners = np.ascontiguousarray(vertices, dtype=np.float64), np.ascontiguousarray(faces, dtype=np.int64)
    table = edge_table_fast(corners, len(points))
    _, parts = cast("tuple[NDArray[np.int32], int]", parts_in_use(corners, len(points)))
    area, volume, _ = face_sums(points, corners, *points[corners[0, 0]]).sum(axis=0)
    return MeshCheck(
        area_mm2=float(area), volume_mm3=float(volume), edges=table.count, hole_edges=len(table.single),
        crowded_edges=table.count - len(table.pairs) - len(table.single),
        flipped_edges=int(np.count_nonzero(table.flipped)), parts=parts,
    )  # fmt: skip


def _counts_up(faces: Ints) -> bool:
    flat = faces.reshape(-1)
    return bool(flat[0] == 0 and flat[-1] == len(flat) - 1 and (np.diff(flat) == 1).all())
