"""Many-sided bodies in place of the round ones that a tape tells of, with their perimeters and volumes kept."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from jobs.geometry.raw_mesh import Doubles, Ints
from jobs.geometry.solids import SolidKind, measure_solid

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

SIDES = 96
Profile = Sequence[tuple[float, float]]


def revolved(profile: Profile, *, sides: int = SIDES) -> tuple[Doubles, Ints]:
    """Turn a profile of (radius, height) points, base first, into a closed mesh with as long a way round as the circle.

    A polygon's corners lie on a circle wider by (π/n)/sin(π/n); its perimeter is then the girth, and what is lost of the
    section is (π/n)²/3, 0.04 % for 96 sides. Ends that do not lie on the axis are closed with a disc.
    """
    points = _distinct(profile)
    if points[0][0] > 0:
        points.insert(0, (0.0, points[0][1]))
    if points[-1][0] > 0:
        points.append((0.0, points[-1][1]))
    # The middles of flat sides, not corners, face along x and y: there sections are cut and solids sit.
    turns = 2 * math.pi * (np.arange(sides) + 0.5) / sides
    wide = (math.pi / sides) / math.sin(math.pi / sides)
    circle = np.column_stack([np.cos(turns), np.sin(turns)]) * wide
    middle = points[1:-1]
    rings = [np.column_stack([circle * radius, np.full(sides, height)]) for radius, height in middle]
    vertices = np.vstack([[(0.0, 0.0, points[0][1])], *rings, [(0.0, 0.0, points[-1][1])]])
    here, following = np.arange(sides), (np.arange(sides) + 1) % sides
    last = len(vertices) - 1
    faces = [np.column_stack([np.zeros(sides, int), 1 + following, 1 + here])]
    for ring in range(len(middle) - 1):
        low, high = 1 + ring * sides, 1 + (ring + 1) * sides
        faces.append(np.column_stack([low + here, low + following, high + following]))
        faces.append(np.column_stack([low + here, high + following, high + here]))
    top = 1 + (len(middle) - 1) * sides
    faces.append(np.column_stack([top + here, top + following, np.full(sides, last)]))
    return vertices, np.vstack(faces).astype(np.int64)


def solid_mesh(kind: SolidKind, lengths: Sequence[float], *, sides: int = SIDES) -> tuple[Doubles, Ints]:
    """Return a solid standing upright at z = 0 in the middle, of exactly its true volume; a ring lies flat."""
    vertices, faces = _MAKERS[kind](sides, *lengths)
    wanted = measure_solid(kind, tuple(lengths)).volume_mm3
    return vertices * (wanted / mesh_volume(vertices, faces)) ** (1 / 3), faces


def mesh_volume(vertices: Doubles, faces: Ints) -> float:
    """Volume of a closed mesh, outward positive (published: divergence theorem)."""
    a, b, c = (vertices[faces[:, corner]] for corner in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6


def mesh_area(vertices: Doubles, faces: Ints, *, on_board: bool) -> float:
    """Area of a mesh, on a board without what lies on it (all three corners at z = 0)."""
    a, b, c = (vertices[faces[:, corner]] for corner in range(3))
    twice = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    if on_board:
        size = float(np.ptp(vertices[:, 2]))
        twice[(np.abs(vertices[faces][:, :, 2]) < 1e-6 * size).all(axis=1)] = 0.0
    return float(twice.sum()) / 2


def _distinct(profile: Profile) -> list[tuple[float, float]]:
    kept: list[tuple[float, float]] = []
    for radius, height in profile:
        if not kept or math.dist(kept[-1], (radius, height)) > 1e-9:
            kept.append((float(radius), float(height)))
    return kept


def _ball(sides: int, d: float) -> tuple[Doubles, Ints]:
    return _ellipsoid(sides, d, d, d)


def _hemisphere(sides: int, d: float) -> tuple[Doubles, Ints]:
    arc = np.linspace(0, math.pi / 2, max(sides // 4, 5))
    return revolved([(d / 2 * math.cos(a), d / 2 * math.sin(a)) for a in arc[:-1]] + [(0.0, d / 2)], sides=sides)


def _box(_sides: int, a: float, b: float, c: float) -> tuple[Doubles, Ints]:
    corners = np.array([(x, y, z) for z in (0, c) for x, y in ((-a, -b), (a, -b), (a, b), (-a, b))]) / (2, 2, 1)
    faces = [(0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7)]
    for here in range(4):
        following = (here + 1) % 4
        faces += [(here, following, following + 4), (here, following + 4, here + 4)]
    return corners, np.array(faces, dtype=np.int64)


def _cylinder(sides: int, d: float, h: float) -> tuple[Doubles, Ints]:
    return revolved([(d / 2, 0.0), (d / 2, h)], sides=sides)


def _cone(sides: int, d: float, h: float) -> tuple[Doubles, Ints]:
    return revolved([(d / 2, 0.0), (0.0, h)], sides=sides)


def _frustum(sides: int, base: float, top: float, h: float) -> tuple[Doubles, Ints]:
    return revolved([(base / 2, 0.0), (top / 2, h)], sides=sides)


def _ring(sides: int, ring_d: float, tube_d: float) -> tuple[Doubles, Ints]:
    around, across = sides, max(sides // 3, 8)
    u = (2 * math.pi * np.arange(around) / around)[:, None]
    v = (2 * math.pi * np.arange(across) / across)[None, :]
    reach = ring_d / 2 + tube_d / 2 * np.cos(v)
    vertices = np.stack(
        [reach * np.cos(u), reach * np.sin(u), tube_d / 2 * (1 + np.sin(v)) + 0 * u], axis=2
    ).reshape(-1, 3)  # fmt: skip
    i, j = (grid.ravel() for grid in np.meshgrid(np.arange(around), np.arange(across), indexing="ij"))
    i2, j2 = (i + 1) % around, (j + 1) % across
    a, b, c, d = i * across + j, i2 * across + j, i2 * across + j2, i * across + j2
    return vertices, np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])]).astype(np.int64)


def _ellipsoid(sides: int, a: float, b: float, c: float) -> tuple[Doubles, Ints]:
    arc = np.linspace(-math.pi / 2, math.pi / 2, max(sides // 2, 9))
    profile = [(0.0, 0.0), *((math.cos(t), 1 + math.sin(t)) for t in arc[1:-1]), (0.0, 2.0)]
    vertices, faces = revolved(profile, sides=sides)
    return vertices * np.array([a, b, c]) / 2, faces


_MAKERS: "Mapping[SolidKind, Callable[..., tuple[Doubles, Ints]]]" = {
    SolidKind.SPHERE: _ball,
    SolidKind.HEMISPHERE: _hemisphere,
    SolidKind.BOX: _box,
    SolidKind.CYLINDER: _cylinder,
    SolidKind.CONE: _cone,
    SolidKind.FRUSTUM: _frustum,
    SolidKind.TORUS: _ring,
    SolidKind.ELLIPSOID: _ellipsoid,
}


def as_manifold(vertices: Doubles, faces: Ints) -> Any:
    """Hand a closed mesh to the library of solids."""
    import manifold3d

    mesh = manifold3d.Mesh64(
        vert_properties=np.ascontiguousarray(vertices, dtype=np.float64), tri_verts=np.ascontiguousarray(faces, dtype=np.uint64)
    )
    return manifold3d.Manifold(mesh)


def as_arrays(solid: Any) -> tuple[Doubles, Ints]:
    """Take a closed mesh back from the library of solids."""
    mesh = solid.to_mesh64()
    vertices = np.array(mesh.vert_properties[:, :3], dtype=np.float64)
    faces = np.array(mesh.tri_verts, dtype=np.int64)
    if len(mesh.merge_from_vert):
        home = np.arange(len(vertices))
        home[np.asarray(mesh.merge_from_vert, dtype=np.int64)] = np.asarray(mesh.merge_to_vert, dtype=np.int64)
        faces = home[faces]
    used, index = np.unique(faces, return_inverse=True)
    return vertices[used], index.reshape(faces.shape).astype(np.int64)
