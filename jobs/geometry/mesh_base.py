"""The flat base on which a scanned piece stands."""

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles, Ints

# Of the height: scans are cut on a plane, but not perfectly.
BASE_TOLERANCE = 0.002
# A face of the base looks down within about 37°.
DOWN = -0.8
# Less than this share of the box's plan is a touching point, not a base.
_LEAST_SHARE = 0.02


def low_faces(points: Doubles, triangles: Ints, normals: Doubles, height_mm: float) -> tuple[Bools, float]:
    """Mark triangles (m,) that look down, all corners at most `height_mm` high, and return the plan they cover. [mm²]"""
    low = points[:, 2] <= height_mm
    size = np.linalg.norm(normals, axis=1)
    marks: Bools = low[triangles].all(axis=1) & (normals[:, 2] <= DOWN * size)
    return marks, -float(normals[marks, 2].sum())


def is_base(covered_mm2: float, extents: Doubles) -> bool:
    """Say whether low faces cover enough of the box's plan for the piece to stand on."""
    return covered_mm2 >= _LEAST_SHARE * float(extents[0] * extents[1])


def rim_half_edges(points: Doubles, exposed: Ints, single: Ints, extents: Doubles) -> Bools:
    """Mark the half-edges of the open border that lie on the board. Shape (len(single),)."""
    face, corner = np.divmod(single, 3)
    low = points[:, 2] <= base_height(extents)
    return np.asarray(low[exposed[face, corner]] & low[exposed[face, (corner + 1) % 3]], dtype=bool)


def base_height(extents: Doubles) -> float:
    """Return how high above the lowest point a corner of the base may lie. [mm]"""
    return float(max(BASE_TOLERANCE * extents[2], 1e-9 * extents.max()))
