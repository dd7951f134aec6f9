"""Sums over the triangles and edges of a mesh: area, volume, base, bend, parts, and which faces were turned over."""

import math

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange

_CHUNK = 8192
# Beyond this turn the inside of an edge is a needle that no wall reaches into; the tangent of half of it.
_STEEPEST = math.tan(1.4)
# Two faces that lie on each other this closely turn outward by all of π: which way rounding says is chance.
_FOLDED = 1e-9


@inner
def _area_vector(points, a, b, c):
    """Return the outward normal, as long as the triangle's area."""
    ux, uy, uz = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1], points[b, 2] - points[a, 2]
    vx, vy, vz = points[c, 0] - points[a, 0], points[c, 1] - points[a, 1], points[c, 2] - points[a, 2]
    return 0.5 * (uy * vz - uz * vy), 0.5 * (uz * vx - ux * vz), 0.5 * (ux * vy - uy * vx)


@loop
def face_sums(points, faces, ox, oy, oz):
    """Return (area, volume seen from (ox, oy, oz), volume above z = 0) of the faces, in chunks (k, 3)."""
    m = len(faces)
    sums = np.zeros(((m + _CHUNK - 1) // _CHUNK, 3))
    for chunk in prange(len(sums)):
        area, volume, above = 0.0, 0.0, 0.0
        for f in range(chunk * _CHUNK, min((chunk + 1) * _CHUNK, m)):
            a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
            nx, ny, nz = _area_vector(points, a, b, c)
            area += math.sqrt(nx * nx + ny * ny + nz * nz)
            volume += (points[a, 0] - ox) * nx + (points[a, 1] - oy) * ny + (points[a, 2] - oz) * nz
            above += nz * (points[a, 2] + points[b, 2] + points[c, 2])
        sums[chunk, 0], sums[chunk, 1], sums[chunk, 2] = area, volume / 3.0, above / 3.0
    return sums


@loop
def face_areas(points, faces):
    """Return the area (m) of each face."""
    areas = np.empty(len(faces))
    for f in prange(len(faces)):
        nx, ny, nz = _area_vector(points, faces[f, 0], faces[f, 1], faces[f, 2])
        areas[f] = math.sqrt(nx * nx + ny * ny + nz * nz)
    return areas


@loop
def low_faces(points, faces, low, down, marks):
    """Mark faces with all corners at most `low` high that look down by `down` of their area; return what they cover."""
    m = len(faces)
    covered = np.zeros((m + _CHUNK - 1) // _CHUNK)
    for chunk in prange(len(covered)):
        for f in range(chunk * _CHUNK, min((chunk + 1) * _CHUNK, m)):
            a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
            marks[f] = False
            if points[a, 2] <= low and points[b, 2] <= low and points[c, 2] <= low:
                nx, ny, nz = _area_vector(points, a, b, c)
                if nz <= down * math.sqrt(nx * nx + ny * ny + nz * nz):
                    marks[f] = True
                    covered[chunk] -= nz
    return covered


@loop
def pair_sums(points, faces, pairs, flipped):
    """Return (bend outside, bend inside, length) of edges with two faces, in chunks (k, 3); see `mesh_edges`."""
    p = len(pairs)
    sums = np.zeros(((p + _CHUNK - 1) // _CHUNK, 3))
    for chunk in prange(len(sums)):
        outside, inside, long = 0.0, 0.0, 0.0
        for i in range(chunk * _CHUNK, min((chunk + 1) * _CHUNK, p)):
            f, k = pairs[i, 0] // 3, pairs[i, 0] % 3
            g = pairs[i, 1] // 3
            start, end = faces[f, k], faces[f, k + 1 if k < 2 else 0]
            x, y, z = points[end, 0] - points[start, 0], points[end, 1] - points[start, 1], points[end, 2] - points[start, 2]
            length = math.sqrt(x * x + y * y + z * z)
            if length <= 0.0:
                continue
            long += length
            ax, ay, az = _area_vector(points, faces[f, 0], faces[f, 1], faces[f, 2])
            bx, by, bz = _area_vector(points, faces[g, 0], faces[g, 1], faces[g, 2])
            if flipped[i]:
                bx, by, bz = -bx, -by, -bz
            rise = ((ay * bz - az * by) * x + (az * bx - ax * bz) * y + (ax * by - ay * bx) * z) / length
            run = ax * bx + ay * by + az * bz
            if run < 0.0 and abs(rise) < _FOLDED * -run:
                rise = 0.0
            half = 0.5 * length * math.atan2(rise, run)
            outside += half
            if rise > 0.0:
                # tan(½θ) from its sine and cosine.
                size = math.sqrt(rise * rise + run * run)
                lean = rise / (size + run) if size + run > 0.0 else _STEEPEST
                inside += length * min(lean, _STEEPEST)
            elif rise == 0.0 and run < 0.0:
                inside += length * _STEEPEST
            else:
                inside += half
        sums[chunk, 0], sums[chunk, 1], sums[chunk, 2] = outside, inside, long
    return sums


@inner
def _top(root, i):
    while root[i] != i:
        root[i] = root[root[i]]
        i = root[i]
    return i


@inner
def parts_in_use(faces, points):
    """Return the part (n, int32) each point with a face belongs to, −1 for a point without, and the number of parts."""
    root = np.arange(points).astype(np.int32)
    used = np.zeros(points, np.bool_)
    for f in range(len(faces)):
        a = _top(root, faces[f, 0])
        used[faces[f, 0]] = True
        for k in range(1, 3):
            used[faces[f, k]] = True
            b = _top(root, faces[f, k])
            if a < b:
                root[b] = a
            elif b < a:
                root[a] = b
                a = b
    count = 0
    label = np.full(points, -1, np.int32)
    for i in range(points):
        if not used[i]:
            continue
        # The lowest point of a part is its root, so its label is there already.
        top = _top(root, i)
        if top == i:
            label[i] = count
            count += 1
        else:
            label[i] = label[top]
    return label, count


@inner
def part_rows(points, faces, label, count, pairs, single, on_rim, crowded):
    """Return a row for each part (count, 8): see `mesh_parts.part_rows`."""
    rows = np.zeros((count, 8))
    for i in range(len(label)):
        if label[i] >= 0:
            rows[label[i], 0] += 1.0
    for f in range(len(faces)):
        a = faces[f, 0]
        nx, ny, nz = _area_vector(points, a, faces[f, 1], faces[f, 2])
        part = label[a]
        rows[part, 1] += 1.0
        rows[part, 6] += math.sqrt(nx * nx + ny * ny + nz * nz)
        rows[part, 7] += points[a, 0] * nx + points[a, 1] * ny + points[a, 2] * nz
    for i in range(len(pairs)):
        rows[label[faces[pairs[i, 0] // 3, 0]], 2] += 1.0
    for i in range(len(single)):
        rows[label[faces[single[i] // 3, 0]], 3 if on_rim[i] else 4] += 1.0
    for i in range(len(crowded)):
        rows[label[faces[crowded[i] // 3, 0]], 5] += 1.0
    return rows


@inner
def turned_over(faces, pairs, flipped, areas, even):
    """Return which faces (faces) must be turned so that neighbours agree: the smaller share by area of every surface.

    Shares that differ by `even` of a surface count as equal: its first face is then as it should be. Faces are joined by
    union and find, each with its sense against its root's. A surface of one side alone is left as it is.
    """
    root = np.arange(faces).astype(np.int32)
    sense = np.zeros(faces, np.bool_)
    one_sided = np.zeros(faces, np.bool_)
    for i in range(len(pairs)):
        a, b = pairs[i, 0] // 3, pairs[i, 1] // 3
        differ = flipped[i]
        while root[a] != a:
            above = root[a]
            sense[a] ^= sense[above]
            root[a] = root[above]
            differ ^= sense[a]
            a = root[a]
        while root[b] != b:
            above = root[b]
            sense[b] ^= sense[above]
            root[b] = root[above]
            differ ^= sense[b]
            b = root[b]
        if a == b:
            one_sided[a] |= differ
        else:
            low, high = min(a, b), max(a, b)
            root[high], sense[high] = low, differ
            one_sided[low] |= one_sided[high]
    against, whole = np.zeros(faces), np.zeros(faces)
    for f in range(faces):
        top, turned = f, False
        while root[top] != top:
            turned ^= sense[top]
            top = root[top]
        # Roots are the lowest of their surface, so those above are flat already.
        root[f], sense[f] = top, turned
        whole[top] += areas[f]
        if turned:
            against[top] += areas[f]
    marks = np.zeros(faces, np.bool_)
    for f in range(faces):
        top = root[f]
        if not one_sided[top]:
            marks[f] = sense[f] != (2.0 * against[top] - whole[top] > even * whole[top])
    return marks
