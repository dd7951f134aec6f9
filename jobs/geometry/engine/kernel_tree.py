"""Bounds of an implicit binary tree over triangles in Morton order.

Node 1 is the root, the children of i are 2 i and 2 i + 1. At depth D there are 2^D nodes; node j of them covers the
triangles from j m >> D to (j + 1) m >> D. A row of `bounds` is a box (centre, half sides) in upper nodes and a cylinder
(centre, axis, half height, radius) in the lowest ones, which hugs a patch of a smooth surface far closer than any box.
After the rows of the nodes, from 2 · 2^D on, comes one such cylinder for each triangle, flat as a disc.
"""

import math

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange

# Points a processor takes at a time.
_CHUNK = 16_384


@inner
def _spread_bits(v):
    v = np.uint64(v)
    v = (v | (v << np.uint64(32))) & np.uint64(0x1F00000000FFFF)
    v = (v | (v << np.uint64(16))) & np.uint64(0x1F0000FF0000FF)
    v = (v | (v << np.uint64(8))) & np.uint64(0x100F00F00F00F00F)
    v = (v | (v << np.uint64(4))) & np.uint64(0x10C30C30C30C30C3)
    return (v | (v << np.uint64(2))) & np.uint64(0x1249249249249249)


@loop
def extent_rows(points):
    """Return the lowest and highest coordinates of the points, in chunks (k, 2, 3)."""
    rows = np.empty(((len(points) + _CHUNK - 1) // _CHUNK, 2, 3))
    for chunk in prange(len(rows)):
        for axis in range(3):
            low, high = points[chunk * _CHUNK, axis], points[chunk * _CHUNK, axis]
            for i in range(chunk * _CHUNK, min((chunk + 1) * _CHUNK, len(points))):
                low, high = min(low, points[i, axis]), max(high, points[i, axis])
            rows[chunk, 0, axis], rows[chunk, 1, axis] = low, high
    return rows


@loop
def morton_codes(points, faces, lowest, scale):
    """Return the Morton code of each triangle's middle, 10 bits an axis."""
    codes = np.empty(len(faces), np.uint32)
    for i in prange(len(faces)):
        code = np.uint64(0)
        for axis in range(3):
            middle = (points[faces[i, 0], axis] + points[faces[i, 1], axis] + points[faces[i, 2], axis]) / 3.0
            cell = np.uint64(min(max((middle - lowest[axis]) * scale, 0.0), 1023.0))
            code |= _spread_bits(cell) << np.uint64(axis)
        codes[i] = np.uint32(code)
    return codes


@inner
def radix_order(codes):
    """Return the order that sorts 30-bit codes: three passes of counting."""
    n = len(codes)
    order = np.empty(n, np.int32)
    other = np.empty(n, np.int32)
    for i in range(n):
        order[i] = i
    for turn in range(3):
        shift = np.uint32(10 * turn)
        starts = np.zeros(1025, np.int64)
        for i in range(n):
            starts[((codes[i] >> shift) & np.uint32(1023)) + 1] += 1
        for k in range(1024):
            starts[k + 1] += starts[k]
        for j in range(n):
            key = (codes[order[j]] >> shift) & np.uint32(1023)
            other[starts[key]] = order[j]
            starts[key] += 1
        order, other = other, order
    return order


@loop
def gather(points, faces, order, middle):
    """Return the corners of each triangle in order, (m, 9), measured from `middle`."""
    triangles = np.empty((len(order), 9), np.float32)
    for j in prange(len(order)):
        for corner in range(3):
            for axis in range(3):
                triangles[j, 3 * corner + axis] = points[faces[order[j], corner], axis] - middle[axis]
    return triangles


@inner
def _area_vector(triangles, i):
    ux, uy, uz = triangles[i, 3] - triangles[i, 0], triangles[i, 4] - triangles[i, 1], triangles[i, 5] - triangles[i, 2]
    vx, vy, vz = triangles[i, 6] - triangles[i, 0], triangles[i, 7] - triangles[i, 1], triangles[i, 8] - triangles[i, 2]
    return 0.5 * (uy * vz - uz * vy), 0.5 * (uz * vx - ux * vz), 0.5 * (ux * vy - uy * vx)


@loop
def leaf_rows(triangles, depth, dipoles, boxes):
    """Fill boxes (low, high corner) and dipoles (area vector, area, middle × area) of the lowest nodes."""
    first = 1 << depth
    m = len(triangles)
    for j in prange(first):
        low = np.full(3, 1e30)
        high = np.full(3, -1e30)
        for i in range((j * m) >> depth, ((j + 1) * m) >> depth):
            nx, ny, nz = _area_vector(triangles, i)
            area = math.sqrt(nx * nx + ny * ny + nz * nz)
            dipoles[first + j, 0] += nx
            dipoles[first + j, 1] += ny
            dipoles[first + j, 2] += nz
            dipoles[first + j, 3] += area
            for axis in range(3):
                a, b, c = triangles[i, axis], triangles[i, 3 + axis], triangles[i, 6 + axis]
                low[axis] = min(low[axis], min(a, min(b, c)))
                high[axis] = max(high[axis], max(a, max(b, c)))
                dipoles[first + j, 4 + axis] += area * (a + b + c) / 3.0
        for axis in range(3):
            boxes[first + j, axis] = low[axis]
            boxes[first + j, 3 + axis] = high[axis]


@loop
def join_rows(level, dipoles, boxes):
    """Fill the rows of one level from those of the level below."""
    first = 1 << level
    for j in prange(first):
        node = first + j
        for k in range(7):
            dipoles[node, k] = dipoles[2 * node, k] + dipoles[2 * node + 1, k]
        for axis in range(3):
            boxes[node, axis] = min(boxes[2 * node, axis], boxes[2 * node + 1, axis])
            boxes[node, 3 + axis] = max(boxes[2 * node, 3 + axis], boxes[2 * node + 1, 3 + axis])


@loop
def bound_level(triangles, level, cylinders, dipoles, boxes, bounds):
    """Turn boxes of one level into bounds, and moments into (area vector, middle, radius)."""
    first = 1 << level
    m = len(triangles)
    for j in prange(first):
        node = first + j
        area = dipoles[node, 3]
        for axis in range(3):
            half = 0.5 * (boxes[node, 3 + axis] - boxes[node, axis])
            bounds[node, axis] = boxes[node, axis] + half
            bounds[node, 3 + axis] = half * 1.000001
        for axis in range(3):
            dipoles[node, 3 + axis] = dipoles[node, 4 + axis] / area if area > 0.0 else bounds[node, axis]
        hx = bounds[node, 3] + abs(dipoles[node, 3] - bounds[node, 0])
        hy = bounds[node, 4] + abs(dipoles[node, 4] - bounds[node, 1])
        hz = bounds[node, 5] + abs(dipoles[node, 5] - bounds[node, 2])
        dipoles[node, 6] = math.sqrt(hx * hx + hy * hy + hz * hz)
        if not cylinders:
            continue
        nx, ny, nz = dipoles[node, 0], dipoles[node, 1], dipoles[node, 2]
        length = math.sqrt(nx * nx + ny * ny + nz * nz)
        if length <= 1e-9 * area or length <= 0.0:
            nx, ny, nz, length = 0.0, 0.0, 1.0, 1.0
        nx, ny, nz = nx / length, ny / length, nz / length
        low, high, wide = 1e30, -1e30, 0.0
        for i in range((j * m) >> level, ((j + 1) * m) >> level):
            for corner in range(3):
                qx = triangles[i, 3 * corner] - bounds[node, 0]
                qy = triangles[i, 3 * corner + 1] - bounds[node, 1]
                qz = triangles[i, 3 * corner + 2] - bounds[node, 2]
                along = qx * nx + qy * ny + qz * nz
                low, high = min(low, along), max(high, along)
                wide = max(wide, qx * qx + qy * qy + qz * qz - along * along)
        shift = 0.5 * (low + high)
        bounds[node, 0] += nx * shift
        bounds[node, 1] += ny * shift
        bounds[node, 2] += nz * shift
        bounds[node, 3], bounds[node, 4], bounds[node, 5] = nx, ny, nz
        bounds[node, 6] = 0.5 * (high - low) * 1.000001
        bounds[node, 7] = math.sqrt(max(wide, 0.0)) * 1.000001


@inner
def _bound_triangle(triangles, i, bounds, row):
    ax, ay, az = np.float64(triangles[i, 0]), np.float64(triangles[i, 1]), np.float64(triangles[i, 2])
    bx, by, bz = np.float64(triangles[i, 3]), np.float64(triangles[i, 4]), np.float64(triangles[i, 5])
    cx, cy, cz = np.float64(triangles[i, 6]), np.float64(triangles[i, 7]), np.float64(triangles[i, 8])
    nx = (by - ay) * (cz - az) - (bz - az) * (cy - ay)
    ny = (bz - az) * (cx - ax) - (bx - ax) * (cz - az)
    nz = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    length = math.sqrt(nx * nx + ny * ny + nz * nz)
    # Without a direction the disc is a ball: nothing counts as along.
    share = 1.0 / length if length > 0.0 else 0.0
    bounds[row, 0], bounds[row, 1], bounds[row, 2] = (ax + bx + cx) / 3.0, (ay + by + cy) / 3.0, (az + bz + cz) / 3.0
    bounds[row, 3], bounds[row, 4], bounds[row, 5] = nx * share, ny * share, nz * share
    high, wide = 0.0, 0.0
    for corner in range(3):
        qx = triangles[i, 3 * corner] - np.float64(bounds[row, 0])
        qy = triangles[i, 3 * corner + 1] - np.float64(bounds[row, 1])
        qz = triangles[i, 3 * corner + 2] - np.float64(bounds[row, 2])
        along = qx * bounds[row, 3] + qy * bounds[row, 4] + qz * bounds[row, 5]
        high, wide = max(high, abs(along)), max(wide, qx * qx + qy * qy + qz * qz - along * along)
    rounding = 2e-7 * max(abs(ax), max(abs(ay), abs(az)))
    bounds[row, 6] = high + rounding
    bounds[row, 7] = math.sqrt(wide) * 1.000001 + rounding


@loop
def bound_triangles(triangles, depth, bounds):
    """Fill the rows after those of the nodes: a disc around each triangle, as thick as rounding makes it."""
    for i in prange(len(triangles)):
        _bound_triangle(triangles, i, bounds, (2 << depth) + i)
