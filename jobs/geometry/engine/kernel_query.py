"""Walks down the tree: the closest triangle, and the winding number."""

import math

import numpy as np

from jobs.geometry.engine.jit import inner
from jobs.geometry.engine.kernel_triangle import closest_on_triangle, solid_angle

# A node is seen as one dipole from this many of its radii on; the winding number is then good to a few hundredths.
_FAR = 2.2


@inner
def bound_below(bounds, node, cylinder, px, py, pz):
    """Return a squared distance that no triangle of the node can be closer than."""
    qx, qy, qz = px - bounds[node, 0], py - bounds[node, 1], pz - bounds[node, 2]
    if not cylinder:
        dx, dy, dz = abs(qx) - bounds[node, 3], abs(qy) - bounds[node, 4], abs(qz) - bounds[node, 5]
        dx, dy, dz = max(dx, 0.0), max(dy, 0.0), max(dz, 0.0)
        return dx * dx + dy * dy + dz * dz
    along = qx * bounds[node, 3] + qy * bounds[node, 4] + qz * bounds[node, 5]
    across = math.sqrt(max(qx * qx + qy * qy + qz * qz - along * along, 0.0)) - bounds[node, 7]
    up = max(abs(along) - bounds[node, 6], 0.0)
    across = max(across, 0.0)
    return up * up + across * across


@inner
def closest(triangles, bounds, depth, boxed, stack, below, px, py, pz, hint, limit2, share):
    """Return (squared distance, triangle, x, y, z) of the closest point; `hint` is a triangle that may be near.

    Nothing beyond the squared distance `limit2` is looked for: where nothing is nearer the triangle is −1. A node is left
    out unless it may hold something nearer than `share` of the best squared distance: with 1 the answer is exact, with less it
    is too great by that share at most. Where much of the surface is about equally far, as seen from the middle of a ball, an
    exact search looks at all of it.
    Nodes from `boxed` on are bounded by cylinders, and so is each triangle, in the rows after those of the
    nodes. `stack` and `below` are room for the walk, one entry a level.
    """
    m = len(triangles)
    best, cx, cy, cz = closest_on_triangle(triangles, hint, px, py, pz)
    found = hint
    if best > limit2:
        best, found = limit2, -1
    first = 1 << depth
    node, top = 1, 0
    while True:
        if node >= first:
            j = node - first
            for i in range((j * m) >> depth, ((j + 1) * m) >> depth):
                # Most triangles of a leaf are left out by their disc, which costs a fifth of the triangle itself.
                if bound_below(bounds, 2 * first + i, True, px, py, pz) < best:
                    d2, x, y, z = closest_on_triangle(triangles, i, px, py, pz)
                    if d2 < best:
                        best, found, cx, cy, cz = d2, i, x, y, z
        else:
            left = 2 * node
            a = bound_below(bounds, left, left >= boxed, px, py, pz)
            b = bound_below(bounds, left + 1, left >= boxed, px, py, pz)
            near = left if a <= b else left + 1
            if max(a, b) < share * best:
                stack[top] = 2 * left + 1 - near
                below[top] = max(a, b)
                top += 1
            if min(a, b) < share * best:
                node = near
                continue
        while top > 0 and below[top - 1] >= share * best:
            top -= 1
        if top == 0:
            return best, found, cx, cy, cz
        top -= 1
        node = stack[top]


@inner
def winding(triangles, dipoles, depth, stack, px, py, pz):
    """Return how often the surface surrounds a point: 1 inside, 0 outside, between where it has holes.

    Published: G. Barill et al., Fast winding numbers, ACM Trans. Graph. 37, 2018 (from memory): far parts as dipoles.
    """
    m = len(triangles)
    first = 1 << depth
    total = 0.0
    stack[0] = 1
    top = 1
    while top > 0:
        top -= 1
        node = stack[top]
        qx, qy, qz = dipoles[node, 3] - px, dipoles[node, 4] - py, dipoles[node, 5] - pz
        r2 = qx * qx + qy * qy + qz * qz
        reach = _FAR * dipoles[node, 6]
        if r2 > reach * reach:
            total += (dipoles[node, 0] * qx + dipoles[node, 1] * qy + dipoles[node, 2] * qz) / (r2 * math.sqrt(r2))
        elif node >= first:
            j = node - first
            for i in range((j * m) >> depth, ((j + 1) * m) >> depth):
                total += solid_angle(triangles, i, px, py, pz)
        else:
            stack[top] = 2 * node
            stack[top + 1] = 2 * node + 1
            top += 2
    return total / (4.0 * np.pi)


@inner
def inside(triangles, dipoles, depth, stack, mirrored, board, px, py, pz):
    """Say whether a point lies inside; `mirrored` completes the piece by its image in the board at height `board`."""
    turns = winding(triangles, dipoles, depth, stack, px, py, pz)
    if mirrored:
        turns += winding(triangles, dipoles, depth, stack, px, py, 2.0 * board - pz)
    return turns > 0.5
