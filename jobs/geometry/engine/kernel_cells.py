"""One level of the octree: which cells lie wholly on one side of a level surface, and how the others are cut by it."""

import math

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange
from jobs.geometry.engine.kernel_cube import cube_cut
from jobs.geometry.engine.kernel_packet import LANE_ROWS, LANES, closest_together
from jobs.geometry.engine.kernel_query import closest, inside

CHUNK = 128
# Columns of the sums: what families changed of their parents' volume and of their cut area, cut cells, deviation from the
# parent, what the planes of ridges took or gave, variance of the first; and, not a sum, the weightiest single change.
SUMS = 7
_HALF_DIAGONAL = 0.8660254037844387
# Gradients of one family that turn by more than 25° (cosine) show a ridge; a cell on it is cut in this many parts an axis.
_SMOOTH, _PARTS = 0.9063, 4


@inner
def _facing(triangles, i, px, py, pz, cx, cy, cz, d, sign):
    """Return the gradient of the signed distance; on the surface itself, the triangle's normal."""
    if d > 1e-6:
        return sign * (px - cx) / d, sign * (py - cy) / d, sign * (pz - cz) / d
    ux, uy, uz = triangles[i, 3] - triangles[i, 0], triangles[i, 4] - triangles[i, 1], triangles[i, 5] - triangles[i, 2]
    vx, vy, vz = triangles[i, 6] - triangles[i, 0], triangles[i, 7] - triangles[i, 1], triangles[i, 8] - triangles[i, 2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    length = math.sqrt(nx * nx + ny * ny + nz * nz)
    if length <= 0.0:
        return 0.0, 0.0, 1.0
    return nx / length, ny / length, nz / length


@inner
def _place(frame, x, y, z, points, row):
    """Turn a point of the octree's axes into the mesh's."""
    for axis in range(3):
        points[row, axis] = frame[axis, 0] * x + frame[axis, 1] * y + frame[axis, 2] * z


@inner
def _look(triangles, dipoles, depth, mirrored, board, frame, stack, p, d2, hit, foot, known, apart, beside, aside, out):
    """Write the signed distance at a point p of the mesh's axes, and its gradient in the octree's, into `out` (4).

    `d2`, `hit` and `foot` are its squared distance, and triangle and place that are closest. `known` and `beside` are signed
    distances at points `apart` and `aside` from it, nought where unknown: where the empty balls of two points meet, both lie on
    one side.
    """
    d = math.sqrt(d2)
    if known != 0.0 and abs(known) + d > apart * 1.00001:
        sign = 1.0 if known > 0.0 else -1.0
    elif beside != 0.0 and abs(beside) + d > aside * 1.00001:
        sign = 1.0 if beside > 0.0 else -1.0
    else:
        sign = -1.0 if inside(triangles, dipoles, depth, stack, mirrored, board, p[0], p[1], p[2]) else 1.0
    gx, gy, gz = 0.0, 0.0, 1.0
    if hit >= 0:
        gx, gy, gz = _facing(triangles, hit, p[0], p[1], p[2], foot[0], foot[1], foot[2], d, sign)
    out[0] = sign * d
    for axis in range(3):
        out[1 + axis] = frame[0, axis] * gx + frame[1, axis] * gy + frame[2, axis] * gz


@inner
def _bend(i, places, size, above, fresh):
    """Return by how much the distance at the middles of a parent's eight children exceeds its plane, on average."""
    total = 0.0
    for j in range(i - i % 8, i - i % 8 + 8):
        ox, oy, oz = (places[j, 0] & 1) - 0.5, (places[j, 1] & 1) - 0.5, (places[j, 2] & 1) - 0.5
        plane = above[j, 0] + (above[j, 1] * ox + above[j, 2] * oy + above[j, 3] * oz) * size
        total += fresh[j, 0] - plane
    return total / 8.0


@inner
def _ridge(first, places, fresh):
    """Say how eight cells of one parent meet a ridge: 1 where distance bends up (edges seen from outside, hollows of sharp
    edges), −1 where it bends down (clefts), 0 where it is smooth.
    """
    least, excess = 1.0, 0.0
    for a in range(first, first + 8):
        for b in range(a + 1, first + 8):
            x, y, z = fresh[b, 1] - fresh[a, 1], fresh[b, 2] - fresh[a, 2], fresh[b, 3] - fresh[a, 3]
            least = min(least, 1.0 - 0.5 * (x * x + y * y + z * z))
            excess += x * (places[a, 0] - places[b, 0]) + y * (places[a, 1] - places[b, 1]) + z * (places[a, 2] - places[b, 2])
    if least > _SMOOTH:
        return 0
    return 1 if excess < 0.0 else -1


@inner
def _cut_by_planes(i, first, places, size, fresh, level, sense):
    """Cut a cell by the highest (or lowest, `sense` −1) of the planes of its family, in `_PARTS` cubed parts."""
    part, area = 0.0, 0.0
    step = 1.0 / _PARTS
    reach = _HALF_DIAGONAL * step
    for u in range(_PARTS):
        for v in range(_PARTS):
            for w in range(_PARTS):
                x, y, z = (u + 0.5) * step - 0.5, (v + 0.5) * step - 0.5, (w + 0.5) * step - 0.5
                best, at = -1e30, i
                for j in range(first, first + 8):
                    height = (fresh[j, 0] - level) / size
                    height += fresh[j, 1] * (x + places[i, 0] - places[j, 0])
                    height += fresh[j, 2] * (y + places[i, 1] - places[j, 1])
                    height += fresh[j, 3] * (z + places[i, 2] - places[j, 2])
                    if sense * height > best:
                        best, at = sense * height, j
                best *= sense
                if best >= reach:
                    continue
                if best <= -reach:
                    part += 1.0
                    continue
                kept, cut = cube_cut(best / step, fresh[at, 1], fresh[at, 2], fresh[at, 3])
                part += kept
                area += cut
    return part * step * step * step, area * step * step


@inner
def _beside(i, deep, size, fresh):
    """Return the signed distance at the sibling before this one, and how far that lies; nought for the first."""
    if not deep or i % 8 == 0:
        return 0.0, 0.0
    turned = i ^ (i - 1)
    return fresh[i - 1, 0], size * math.sqrt((turned & 1) + ((turned >> 1) & 1) + ((turned >> 2) & 1))


@loop
def measure_cells(
    triangles,
    bounds,
    dipoles,
    depth,
    boxed,
    mirrored,
    board,
    frame,
    origin,
    size,
    places,
    wanted,
    hints,
    above,
    deep,
    levels,
    cares,
    weights,
    before,
    fresh,
    kept,
    parts,
    unrest,
):
    """Measure the cells of one level, and return sums (chunks, levels, SUMS).

    frame (3, 3) turns the octree's axes into the mesh's; places (n, 3) are integer positions; wanted (n) holds the bits of
    the levels that cut the parent, hints (n) a triangle near it, above (n, 4) the signed distance at its middle, nought when
    unknown, and its gradient. `deep` says that cells come in eights of one parent: a family; otherwise each is its own.
    weights (families) say for how many families each stands, before (families, levels, 2) what its parent's volume and area
    were taken for. Writes the same for the cells themselves into hints, `fresh` (n, 4), `kept` and `parts` (n, levels, 2), and
    into `unrest` (families) what changed in all, each level times its care.
    """
    n = len(places)
    chunks = (n + CHUNK - 1) // CHUNK
    sums = np.zeros((chunks, len(levels), SUMS))
    reach = _HALF_DIAGONAL * size
    cube = size * size * size
    of = 8 if deep else 1
    # Farther away no cell is cut, nor is its sibling: the distance itself is then of no interest.
    limit = np.abs(levels).max() + 3.01 * reach
    for chunk in prange(chunks):
        stack = np.empty(2 * depth + 4, np.int64)
        lanes = np.empty(LANE_ROWS * LANES, np.float32)
        points, feet, best, hits = np.empty((8, 3)), np.empty((8, 3)), np.empty(8), np.empty(8, np.int32)
        change = np.zeros((len(levels), 2))
        for start in range(chunk * CHUNK, min((chunk + 1) * CHUNK, n), of):
            for q in range(of):
                i = start + q
                x = origin[0] + (places[i, 0] + 0.5) * size
                y = origin[1] + (places[i, 1] + 0.5) * size
                z = origin[2] + (places[i, 2] + 0.5) * size
                _place(frame, x, y, z, points, q)
            closest_together(
                triangles, bounds, depth, boxed, stack, lanes, points[:of], hints[start : start + of], limit * limit,
                best, hits, feet,
            )  # fmt: skip
            for q in range(of):
                i = start + q
                beside, aside = _beside(i, deep, size, fresh)
                _look(
                    triangles, dipoles, depth, mirrored, board, frame, stack, points[q], best[q], hits[q], feet[q],
                    above[i, 0], reach, beside, aside, fresh[i],
                )  # fmt: skip
                if hits[q] >= 0:
                    hints[i] = hits[q]
        ridge, bend = 0, 0.0
        for i in range(chunk * CHUNK, min((chunk + 1) * CHUNK, n)):
            signed = fresh[i, 0]
            first = i - i % of
            weight = weights[i // of]
            if i == first:
                ridge, bend = -2, 0.0
                change[:] = 0.0
            bits = np.uint64(0)
            for k in range(len(levels)):
                bit = np.uint64(1) << np.uint64(k)
                if wanted[i] & bit == np.uint64(0):
                    continue
                height = signed - levels[k]
                if height >= reach:
                    continue
                if height <= -reach:
                    change[k, 0] += cube
                    continue
                bits |= bit
                if ridge == -2:
                    # Once for eight cells, and only where one of them is cut.
                    ridge = _ridge(first, places, fresh) if deep else 0
                    bend = _bend(i, places, size, above, fresh) if deep else 0.0
                part, area = cube_cut(height / size, fresh[i, 1], fresh[i, 2], fresh[i, 3])
                # Over the cut the surface bends away from its plane by a third of what it does at the eight middles.
                shift = area * size * size * bend / 3.0
                # On its other side a ridge is rounded, and planes would make it sharp.
                if ridge * levels[k] < 0.0 or (ridge != 0 and levels[k] == 0.0):
                    plain = part
                    part, area = _cut_by_planes(i, first, places, size, fresh, levels[k], ridge)
                    shift = 0.0
                    sums[chunk, k, 3] += weight * abs(part - plain) * cube / 3.0
                    sums[chunk, k, 4] += weight * abs(part - plain) * cube
                parts[i, k, 0], parts[i, k, 1] = part * cube - shift, area * size * size
                change[k, 0] += part * cube - shift
                change[k, 1] += area * size * size
                sums[chunk, k, 2] += weight
                sums[chunk, k, 3] += weight * abs(shift)
            kept[i] = bits
            if i == first + of - 1:
                unrest[i // of] = _add_family(wanted[i], weight, change, before[i // of], cares, sums[chunk])
    return sums


@inner
def _add_family(wanted, weight, change, before, cares, sums):
    """Add to the sums by how much a family differs from its parent, as often as it stands for others too; return how much."""
    unrest = 0.0
    for k in range(len(change)):
        if wanted & (np.uint64(1) << np.uint64(k)) == np.uint64(0):
            continue
        volume = change[k, 0] - before[k, 0]
        sums[k, 0] += weight * volume
        sums[k, 1] += weight * (change[k, 1] - before[k, 1])
        sums[k, 5] += weight * (weight - 1.0) * volume * volume
        sums[k, 6] = max(sums[k, 6], (weight - 1.0) * abs(volume))
        unrest += cares[k] * abs(volume)
    return unrest


@inner
def count_kept(kept, alive, of):
    """Count the cells of each family that a level still wanted cuts."""
    counts = np.zeros(len(kept) // of, np.int64)
    for i in range(len(kept)):
        if kept[i] & alive != np.uint64(0):
            counts[i // of] += 1
    return counts


@inner
def _is_drawn(at, chance, seed):
    """Draw by a number that only looks random. Published: G. Steele, D. Lea, C. Flood, Fast splittable pseudorandom number
    generators, 2014 (its mixing of bits; from memory).
    """
    if chance >= 1.0:
        return True
    mixed = (np.uint64(at) + (np.uint64(seed) << np.uint64(40))) * np.uint64(0x9E3779B97F4A7C15)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    mixed ^= mixed >> np.uint64(31)
    return (mixed >> np.uint64(11)) * 2.0**-53 < chance


@inner
def split_cells(places, kept, alive, hints, fresh, parts, weights, of, chances, seed):
    """Split the cells that a level still wanted cuts, each with its chance to be drawn; they come in families of `of`.

    Returns (places, wanted, hints, above) of their eight children each, and (weights, before) of these families.
    """
    n = 0
    for i in range(len(kept)):
        if kept[i] & alive != np.uint64(0) and _is_drawn(i, chances[i // of], seed):
            n += 1
    children = np.empty((8 * n, 3), np.int32)
    wanted = np.empty(8 * n, np.uint64)
    near = np.empty(8 * n, np.int32)
    above = np.empty((8 * n, 4), np.float32)
    heavy = np.empty(n, np.float64)
    before = np.zeros((n, parts.shape[1], 2), np.float32)
    at = 0
    for i in range(len(kept)):
        bits = kept[i] & alive
        if bits == np.uint64(0) or not _is_drawn(i, chances[i // of], seed):
            continue
        heavy[at // 8] = weights[i // of] / min(chances[i // of], 1.0)
        for k in range(parts.shape[1]):
            if bits & (np.uint64(1) << np.uint64(k)) != np.uint64(0):
                before[at // 8, k, 0], before[at // 8, k, 1] = parts[i, k, 0], parts[i, k, 1]
        for corner in range(8):
            children[at, 0] = 2 * places[i, 0] + (corner & 1)
            children[at, 1] = 2 * places[i, 1] + ((corner >> 1) & 1)
            children[at, 2] = 2 * places[i, 2] + ((corner >> 2) & 1)
            wanted[at] = bits
            near[at] = hints[i]
            for k in range(4):
                above[at, k] = fresh[i, k]
            at += 1
    return children, wanted, near, above, heavy, before


@loop
def distances(triangles, bounds, dipoles, depth, boxed, mirrored, board, points, nearest, signed):
    """Return signed or plain distances (n) of points; fills `nearest` with the closest triangle's row."""
    n = len(points)
    found = np.empty(n)
    chunks = (n + CHUNK - 1) // CHUNK
    for chunk in prange(chunks):
        stack = np.empty(2 * depth + 4, np.int64)
        below = np.empty(2 * depth + 4, np.float64)
        hint = 0
        for i in range(chunk * CHUNK, min((chunk + 1) * CHUNK, n)):
            px, py, pz = points[i, 0], points[i, 1], points[i, 2]
            d2, hint, _, _, _ = closest(triangles, bounds, depth, boxed, stack, below, px, py, pz, hint, 1e300, 1.0)
            nearest[i] = hint
            found[i] = math.sqrt(d2)
            if signed and inside(triangles, dipoles, depth, stack, mirrored, board, px, py, pz):
                found[i] = -found[i]
    return found
