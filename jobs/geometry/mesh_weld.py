"""Join corners that lie in one point, so that triangles know their neighbours."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats, Ints

# Odd multipliers that spread bits well (golden ratio and kin); any odd numbers would do, equality is checked after.
_MIX = tuple(np.uint64(number) for number in (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9))


def weld(vertices: Floats, faces: Ints) -> tuple[Doubles, Ints]:
    """Merge points of exactly equal coordinates.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Finite coordinates, float32 or float64.
    faces : ndarray, shape (m, 3)
        Indices into `vertices`.

    Returns
    -------
    vertices : ndarray, shape (k, 3), float64
        k ≤ n distinct points.
    faces : ndarray, shape (m, 3)
        The same triangles on the distinct points.

    Notes
    -----
    Sorts one 64-bit hash a point; where two different points share a hash, it sorts the coordinates instead.
    """
    points = vertices + vertices.dtype.type(0)  # −0 becomes 0
    keys = _hashes(points)
    order = np.argsort(keys)
    fresh = np.empty(len(order), dtype=bool)
    fresh[:1] = True
    ordered_keys = keys[order]
    fresh[1:] = ordered_keys[1:] != ordered_keys[:-1]
    del ordered_keys, keys
    ordered = points[order]
    same_key_other_point = (~fresh[1:]) & (ordered[1:] != ordered[:-1]).any(axis=1)
    if same_key_other_point.any():
        distinct, inverse = np.unique(points, axis=0, return_inverse=True)
        return distinct.astype(np.float64), inverse.reshape(-1).astype(np.int64)[faces]
    inverse = np.empty(len(order), dtype=np.int64)
    inverse[order] = np.cumsum(fresh) - 1
    return ordered[fresh].astype(np.float64), inverse[faces]


def _hashes(points: Floats) -> NDArray[np.uint64]:
    word: Any = np.uint32 if points.dtype.itemsize == 4 else np.uint64
    bits = np.ascontiguousarray(points).view(word)
    total = np.zeros(len(points), dtype=np.uint64)
    for column, factor in enumerate(_MIX):
        part = bits[:, column].astype(np.uint64) * factor
        total ^= (part << np.uint64(21 * column + 1)) | (part >> np.uint64(63 - 21 * column))
        total *= _MIX[0]
        total ^= total >> np.uint64(29)
    return total
