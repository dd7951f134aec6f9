"""The surface on which a field on a grid has one value, as triangles that share their corners."""

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange

# Corners keep this share of an edge away from its ends, so that no triangle shrinks to a point.
_NEAREST = np.float32(1e-3)


@inner
def _case(values, i, j, k, level):
    case = 0
    for corner in range(8):
        if values[i + (corner & 1), j + ((corner >> 1) & 1), k + ((corner >> 2) & 1)] < level:
            case |= 1 << corner
    return case


@inner
def _row_is_cut(values, i, j, level):
    """Say whether the four rows of nodes about a row of cells lie on both sides of the level."""
    low, high = values[i, j, 0], values[i, j, 0]
    for k in range(values.shape[2]):
        a, b, c, d = values[i, j, k], values[i + 1, j, k], values[i, j + 1, k], values[i + 1, j + 1, k]
        low = min(low, min(min(a, b), min(c, d)))
        high = max(high, max(max(a, b), max(c, d)))
    return low < level <= high


@loop
def count_cut(values, level, sizes):
    """Return how many (edges, triangles) begin in each layer of nodes (nx, 2); `sizes` (256) has the triangles of a case."""
    nx, ny, nz = values.shape
    counts = np.zeros((nx, 2), np.int64)
    for i in prange(nx):
        edges, triangles = 0, 0
        for j in range(ny):
            for k in range(nz):
                low = values[i, j, k] < level
                if i + 1 < nx and low != (values[i + 1, j, k] < level):
                    edges += 1
                if j + 1 < ny and low != (values[i, j + 1, k] < level):
                    edges += 1
                if k + 1 < nz and low != (values[i, j, k + 1] < level):
                    edges += 1
            if i + 1 < nx and j + 1 < ny and _row_is_cut(values, i, j, level):
                for k in range(nz - 1):
                    triangles += sizes[_case(values, i, j, k, level)]
        counts[i, 0], counts[i, 1] = edges, triangles
    return counts


@inner
def _share(low, high, level):
    return min(max((level - low) / (high - low), _NEAREST), np.float32(1.0) - _NEAREST)


@loop
def cut_edges(values, level, origin, step, starts, vertices, numbers):
    """Write the crossing of each cut edge into `vertices`, and its row into numbers (nx, ny, nz, 3)."""
    nx, ny, nz = values.shape
    for i in prange(nx):
        at = starts[i]
        for j in range(ny):
            for k in range(nz):
                here = values[i, j, k]
                for axis in range(3):
                    a, b, c = i + (axis == 0), j + (axis == 1), k + (axis == 2)
                    if a >= nx or b >= ny or c >= nz:
                        continue
                    there = values[a, b, c]
                    if (here < level) == (there < level):
                        continue
                    share = _share(here, there, level)
                    vertices[at, 0] = origin[0] + step * (i + (share if axis == 0 else 0.0))
                    vertices[at, 1] = origin[1] + step * (j + (share if axis == 1 else 0.0))
                    vertices[at, 2] = origin[2] + step * (k + (share if axis == 2 else 0.0))
                    numbers[i, j, k, axis] = at
                    at += 1


@loop
def cut_cells(values, level, starts, sizes, table, numbers, faces):
    """Write the triangles of each cut cell; table (256, most, 3) holds edges as 3 · corner + axis."""
    nx, ny, nz = values.shape
    for i in prange(nx - 1):
        at = starts[i]
        for j in range(ny - 1):
            if not _row_is_cut(values, i, j, level):
                continue
            for k in range(nz - 1):
                case = _case(values, i, j, k, level)
                for t in range(sizes[case]):
                    for corner in range(3):
                        edge = table[case, t, corner]
                        node, axis = edge // 3, edge % 3
                        faces[at, corner] = numbers[i + (node & 1), j + ((node >> 1) & 1), k + ((node >> 2) & 1), axis]
                    at += 1
