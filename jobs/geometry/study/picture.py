"""A mesh light enough to be shown: small triangles joined, large ones split, sharp edges kept sharp."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats, Ints
from jobs.geometry.study.facing import face_vectors as columns_of_vectors
from jobs.geometry.study.refine import split_long

Light = tuple[NDArray[np.float32], NDArray[np.int32]]
# Triangles of a coarse mesh are split until their edges are shorter than this part of the size, so that layers can vary.
_LONGEST_PART = 1 / 50
# Faces that meet at a sharper angle than this keep their own normals.
CREASE_DEG = 40.0
# Faces whose normals are at hand at once.
_PART = 400_000
# From this many faces on, each face speaks for one of its cells only.
_MANY = 300_000
# How strongly a corner is held to the middle of its cell where its faces do not say where it lies.
_HOLD = 0.02


def light_mesh(vertices: Floats, faces: NDArray[np.integer], *, most_faces: int = 60_000) -> Light:
    """Reduce (or refine) a mesh for showing.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Finite coordinates. [mm]
    faces : ndarray, shape (m, 3)
        At least one triangle.
    most_faces : int
        What the result may have at most, from 500 on.

    Returns
    -------
    vertices : ndarray, shape (k, 3), float32
        A point on a crease stands once for each of its sides, so that normals may be averaged over equal points.
    faces : ndarray, shape (l, 3), int32
        Never empty.

    Notes
    -----
    Above the limit the points of each cell of a grid are joined at the point nearest to the planes of the faces there;
    faces that collapse are dropped. No point moves farther than a cell's diagonal, and most by much less.

    References
    ----------
    Published: Lindstrom, Out-of-core simplification of large polygonal models, 2000 (from memory).
    """
    # Faces keep their own type until they are few: of three million, a copy of each kind costs more than all else here.
    points, given = _used(np.asarray(vertices, dtype=np.float64), np.asarray(faces))
    size = float(np.ptp(points, axis=0).max())
    if len(given) > most_faces:
        points, given = _clustered(points, given, most_faces)
    corners: Ints = given.astype(np.int64, copy=False)
    if len(faces) < most_faces // 2 and size > 0:
        points, corners = split_long(points, corners, longest_mm=size * _LONGEST_PART, most_faces=most_faces)
    points, corners = _creased(points, corners)
    return points.astype(np.float32), corners.astype(np.int32)


def face_vectors(points: Floats, corners: NDArray[np.integer]) -> Doubles:
    """Return the outward normals of triangles, each twice as long as its triangle is large, (m, 3)."""
    vectors: Doubles = columns_of_vectors(points, corners).T
    return vectors


def vertex_normals(points: Floats, corners: NDArray[np.integer]) -> Doubles:
    """Return unit normals of points, (n, 3), averaged over their faces by area; straight up where there is no face."""
    vectors = face_vectors(points.astype(np.float64), corners)
    found = np.stack(
        [np.bincount(corners.ravel(), np.repeat(vectors[:, axis], 3), minlength=len(points)) for axis in range(3)], axis=1
    )
    length = np.linalg.norm(found, axis=1)
    found[length == 0] = (0.0, 0.0, 1.0)
    normals: Doubles = found / np.where(length == 0, 1.0, length)[:, None]
    return normals


def _used(points: Doubles, corners: NDArray[np.integer]) -> tuple[Doubles, NDArray[np.integer]]:
    """Leave out the points that no face uses."""
    used = np.zeros(len(points), dtype=bool)
    used[corners.ravel()] = True
    if used.all():
        return points, corners
    place = (np.cumsum(used) - 1).astype(corners.dtype)
    return points[used], place[corners]


def _clustered(points: Doubles, corners: NDArray[np.integer], most_faces: int) -> tuple[Doubles, NDArray[np.integer]]:
    low = points.min(axis=0)
    extent = np.ptp(points, axis=0)
    # A grid cuts a surface of area A into about 1.5 A / h² cells, and a mesh has two faces for each point.
    area = 0.5 * sum(float(np.linalg.norm(face_vectors(points, part), axis=1).sum()) for part in _parts(corners))
    cell = max(np.sqrt(3.0 * area / most_faces), float(extent.max()) / 1000)
    wanted = 0.485 * most_faces
    for _ in range(4):
        count = _occupied(points, low, extent, cell)
        if 0.97 * wanted <= count <= wanted:
            break
        cell *= np.sqrt(count / (0.985 * wanted))
    while True:
        keys, numbers = np.unique(_keys(points, low, extent, cell), return_inverse=True)
        label = numbers.astype(corners.dtype)
        joined = label[corners]
        a, b, c = joined.T
        kept = (a != b) & (b != c) & (c != a)
        found = _once(joined[kept].astype(np.int64), len(keys))
        del joined, kept
        if 0 < len(found) <= most_faces:
            return _used(_placed(points, corners, label, len(keys)), found)
        if len(found) == 0:  # smaller than a cell all over: show the largest triangles as they are
            largest = np.argsort(-np.linalg.norm(face_vectors(points, corners), axis=1))[:most_faces]
            return _used(points, corners[largest])
        cell *= 1.04


def _keys(points: Doubles, low: Doubles, extent: Doubles, cell: float) -> Ints:
    counts = np.floor(extent / cell).astype(np.int64) + 1
    x, y, z = ((points[:, axis] - low[axis]) * (1 / cell) for axis in range(3))
    keys: Ints = (x.astype(np.int64) * counts[1] + y.astype(np.int64)) * counts[2] + z.astype(np.int64)
    return keys


def _occupied(points: Doubles, low: Doubles, extent: Doubles, cell: float) -> int:
    counts = np.floor(extent / cell).astype(np.int64) + 1
    seen = np.zeros(int(counts.prod()), dtype=bool)
    seen[_keys(points, low, extent, cell)] = True
    return int(np.count_nonzero(seen))


def _once(faces: Ints, count: int) -> Ints:
    """Leave out triangles that stand there twice, whichever corner they begin with."""
    first = np.argmin(faces, axis=1)
    turned = np.stack([np.take_along_axis(faces, ((first + i) % 3)[:, None], axis=1)[:, 0] for i in range(3)], axis=1)
    _, rows = np.unique((turned[:, 0] * count + turned[:, 1]) * np.int64(count) + turned[:, 2], return_index=True)
    return turned[rows]


def _parts(corners: NDArray[np.integer]) -> Iterator[NDArray[np.integer]]:
    """Yield faces in parts, so that what is computed of each takes little room."""
    for start in range(0, len(corners), _PART):
        yield corners[start : start + _PART]


def _placed(points: Doubles, corners: NDArray[np.integer], label: NDArray[np.integer], count: int) -> Doubles:
    """Place the point of each cell: least squares to the planes of its faces, held to the mean of its points."""
    share = np.maximum(np.bincount(label, minlength=count), 1)
    middle = np.stack([np.bincount(label, points[:, axis], minlength=count) / share for axis in range(3)], axis=1)
    speaking = 3 if len(corners) < _MANY else 1
    matrix, right = np.zeros((count, 3, 3)), np.zeros((count, 3))
    for part in _parts(corners):
        vectors = face_vectors(points, part)
        for owner in label[part[:, :speaking]].T:
            offset = np.einsum("ij,ij->i", vectors, points[part[:, 0]] - middle[owner])
            for i in range(3):
                right[:, i] += np.bincount(owner, vectors[:, i] * offset, minlength=count)
                for j in range(i, 3):
                    matrix[:, i, j] += np.bincount(owner, vectors[:, i] * vectors[:, j], minlength=count)
    for i, j in ((1, 0), (2, 0), (2, 1)):
        matrix[:, i, j] = matrix[:, j, i]
    weight = np.trace(matrix, axis1=1, axis2=2) * _HOLD + 1e-30
    moved = np.linalg.solve(matrix + weight[:, None, None] * np.eye(3), right[:, :, None])[:, :, 0]
    return middle + moved


def _creased(points: Doubles, corners: Ints) -> tuple[Doubles, Ints]:
    """Give the sides of sharp edges points of their own: corners of one point stay one where faces meet smoothly."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    vectors = face_vectors(points, corners)
    normals = vectors / np.maximum(np.linalg.norm(vectors, axis=1), 1e-300)[:, None]
    start = corners.ravel()
    end = np.roll(corners, -1, axis=1).ravel()
    keys = np.minimum(start, end) * np.int64(len(points)) + np.maximum(start, end)
    order = np.argsort(keys, kind="stable")
    same = keys[order][1:] == keys[order][:-1]
    one, other = order[:-1][same], order[1:][same]
    smooth = np.einsum("ij,ij->i", normals[one // 3], normals[other // 3]) > np.cos(np.radians(CREASE_DEG))
    one, other = one[smooth], other[smooth]
    after_one, after_other = one // 3 * 3 + (one + 1) % 3, other // 3 * 3 + (other + 1) % 3
    aligned = start[one] == start[other]
    rows = np.concatenate([one, after_one])
    columns = np.concatenate([np.where(aligned, other, after_other), np.where(aligned, after_other, other)])
    links = coo_array((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(len(start), len(start)))
    count, group = connected_components(links, directed=False)
    first = np.zeros(count, dtype=np.int64)
    first[group[::-1]] = start[::-1]
    return points[first], group.astype(np.int64).reshape(-1, 3)
