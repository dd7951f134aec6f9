"""The closest triangles of several points at once: one walk down the tree for all, each bound tested for all by one instruction.

Compilers turn the inner loops into instructions on many numbers when their length is fixed and at least `LANES`, when they
only read, and when they add up instead of leaving early. That is why they look as they do.
"""

import math

import numpy as np

from jobs.geometry.engine.jit import inner
from jobs.geometry.engine.kernel_triangle import closest_on_triangle

# Points a walk has room for. Rows of `lanes`: x, y, z, squared distance so far, by how much a bound is below that.
LANES = 16
LANE_ROWS = 5
_NONE = np.float32(0.0)


@inner
def _box_gap(bounds, node, lanes):
    """Return 0 where no point may find anything nearer in the node, and otherwise by how much in all (squared)."""
    cx, cy, cz = bounds[node, 0], bounds[node, 1], bounds[node, 2]
    hx, hy, hz = bounds[node, 3], bounds[node, 4], bounds[node, 5]
    total = _NONE
    for q in range(LANES):
        dx, dy, dz = abs(lanes[q] - cx) - hx, abs(lanes[LANES + q] - cy) - hy, abs(lanes[2 * LANES + q] - cz) - hz
        dx = dx if dx > _NONE else _NONE
        dy = dy if dy > _NONE else _NONE
        dz = dz if dz > _NONE else _NONE
        gap = lanes[3 * LANES + q] - (dx * dx + dy * dy + dz * dz)
        total += gap if gap > _NONE else _NONE
    return total


@inner
def _lane_gap(bounds, node, lanes, q):
    """Return by how much one point's squared distance exceeds what a cylinder bounds it by."""
    qx, qy, qz = lanes[q] - bounds[node, 0], lanes[LANES + q] - bounds[node, 1], lanes[2 * LANES + q] - bounds[node, 2]
    along = qx * bounds[node, 3] + qy * bounds[node, 4] + qz * bounds[node, 5]
    across = qx * qx + qy * qy + qz * qz - along * along
    across = across if across > _NONE else _NONE
    across = math.sqrt(across) - bounds[node, 7]
    across = across if across > _NONE else _NONE
    up = abs(along) - bounds[node, 6]
    up = up if up > _NONE else _NONE
    return lanes[3 * LANES + q] - (up * up + across * across)


@inner
def _cylinder_gap(bounds, node, lanes):
    """Return the same as `_box_gap` for a node that is bounded by a cylinder."""
    total = _NONE
    for q in range(LANES):
        gap = _lane_gap(bounds, node, lanes, q)
        total += gap if gap > _NONE else _NONE
    return total


@inner
def _gap(bounds, node, boxed, lanes):
    return _cylinder_gap(bounds, node, lanes) if node >= boxed else _box_gap(bounds, node, lanes)


@inner
def _try_triangle(triangles, bounds, row, i, lanes, points, best, hits, feet):
    """Look at one triangle for those points to which its disc is near enough."""
    for q in range(LANES):
        lanes[4 * LANES + q] = _lane_gap(bounds, row, lanes, q)
    for q in range(len(points)):
        if lanes[4 * LANES + q] > _NONE:
            d2, x, y, z = closest_on_triangle(triangles, i, points[q, 0], points[q, 1], points[q, 2])
            if d2 < best[q]:
                best[q], hits[q] = d2, i
                feet[q, 0], feet[q, 1], feet[q, 2] = x, y, z
                lanes[3 * LANES + q] = np.float32(d2)


@inner
def closest_together(triangles, bounds, depth, boxed, stack, lanes, points, hints, limit2, best, hits, feet):
    """Find the closest triangle of up to `LANES` points (n, 3) that lie near one another.

    As `kernel_query.closest` does for one: writes squared distances into `best` (n), triangles into `hits` (n), −1 where nothing
    is nearer than `limit2` (squared), and the places on them into `feet` (n, 3). `hints` (n) are triangles that may be near;
    `lanes` is room for LANE_ROWS × LANES numbers of 32 bits, which make the answer good to about 1e-7 of the mesh's size.
    """
    m = len(triangles)
    first = 1 << depth
    for q in range(LANES):
        # Nothing is near enough for a lane that carries no point.
        lanes[q], lanes[LANES + q], lanes[2 * LANES + q], lanes[3 * LANES + q] = _NONE, _NONE, _NONE, np.float32(-1.0)
    for q in range(len(points)):
        best[q], feet[q, 0], feet[q, 1], feet[q, 2] = closest_on_triangle(
            triangles, hints[q], points[q, 0], points[q, 1], points[q, 2]
        )
        hits[q] = hints[q]
        if best[q] > limit2:
            best[q], hits[q] = limit2, -1
        lanes[q], lanes[LANES + q], lanes[2 * LANES + q] = points[q, 0], points[q, 1], points[q, 2]
        lanes[3 * LANES + q] = best[q]
    node, top = 1, 0
    while True:
        if node >= first:
            j = node - first
            for i in range((j * m) >> depth, ((j + 1) * m) >> depth):
                if _cylinder_gap(bounds, 2 * first + i, lanes) > _NONE:
                    _try_triangle(triangles, bounds, 2 * first + i, i, lanes, points, best, hits, feet)
        else:
            left = 2 * node
            a, b = _gap(bounds, left, boxed, lanes), _gap(bounds, left + 1, boxed, lanes)
            near = left if a >= b else left + 1
            if min(a, b) > _NONE:
                stack[top] = 2 * left + 1 - near
                top += 1
            if max(a, b) > _NONE:
                node = near
                continue
        while top > 0 and not _gap(bounds, stack[top - 1], boxed, lanes) > _NONE:
            top -= 1
        if top == 0:
            return
        top -= 1
        node = stack[top]
