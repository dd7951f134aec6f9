"""How a surface bends about points spread over it, felt over a radius: noise and holes of a scan hardly count."""

import math
from dataclasses import dataclass

import numpy as np

from jobs.geometry.raw_mesh import Doubles, Floats
from jobs.geometry.study.facing import Faces, face_vectors, spread_over

_NEIGHBOURS = 32
_LEAST, _MOST = 800, 16_000
# Patches that face apart by more than this (cosine) are two sides of a thin wall, not one bent surface.
_SAME_SHEET = -0.3
# In radii: how far out the open is looked for.
_OUT = (0.5, 1.0, 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bends:
    """Points on a surface and its bend there.

    Attributes
    ----------
    points, normals : ndarray, shape (n, 3)
        Spread evenly by area; the normals are means over the radius, outward. [mm], [1]
    bend : ndarray, shape (n,)
        Mean curvature × radius: 1.2 on an edge of 90°, radius ÷ R on a ball of R, nought on the flat, negative in hollows.
    unlike : ndarray, shape (n,)
        1 − length of the mean normal: nought where all faces the same way, 0.29 on an edge of 90°.
    free : ndarray, shape (n,)
        How near the surface comes to places half to two radii out, over the way out: 1 in the open, less in a cleft. [1]
    """

    points: Doubles
    normals: Doubles
    bend: Doubles
    unlike: Doubles
    free: Doubles
    radius_mm: float
    area_mm2: float


def bends_of(vertices: Floats, faces: Faces, *, radius_mm: float, vectors: Doubles | None = None) -> Bends:
    """Feel the bend of a surface over a radius, or over a larger one where the piece is too large for so many points.

    `vectors` are those of `face_vectors`, where somebody has them already.

    Notes
    -----
    Over a small disc a surface lies below its tangent plane by the mean of ½ κ d², which is ½ H d²: H = −2 Σh ⁄ Σd² with h
    the height over the mean plane and d the way to each neighbour (integral invariants of Pottmann and others, 2007).
    """
    from scipy.spatial import cKDTree

    vectors = face_vectors(vertices, faces) if vectors is None else vectors
    areas = np.sqrt(np.einsum("ij,ij->j", vectors, vectors)) / 2.0
    area = float(areas.sum())
    count = int(np.clip(_NEIGHBOURS * area / (math.pi * radius_mm**2), _LEAST, _MOST))
    radius = max(radius_mm, math.sqrt(0.75 * _NEIGHBOURS * area / (math.pi * count)))
    chosen = spread_over(areas, count)
    points = _points_in(vertices, faces, chosen)
    normals = (vectors[:, chosen] / (2.0 * areas[chosen])).T
    tree = cKDTree(points)
    away, near = tree.query(points, k=_NEIGHBOURS, distance_upper_bound=radius)
    real = np.isfinite(away)
    near = np.where(real, near, 0)
    counted = real & (np.einsum("nkj,nj->nk", normals[near], normals) > _SAME_SHEET)
    weight = counted / np.maximum(counted.sum(axis=1, keepdims=True), 1)
    mean = np.einsum("nk,nkj->nj", weight, normals[near])
    length = np.linalg.norm(mean, axis=1)
    mean = np.where(length[:, None] > 1e-6, mean / np.maximum(length, 1e-6)[:, None], normals)
    height = np.einsum("nkj,nj->nk", points[near] - points[:, None], mean)
    squares = np.where(counted, away, 0.0) ** 2
    bend = -2.0 * (weight * height).sum(axis=1) / np.maximum((weight * squares).sum(axis=1), 1e-12) * radius
    free = np.min([tree.query(points + way * radius * mean)[0] / (way * radius) for way in _OUT], axis=0)
    return Bends(points=points, normals=mean, bend=bend, unlike=1.0 - length, free=free, radius_mm=radius, area_mm2=area)


def _points_in(vertices: Floats, faces: Faces, chosen: np.ndarray[tuple[int], np.dtype[np.int64]]) -> Doubles:
    """Place a point in each chosen face, spread evenly by a sequence of irrational steps (Roberts' R2, 2018)."""
    number = np.arange(len(chosen))
    golden = 1.324717957244746
    a, b = (0.5 + number / golden) % 1.0, (0.5 + number / golden**2) % 1.0
    over = a + b > 1.0
    a, b = np.where(over, 1.0 - a, a), np.where(over, 1.0 - b, b)
    first, second, third = (np.asarray(vertices[faces[chosen, corner]], dtype=np.float64) for corner in range(3))
    found: Doubles = first + a[:, None] * (second - first) + b[:, None] * (third - first)
    return found
