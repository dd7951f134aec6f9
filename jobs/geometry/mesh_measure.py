"""Measure a triangle mesh: area, volume, bend and faults, closed or standing on a board."""

from dataclasses import dataclass

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_base import base_height, is_base, rim_half_edges
from jobs.geometry.mesh_edges import EdgeTable, half_edge_vectors
from jobs.geometry.mesh_parts import Parts, parts_of
from jobs.geometry.mesh_steps import PLAIN, MeshSteps, area_vectors
from jobs.geometry.raw_mesh import Bools, Doubles, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshMeasure:
    """What was measured on a mesh, in mm; z up, the board at its lowest point.

    `area_mm2`, `bend_mm`, `inner_bend_mm`, `parts` and the counts are those of the exposed surface; `turned_out` says that
    all faces looked inward and were turned, `turned_faces` counts those that disagreed with their neighbours and were
    turned. `based` says that a flat base was found (or an open one).
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
    turned_faces: int = 0


def measure_mesh(vertices: Floats, faces: Ints, *, stands_on_board: bool) -> MeshMeasure:
    """Measure a mesh.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Finite coordinates, z up. [mm]
    faces : ndarray, shape (m, 3)
        Corners, counter-clockwise seen from outside (turned when they are the other way round).
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
    return measure_welded(*PLAIN.weld(vertices, faces), stands_on_board=stands_on_board)


def measure_welded(points: Doubles, triangles: Ints, *, stands_on_board: bool, steps: MeshSteps = PLAIN) -> MeshMeasure:
    """Measure a mesh whose equal points are one already (see `measure_mesh`), by plain steps or compiled ones."""
    triangles, collapsed = _without_collapsed(triangles)
    if len(triangles) == 0:
        raise GeometryError("No triangle of the mesh has any surface. Export the scan again.")
    lowest, highest = points.min(axis=0), points.max(axis=0)
    points = points - np.array([(lowest[0] + highest[0]) / 2, (lowest[1] + highest[1]) / 2, lowest[2]])
    extents = highest - lowest
    table = steps.edges(triangles, len(points))
    turned = steps.turned(points, triangles, table)
    turned_faces = int(np.count_nonzero(turned))
    # Seen from the middle of the box, which keeps rounding and the harm of holes small.
    _, volume, _ = steps.sums(points, _turned(triangles, turned), extents / 2 * [0.0, 0.0, 1.0])
    if volume < 0:
        turned = ~turned
    if turned.any():
        triangles = _turned(triangles, turned)
        table = steps.edges(triangles, len(points))
    if stands_on_board:
        base, covered = steps.low(points, triangles, base_height(extents))
        if is_base(covered, extents):
            triangles = triangles[~base]
            if len(triangles) == 0:
                raise GeometryError("The whole mesh lies flat on the board. Check which side is up.")
            table = steps.edges(triangles, len(points))
    return _measure_exposed(
        points, triangles, table, extents, steps, stands_on_board=stands_on_board, turned_out=volume < 0,
        turned_faces=turned_faces, collapsed=collapsed,
    )  # fmt: skip


def _measure_exposed(
    points: Doubles,
    exposed: Ints,
    table: EdgeTable,
    extents: Doubles,
    steps: MeshSteps,
    *,
    stands_on_board: bool,
    turned_out: bool,
    turned_faces: int,
    collapsed: int,
) -> MeshMeasure:
    area, volume, above = steps.sums(points, exposed, extents / 2 * [0.0, 0.0, 1.0])
    bend, inner_bend, paired_mm = steps.bends(points, exposed, table.pairs, table.flipped)
    on_rim = np.zeros(len(table.single), dtype=bool)
    if stands_on_board:
        on_rim = rim_half_edges(points, exposed, table.single, extents)
    rim_mm, footprint, rim_bend, rim_inner = _rim(points, exposed, table.single[on_rim])
    holes = table.single[~on_rim]
    based = bool(on_rim.any())
    return MeshMeasure(
        vertices=points,
        exposed=exposed,
        area_mm2=area,
        volume_mm3=abs(above if based else volume),
        bend_mm=bend + rim_bend,
        inner_bend_mm=inner_bend + rim_inner,
        box_mm=(float(extents[0]), float(extents[1]), float(extents[2])),
        based=based,
        footprint_mm2=footprint,
        rim_mm=rim_mm,
        turned_out=turned_out,
        turned_faces=turned_faces,
        parts=parts_of(steps.parts(points, exposed, table, on_rim), table, len(exposed)),
        collapsed_faces=collapsed,
        hole_edges=len(holes),
        hole_length_mm=_length(points, exposed, holes),
        crowded_edges=_distinct(exposed, table.crowded, len(points)),
        crowded_length_mm=_length(points, exposed, table.crowded),
        flipped_edges=int(np.count_nonzero(table.flipped)),
        edge_length_mm=paired_mm + _length(points, exposed, table.single) + _length(points, exposed, table.crowded),
    )


def _without_collapsed(triangles: Ints) -> tuple[Ints, int]:
    a, b, c = triangles.T
    whole: Bools = (a != b) & (b != c) & (c != a)
    collapsed = len(whole) - int(np.count_nonzero(whole))
    return (triangles[whole] if collapsed else triangles), collapsed


def _turned(triangles: Ints, marks: Bools) -> Ints:
    """Turn the marked triangles over."""
    if not marks.any():
        return triangles
    turned = triangles.copy()
    turned[marks, 0], turned[marks, 2] = triangles[marks, 2], triangles[marks, 0]
    return turned


def _rim(points: Doubles, exposed: Ints, rim: Ints) -> tuple[float, float, float, float]:
    """Length of the rim, the footprint inside it, and its bend outside and inside."""
    if len(rim) == 0:
        return 0.0, 0.0, 0.0, 0.0
    face, corner = np.divmod(rim, 3)
    start = points[exposed[face, corner]]
    along = half_edge_vectors(points, exposed, rim)
    length = np.linalg.norm(along, axis=1)
    normals = area_vectors(points, exposed[face])
    size = np.linalg.norm(normals, axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        rise = np.where(size > 0, normals[:, 2] / size, 0.0)
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
