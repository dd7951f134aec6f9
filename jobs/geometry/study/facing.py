"""Which way a surface faces: its area by direction, in a few thousand bins."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats, Ints

Faces = NDArray[np.integer]

# Bins to a side of the square onto which the octahedron's faces unfold.
_SIDE = 48
# Larger meshes are sorted by samples that each stand for the same area.
_MOST_FACES = 120_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Facing:
    """Area by direction: `normals` (n, 3) unit vectors, each the mean over its bin, and `areas` (n,) [mm²]."""

    normals: Doubles
    areas: Doubles


def face_vectors(vertices: Floats, faces: Faces) -> Doubles:
    """Return each face's normal times twice its area, as columns (3, m). [mm²]"""
    first, second, third = (np.ascontiguousarray(faces[:, corner]) for corner in range(3))
    along, across = [], []
    for axis in range(3):
        places = np.ascontiguousarray(vertices[:, axis], dtype=np.float64)
        start = places[first]
        along.append(places[second] - start)
        across.append(places[third] - start)
    return np.stack([along[k - 2] * across[k - 1] - along[k - 1] * across[k - 2] for k in range(3)])


def spread_over(areas: Doubles, count: int) -> Ints:
    """Return the faces that hold `count` samples of equal area, in their order; a large face holds many."""
    run = np.cumsum(areas)
    found: Ints = np.searchsorted(run, (np.arange(count) + 0.5) * (run[-1] / count)).astype(np.int64)
    return np.minimum(found, len(areas) - 1)


def facing_of(vertices: Floats, faces: Faces, vectors: Doubles | None = None) -> Facing:
    """Sort a surface's area by the way it faces; a direction is kept to within about 2°, an area nearly exactly.

    `vectors` are those of `face_vectors`, where somebody has them already.

    Notes
    -----
    Directions are unfolded from an octahedron onto a square (the octahedral map), which is cut into bins such that the axes
    lie in the middle of one; the bins at the rim are halves.
    """
    vectors = face_vectors(vertices, faces) if vectors is None else vectors
    areas = np.sqrt(np.einsum("ij,ij->j", vectors, vectors)) / 2.0
    if len(areas) > _MOST_FACES:
        sampled = spread_over(areas, _MOST_FACES)
        vectors = vectors[:, sampled] / np.maximum(areas[sampled], 1e-300)
        areas = np.full(_MOST_FACES, areas.sum() / _MOST_FACES)
    seen = areas > 0.0
    vectors, areas = vectors[:, seen], areas[seen]
    u, v, w = vectors / np.abs(vectors).sum(axis=0)
    below = w < 0
    u, v = (
        np.where(below, np.where(u < 0, -1.0, 1.0) * (1.0 - np.abs(v)), u),
        np.where(below, np.where(v < 0, -1.0, 1.0) * (1.0 - np.abs(u)), v),
    )
    column, row = (np.floor((side + 1.0) / 2.0 * _SIDE + 0.5).astype(np.int64) for side in (u, v))
    cell, count = column * (_SIDE + 1) + row, (_SIDE + 1) ** 2
    area = np.bincount(cell, areas, count)
    weights = areas / np.linalg.norm(vectors, axis=0)
    sums = np.stack([np.bincount(cell, vectors[axis] * weights, count) for axis in range(3)], axis=1)
    size = np.linalg.norm(sums, axis=1)
    full = size > 0.0
    return Facing(normals=sums[full] / size[full, None], areas=area[full])
