"""The flat base on which a scanned piece stands."""

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles, Ints

# Of the height: scans are cut on a plane, but not perfectly.
BASE_TOLERANCE = 0.002
# A face of the base looks down within about 37°.
_DOWN = -0.8
# Less than this share of the box's plan is a touching point, not a base.
_LEAST_SHARE = 0.02


def find_base(points: Doubles, triangles: Ints, normals: Doubles, extents: Doubles) -> Bools:
    """Mark the triangles that lie on the board: all corners near z = 0, looking down. Shape (m,)."""
    low = points[:, 2] <= _tolerance(extents)
    size = np.linalg.norm(normals, axis=1)
    base: Bools = low[triangles].all(axis=1) & (normals[:, 2] <= _DOWN * size)
    if -float(normals[base, 2].sum()) < _LEAST_SHARE * float(extents[0] * extents[1]):
        return np.zeros(len(triangles), dtype=bool)
    return base


def rim_half_edges(points: Doubles, exposed: Ints, single: Ints, extents: Doubles) -> Bools:
    """Mark the half-edges of the open border that lie on the board. Shape (len(single),)."""
    face, corner = np.divmod(single, 3)
    low = points[:, 2] <= _tolerance(extents)
    return np.asarray(low[exposed[face, corner]] & low[exposed[face, (corner + 1) % 3]], dtype=bool)


def _tolerance(extents: Doubles) -> float:
    return float(max(BASE_TOLERANCE * extents[2], 1e-9 * extents.max()))
