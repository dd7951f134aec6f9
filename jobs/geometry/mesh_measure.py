"""Measure a triangle mesh: area, volume, bend and faults, closed or standing on a board."""

from dataclasses import dataclass

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_base import find_base, rim_half_edges
from jobs.geometry.mesh_edges import EdgeTable, bend_over_pairs, edge_table, half_edge_vectors
from jobs.geometry.mesh_parts import Parts, parts_of
from jobs.geometry.mesh_weld import weld
from jobs.geometry.raw_mesh import Bools, Doubles, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshMeasure:
    """What was measured on a mesh, in mm; z up, the board at its lowest point.

    `area_mm2`, `bend_mm`, `inner_bend_mm`, `parts` and the counts are those of the exposed surface; `turned_out` says that
    all faces looked inward and were turned. `based` says that a flat base was found (or an open one).
    """

    vertices: Doubles
    exposed: Ints
    area_mm2: float
    volume_mm3: float
    bend_mm: float
    inner_bend_mm: float
    box_mm: tuple[float, float, float]
    based: bool
    footprint_mm2: float
    rim_mm: float
    turned_out: bool
    parts: Parts
    collapsed_faces: int
    hole_edges: int
    hole_length_mm: float
    crowded_edges: int
    crowded_length_mm: float
    flipped_edges: int
    edge_length_mm: float


def measure_mesh(vertices: Floats, faces: Ints, *, stands_on_board: bool) -> MeshMeasure:
    """Measure a mesh.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Finite coordinates, z up. [mm]
    faces : ndarray, shape (m, 3)
        Corners, counter-clockwise seen from outside (turned when all are the other way round).
    stands_on_board : bool
        Leave out the flat base, and let the coat end on the board.

    Returns
    -------
    MeshMeasure

    Raises
    ------
    GeometryError
        When nothing is left to coat.

    Notes
    -----
    Area and volume are sums over triangles; the bend is ½ Σ ℓ θ. On the rim of the board it is ½ Σ ℓ ψ, ψ the lean of the
    side towards the piece's middle: half of the piece mirrored in the board. With a board the volume is ∫ z n_z dA over
    the exposed surface, so it needs no base triangles.

    References
    ----------
    Published: Steiner's formula for polyhedra (from memory: Schneider, Convex Bodies).
    """
    return measure_welded(*weld(vertices, faces), stands_on_board=stands_on_board)


def measure_welded(points: Doubles, triangles: Ints, *, stands_on_board: bool) -> MeshMeasure:
    """Measure a mesh whose equal points are one already (see `measure_mesh`)."""
    triangles, collapsed = _without_collapsed(triangles)
    if len(triangles) == 0:
        raise GeometryError("No triangle of the mesh has any surface. Export the scan again.")
    lowest, highest = points.min(axis=0), points.max(axis=0)
    points = points - np.array([(lowest[0] + highest[0]) / 2, (lowest[1] + highest[1]) / 2, lowest[2]])
    extents = highest - lowest
    normals = _area_vectors(points, triangles)
    turned_out = _volume(points, triangles, normals) < 0
    if turned_out:
        triangles = triangles[:, ::-1].copy()
        normals = -normals
    base = find_base(points, triangles, normals, extents) if stands_on_board else np.zeros(len(triangles), dtype=bool)
    exposed, exposed_normals = triangles[~base], normals[~base]
    if len(exposed) == 0:
        raise GeometryError("The whole mesh lies flat on the board. Check which side is up.")
    return _measure_exposed(
        points, exposed, exposed_normals, extents, stands_on_board=stands_on_board, turned_out=turned_out,
        collapsed=collapsed,
    )  # fmt: skip


def _measure_exposed(
    points: Doubles,
    exposed: Ints,
    normals: Doubles,
    extents: Doubles,
    *,
    stands_on_board: bool,
    turned_out: bool,
    collapsed: int,
) -> MeshMeasure:
    table = edge_table(exposed, len(points))
    bend, inner_bend = bend_over_pairs(points, exposed, normals, table.pairs, table.flipped)
    on_rim = np.zeros(len(table.single), dtype=bool)
    if stands_on_board:
        on_rim = rim_half_edges(points, exposed, table.single, extents)
    rim_mm, footprint, rim_bend, rim_inner = _rim(points, exposed, normals, table.single[on_rim])
    holes = table.single[~on_rim]
    based = bool(on_rim.any())
    height_volume = float((normals[:, 2] * points[exposed, 2].mean(axis=1)).sum())
    return MeshMeasure(
        vertices=points,
        exposed=exposed,
        area_mm2=float(np.linalg.norm(normals, axis=1).sum()),
        volume_mm3=abs(height_volume if based else _volume(points, exposed, normals)),
        bend_mm=bend + rim_bend,
        inner_bend_mm=inner_bend + rim_inner,
        box_mm=(float(extents[0]), float(extents[1]), float(extents[2])),
        based=based,
        footprint_mm2=footprint,
        rim_mm=rim_mm,
        turned_out=turned_out,
        parts=parts_of(points, exposed, normals, table, on_rim),
        collapsed_faces=collapsed,
        hole_edges=len(holes),
        hole_length_mm=_length(points, exposed, holes),
        crowded_edges=_distinct(exposed, table.crowded, len(points)),
        crowded_length_mm=_length(points, exposed, table.crowded),
        flipped_edges=int(np.count_nonzero(table.flipped)),
        edge_length_mm=_total_length(points, exposed, table),
    )


def _without_collapsed(triangles: Ints) -> tuple[Ints, int]:
    a, b, c = triangles.T
    whole: Bools = (a != b) & (b != c) & (c != a)
    return triangles[whole], int(np.count_nonzero(~whole))


def _area_vectors(points: Doubles, triangles: Ints) -> Doubles:
    """Outward normals as long as their triangle's area, (m, 3)."""
    a = points[triangles[:, 0]]
    vectors: Doubles = 0.5 * np.cross(points[triangles[:, 1]] - a, points[triangles[:, 2]] - a)
    return vectors


def _volume(points: Doubles, triangles: Ints, normals: Doubles) -> float:
    """Signed volume as seen from the middle of the box, which keeps rounding and the harm of holes small."""
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    first = points[triangles[:, 0]] - middle
    return float(np.einsum("ij,ij->", first, normals)) / 3


def _rim(points: Doubles, exposed: Ints, normals: Doubles, rim: Ints) -> tuple[float, float, float, float]:
    """Length of the rim, the footprint inside it, and its bend outside and inside."""
    if len(rim) == 0:
        return 0.0, 0.0, 0.0, 0.0
    face, corner = np.divmod(rim, 3)
    start = points[exposed[face, corner]]
    along = half_edge_vectors(points, exposed, rim)
    length = np.linalg.norm(along, axis=1)
    size = np.linalg.norm(normals[face], axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        rise = np.where(size > 0, normals[face, 2] / size, 0.0)
    lean = np.arcsin(np.clip(rise, -1.0, 1.0))
    footprint = 0.5 * float((start[:, 0] * along[:, 1] - start[:, 1] * along[:, 0]).sum())
    half = 0.5 * length * lean
    corner_in = 0.5 * length * np.tan(np.minimum(lean, 1.4))
    inner = np.where(lean > 0, corner_in, half)
    return float(length.sum()), abs(footprint), float(half.sum()), float(inner.sum())


def _length(points: Doubles, faces: Ints, half_edges: Ints) -> float:
    return float(np.linalg.norm(half_edge_vectors(points, faces, half_edges), axis=1).sum())


def _distinct(faces: Ints, half_edges: Ints, points: int) -> int:
    face, corner = np.divmod(half_edges, 3)
    ends = np.sort(np.stack([faces[face, corner], faces[face, (corner + 1) % 3]], axis=1), axis=1)
    return len(np.unique(ends[:, 0] * np.int64(points) + ends[:, 1]))


def _total_length(points: Doubles, faces: Ints, table: EdgeTable) -> float:
    return (
        _length(points, faces, table.pairs[:, 0]) + _length(points, faces, table.single) + _length(points, faces, table.crowded)
    )
