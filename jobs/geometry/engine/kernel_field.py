"""Signed distances on a grid, exact in a band about the surface only: blocks that lie wholly beyond it are not refined."""

import math

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange
from jobs.geometry.engine.kernel_packet import LANE_ROWS, LANES, closest_together
from jobs.geometry.engine.kernel_query import closest, inside

# Nodes along a block, and along the smaller blocks it falls into: a layer of one holds no more than there are lanes.
BLOCK, PART = 8, 4
# A rough distance is at most this share of itself too great.
_ROUGH = 0.15
_ROUGH_SHARE = (1.0 - _ROUGH) * (1.0 - _ROUGH)


@inner
def _beyond(d, half, low, high):
    """Say whether all within `half` of a point at the signed distance d lies beyond the band, on one side."""
    if d > 0.0:
        return d - half > max(high, 0.0)
    return d + half < min(low, 0.0)


@inner
def _node(values, i, j, k, d, away):
    values[i, j, k] = d + away if d > 0.0 else d - away


@inner
def _fill_far(values, first, last, middle, step, d):
    """Write what is at least as far as the truth, and on its side, into a block whose middle lies at the distance d."""
    for i in range(first[0], last[0]):
        for j in range(first[1], last[1]):
            for k in range(first[2], last[2]):
                x, y, z = i - middle[0], j - middle[1], k - middle[2]
                _node(values, i, j, k, d, step * math.sqrt(x * x + y * y + z * z))


@inner
def _look(
    triangles, bounds, dipoles, depth, boxed, mirrored, board, stack, below, px, py, pz, hint, half, low, high, known, away,
):  # fmt: skip
    """Return (signed distance of a block's middle, triangle, whether all of the block lies beyond the band).

    The distance is exact where the block reaches into the band. `known` is the signed distance at a point `away`.
    """
    d2, hit, _, _, _ = closest(triangles, bounds, depth, boxed, stack, below, px, py, pz, hint, 1e300, _ROUGH_SHARE)
    d = math.sqrt(d2)
    least = (1.0 - _ROUGH) * d
    if abs(known) > away * 1.00001:
        outside = known > 0.0
    else:
        outside = not inside(triangles, dipoles, depth, stack, mirrored, board, px, py, pz)
    if _beyond(least if outside else -least, half, low, high):
        return (d if outside else -d), hit, True
    d2, hit, _, _, _ = closest(triangles, bounds, depth, boxed, stack, below, px, py, pz, hit, 1e300, 1.0)
    d = math.sqrt(d2) if outside else -math.sqrt(d2)
    return d, hit, _beyond(d, half, low, high)


@inner
def _way(step, i, j, k, x, y, z):
    """Return how far a node lies from a place, both counted in steps of the grid."""
    return step * math.sqrt((i - x) * (i - x) + (j - y) * (j - y) + (k - z) * (k - z))


@inner
def _fill_near(
    triangles, bounds, dipoles, depth, boxed, mirrored, board, origin, step, low, high, stack, room, values,
    first, last, middle, known, hint,
):  # fmt: skip
    """Write exact distances where they matter; `known` is that at the part's middle. Asks for a layer of nodes at a time."""
    lanes, points, feet, best, hits, hints, spots = room
    before, bx, by, bz = known, middle[0], middle[1], middle[2]
    for i in range(first[0], last[0]):
        count = 0
        for j in range(first[1], last[1]):
            for k in range(first[2], last[2]):
                away = _way(step, i, j, k, middle[0], middle[1], middle[2])
                if _beyond(known, away, low, high):
                    _node(values, i, j, k, known, away)
                    continue
                between = _way(step, i, j, k, bx, by, bz)
                if _beyond(before, between, low, high):
                    _node(values, i, j, k, before, between)
                    continue
                points[count, 0], points[count, 1] = origin[0] + i * step, origin[1] + j * step
                points[count, 2] = origin[2] + k * step
                spots[count, 0], spots[count, 1], hints[count] = j, k, hint
                count += 1
        if count == 0:
            continue
        closest_together(triangles, bounds, depth, boxed, stack, lanes, points[:count], hints[:count], 1e300, best, hits, feet)
        for n in range(count):
            j, k, d = spots[n, 0], spots[n, 1], math.sqrt(best[n])
            away = _way(step, i, j, k, middle[0], middle[1], middle[2])
            between = _way(step, i, j, k, bx, by, bz)
            # No surface lies between two points whose distances together exceed the way between them.
            if abs(known) + d > away * 1.00001:
                outside = known > 0.0
            elif abs(before) + d > between * 1.00001:
                outside = before > 0.0
            else:
                outside = not inside(triangles, dipoles, depth, stack, mirrored, board, points[n, 0], points[n, 1], points[n, 2])
            values[i, j, k] = d if outside else -d
            before, bx, by, bz = values[i, j, k], i, j, k
        hint = hits[count - 1]


@loop
def fill_grid(triangles, bounds, dipoles, depth, boxed, mirrored, board, origin, step, low, high, stride, values):
    """Fill values (nx, ny, nz) on the nodes origin + step (i, j, k).

    Exact where the distance lies from `low` to `high`. `stride` has no factor in common with the number of columns of blocks
    along z: it spreads neighbouring ones, which cost alike, over the processors.
    """
    nx, ny, nz = values.shape
    rows, columns, layers = (nx + BLOCK - 1) // BLOCK, (ny + BLOCK - 1) // BLOCK, (nz + BLOCK - 1) // BLOCK
    blocks = rows * columns * layers
    for turn in prange(blocks):
        number = ((turn // layers) * stride) % (rows * columns) * layers + turn % layers
        stack = np.empty(2 * depth + 4, np.int64)
        below = np.empty(2 * depth + 4, np.float64)
        room = (
            np.empty(LANE_ROWS * LANES, np.float32), np.empty((LANES, 3)), np.empty((LANES, 3)), np.empty(LANES),
            np.empty(LANES, np.int32), np.empty(LANES, np.int32), np.empty((LANES, 2), np.int64),
        )  # fmt: skip
        shape = (nx, ny, nz)
        place = (number // (columns * layers), (number // layers) % columns, number % layers)
        first, last = np.empty(3, np.int64), np.empty(3, np.int64)
        part_first, part_last = np.empty(3, np.int64), np.empty(3, np.int64)
        middle, part_middle = np.empty(3), np.empty(3)
        half = 0.0
        for axis in range(3):
            first[axis] = place[axis] * BLOCK
            last[axis] = min(first[axis] + BLOCK, shape[axis])
            middle[axis] = 0.5 * (first[axis] + last[axis] - 1)
            half += (middle[axis] - first[axis]) ** 2
        half = math.sqrt(half) * step
        known, hint, far = _look(
            triangles, bounds, dipoles, depth, boxed, mirrored, board, stack, below,
            origin[0] + middle[0] * step, origin[1] + middle[1] * step, origin[2] + middle[2] * step, 0,
            half, low, high, 0.0, 0.0,
        )  # fmt: skip
        if far:
            _fill_far(values, first, last, middle, step, known)
            continue
        for corner in range(8):
            half, empty = 0.0, False
            for axis in range(3):
                part_first[axis] = first[axis] + PART * ((corner >> axis) & 1)
                part_last[axis] = min(part_first[axis] + PART, last[axis])
                empty = empty or part_first[axis] >= part_last[axis]
                part_middle[axis] = 0.5 * (part_first[axis] + part_last[axis] - 1)
                half += (part_middle[axis] - part_first[axis]) ** 2
            if empty:
                continue
            half = math.sqrt(half) * step
            away = 0.0
            for axis in range(3):
                away += (part_middle[axis] - middle[axis]) ** 2
            there, hint, far = _look(
                triangles, bounds, dipoles, depth, boxed, mirrored, board, stack, below, origin[0] + part_middle[0] * step,
                origin[1] + part_middle[1] * step, origin[2] + part_middle[2] * step, hint,
                half, low, high, known, math.sqrt(away) * step,
            )  # fmt: skip
            if far:
                _fill_far(values, part_first, part_last, part_middle, step, there)
            else:
                _fill_near(
                    triangles, bounds, dipoles, depth, boxed, mirrored, board, origin, step, low, high, stack, room, values,
                    part_first, part_last, part_middle, there, hint,
                )  # fmt: skip
