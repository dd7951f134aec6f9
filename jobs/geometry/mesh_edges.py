"""Edges of a triangle mesh: pairs of neighbours, holes, and the bend across each edge."""

from dataclasses import dataclass

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles, Ints

_CHUNK = 400_000
# Beyond this turn the inside of an edge is a needle that no wall reaches into.
_SHARPEST = 2.8
# Two faces that lie on each other this closely turn outward by all of π: which way rounding says is chance.
_FOLDED = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeTable:
    """Half-edge 3 f + k runs from corner k of face f to its next corner.

    `pairs` (p, 2) are the two half-edges of an edge with two faces, `single` those of an edge with one, `crowded` all
    half-edges of edges with three or more; `flipped` marks pairs whose faces disagree on which side is out. `count` is the
    number of distinct edges.
    """

    pairs: Ints
    single: Ints
    crowded: Ints
    flipped: Bools
    count: int


def edge_table(faces: Ints, points: int) -> EdgeTable:
    """Pair the half-edges of faces (m, 3) on `points` distinct points."""
    start = faces.reshape(-1)
    end = np.roll(faces, -1, axis=1).reshape(-1)
    keys = np.minimum(start, end) * np.int64(points) + np.maximum(start, end)
    order = np.argsort(keys)
    keys = keys[order]
    fresh = np.flatnonzero(np.concatenate([[True], keys[1:] != keys[:-1]]))
    del keys
    sizes = np.diff(np.append(fresh, len(order)))
    twos = fresh[sizes == 2]
    pairs = np.stack([order[twos], order[twos + 1]], axis=1)
    crowded_starts, crowded_sizes = fresh[sizes > 2], sizes[sizes > 2]
    crowded = order[_ranges(crowded_starts, crowded_sizes)]
    return EdgeTable(
        pairs=pairs,
        single=order[fresh[sizes == 1]],
        crowded=crowded,
        flipped=start[pairs[:, 0]] == start[pairs[:, 1]],
        count=len(fresh),
    )


def _ranges(starts: Ints, sizes: Ints) -> Ints:
    if len(starts) == 0:
        return np.empty(0, dtype=np.int64)
    offsets = np.arange(int(sizes.sum())) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    return np.repeat(starts, sizes) + offsets


def half_edge_vectors(vertices: Doubles, faces: Ints, half_edges: Ints) -> Doubles:
    """Vectors along half-edges, shape (h, 3)."""
    corner = half_edges % 3
    corners = faces.reshape(-1)
    following = half_edges + 1 - 3 * (corner == 2)
    vectors: Doubles = vertices[corners[following]] - vertices[corners[half_edges]]
    return vectors


def bend_over_pairs(vertices: Doubles, faces: Ints, normals: Doubles, pairs: Ints, flipped: Bools) -> tuple[float, float]:
    """Sum the bend over edges with two faces.

    Parameters
    ----------
    vertices, faces, normals : ndarray
        (n, 3), (m, 3), and (m, 3) outward normals of any length.
    pairs, flipped : ndarray
        From `edge_table`.

    Returns
    -------
    outside : float
        ½ Σ ℓ θ, outward edges positive.
    inside : float
        The same for a wall laid inside: outward edges ℓ tan(θ/2), inward ones ½ ℓ θ.
    """
    outside = inside = 0.0
    for at in range(0, len(pairs), _CHUNK):
        chunk = pairs[at : at + _CHUNK]
        along = half_edge_vectors(vertices, faces, chunk[:, 0])
        first = normals[chunk[:, 0] // 3]
        second = normals[chunk[:, 1] // 3] * np.where(flipped[at : at + _CHUNK], -1.0, 1.0)[:, None]
        length = np.linalg.norm(along, axis=1)
        cross = np.einsum("ij,ij->i", np.cross(first, second), along)
        with np.errstate(invalid="ignore", divide="ignore"):
            sine = np.where(length > 0, cross / length, 0.0)
        cosine = np.einsum("ij,ij->i", first, second)
        sine[np.abs(sine) < -_FOLDED * cosine] = 0.0
        turn = np.arctan2(sine, cosine)
        half = 0.5 * length * turn
        outside += float(half.sum())
        corner = length * np.tan(np.minimum(turn, _SHARPEST) / 2)
        inside += float(np.where(turn > 0, corner, half).sum())
    return outside, inside
