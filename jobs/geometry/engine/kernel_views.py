"""What several views of a solid hide together: columns of it, measured exactly along one view, and bits of sample points."""

import math

import numpy as np

from jobs.geometry.engine.jit import inner, loop, prange
from jobs.geometry.engine.kernel_depth import draw, project

# Heights whose four pixels differ by more pixels than this belong to two surfaces: nothing is read between them.
_STEEPEST = 8.0
_FAR = 1e30


@inner
def _side(places, a, b, u, v):
    """Say whether a point lies left of the edge from a to b; for the edge from b to a the answer is always the opposite."""
    first, last = (a, b) if a < b else (b, a)
    au, av = np.float64(places[first, 0]), np.float64(places[first, 1])
    left = (places[last, 0] - au) * (v - av) - (places[last, 1] - av) * (u - au) >= 0.0
    return left if a < b else not left


@inner
def cross_columns(places, faces, u0, v0, write, ends, heights, ways):
    """Count, or with `write` note, where the columns over pixels pass the surface.

    ends (rows, cols) is counted up per crossing; with `write` it holds the next free row of heights and ways, which take the
    crossing's height and 1 where the surface looks up, −1 where it looks down.
    """
    rows, columns = ends.shape
    for f in range(len(faces)):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        au, av, aw = np.float64(places[a, 0]), np.float64(places[a, 1]), np.float64(places[a, 2])
        bu, bv = places[b, 0] - au, places[b, 1] - av
        cu, cv = places[c, 0] - au, places[c, 1] - av
        first_column = max(math.ceil(au + min(min(bu, cu), 0.0) - u0), 0)
        last_column = min(math.floor(au + max(max(bu, cu), 0.0) - u0), columns - 1)
        first_row = max(math.ceil(av + min(min(bv, cv), 0.0) - v0), 0)
        last_row = min(math.floor(av + max(max(bv, cv), 0.0) - v0), rows - 1)
        if first_column > last_column or first_row > last_row:
            continue
        area = bu * cv - bv * cu
        if area == 0.0:
            continue
        up = area > 0.0
        rise_b, rise_c = (places[b, 2] - aw) / area, (places[c, 2] - aw) / area
        for row in range(first_row, last_row + 1):
            v = row + v0
            for column in range(first_column, last_column + 1):
                u = column + u0
                if _side(places, a, b, u, v) != up or _side(places, b, c, u, v) != up or _side(places, c, a, u, v) != up:
                    continue
                if write:
                    x, y = u - au, v - av
                    heights[ends[row, column]] = aw + (x * cv - y * cu) * rise_b + (bu * y - bv * x) * rise_c
                    ways[ends[row, column]] = 1 if up else -1
                ends[row, column] += 1


@inner
def _sort_down(heights, ways, first, last):
    for i in range(first + 1, last):
        height, way, j = heights[i], ways[i], i
        while j > first and (heights[j - 1] < height or (heights[j - 1] == height and ways[j - 1] < way)):
            heights[j], ways[j] = heights[j - 1], ways[j - 1]
            j -= 1
        heights[j], ways[j] = height, way


@inner
def _clip(low, high, at, rise):
    """Keep of the heights from low to high those at which `at` + `rise` · height is not below nought."""
    if rise > 1e-12:
        return max(low, -at / rise), high
    if rise < -1e-12:
        return low, min(high, -at / rise)
    return (low, high) if at >= -1e-9 else (0.0, -1.0)


@inner
def _height(pixels, start, rows, columns, u, v, steepest):
    """Read a picture at (u, v) in pixels: between pixels on one surface, else at the nearest."""
    if u < 0.0 or v < 0.0 or u > columns - 1 or v > rows - 1:
        return -_FAR
    column, row = min(int(u), columns - 2), min(int(v), rows - 2)
    at = start + row * columns + column
    a, b, c, d = pixels[at], pixels[at + 1], pixels[at + columns], pixels[at + columns + 1]
    x, y = u - column, v - row
    if max(max(a, b), max(c, d)) - min(min(a, b), min(c, d)) < steepest:
        return (a * (1.0 - x) + b * x) * (1.0 - y) + (c * (1.0 - x) + d * x) * y
    if y < 0.5:
        return a if x < 0.5 else b
    return c if x < 0.5 else d


@inner
def _all_hidden(pixels, starts, shapes, lines, steepest, w):
    for n in range(len(starts)):
        u, v = lines[n, 0] + lines[n, 1] * w, lines[n, 2] + lines[n, 3] * w
        if _height(pixels, starts[n], shapes[n, 0], shapes[n, 1], u, v, steepest) <= lines[n, 4] + lines[n, 5] * w:
            return False
    return True


@loop
def hidden_columns(
    ends, counts, heights, ways, frame, pixel, corner, planes, pixels, starts, shapes, corners, frames, grain, tops, through,
):  # fmt: skip
    """Measure along the columns of one view what lies under the solid, outside it, and is hidden in every other view.

    Parameters: the crossings of the columns, sorted here (`ends` behind the last of each pixel, `counts` of them); the view's
    frame (3, 3), pixel and corner; planes (p, 4), of which only the side n · x + d ≥ 0 counts; the other views' pictures of
    pixels of the size `grain` (see `draw_all`), and their greatest heights. `through`: one more view looks the opposite way,
    so nothing below the lowest crossing counts.
    Returns lengths by row, infinite where a column never ends.
    """
    rows, columns = ends.shape
    others = len(starts)
    found = np.zeros(rows)
    for row in prange(rows):
        lines = np.empty((others, 6))
        total = 0.0
        for column in range(columns):
            count = counts[row, column]
            if count == 0:
                continue
            last = ends[row, column]
            first = last - count
            _sort_down(heights, ways, first, last)
            u, v = corner[0] + column * pixel, corner[1] + row * pixel
            low, high = -_FAR, np.float64(heights[first])
            if through:
                low = np.float64(heights[last - 1])
            for n in range(len(planes)):
                at, rise = planes[n, 3], 0.0
                for axis in range(3):
                    at += planes[n, axis] * (u * frame[0, axis] + v * frame[1, axis])
                    rise += planes[n, axis] * frame[2, axis]
                low, high = _clip(low, high, at, rise)
            for n in range(others):
                for part in range(3):
                    at, rise = 0.0, 0.0
                    for axis in range(3):
                        at += frames[n, part, axis] * (u * frame[0, axis] + v * frame[1, axis])
                        rise += frames[n, part, axis] * frame[2, axis]
                    if part < 2:
                        at, rise = (at - corners[n, part]) / grain, rise / grain
                    lines[n, 2 * part], lines[n, 2 * part + 1] = at, rise
                low, high = _clip(low, high, lines[n, 0], lines[n, 1])
                low, high = _clip(low, high, shapes[n, 1] - 1 - lines[n, 0], -lines[n, 1])
                low, high = _clip(low, high, lines[n, 2], lines[n, 3])
                low, high = _clip(low, high, shapes[n, 0] - 1 - lines[n, 2], -lines[n, 3])
                low, high = _clip(low, high, tops[n] - lines[n, 4], -lines[n, 5])
            depth = 0
            for i in range(first, last):
                depth += ways[i]
                if depth > 0:
                    continue
                above = min(np.float64(heights[i]), high)
                below = max(np.float64(heights[i + 1]), low) if i + 1 < last else low
                if above <= below:
                    continue
                if below <= -_FAR:
                    total = np.inf
                    break
                steps = max(math.ceil((above - below) / pixel), 1) if others > 0 else 1
                part = (above - below) / steps
                for step in range(steps):
                    if _all_hidden(pixels, starts, shapes, lines, _STEEPEST * grain, above - (step + 0.5) * part):
                        total += part
        found[row] = total
    return found


@loop
def hidden_bits(vertices, faces, frames, pixel, corners, shapes, points, bits):
    """Set in bits (k, words) the bit of each point (n, 3) that is hidden in view k; outside a picture nothing is."""
    for n in prange(len(frames)):
        places = np.empty((len(vertices), 3), np.float32)
        project(vertices, frames[n], pixel, places)
        rows, columns = shapes[n, 0], shapes[n, 1]
        picture = np.full((rows, columns), np.float32(-np.inf))
        u0, v0 = corners[n, 0] / pixel, corners[n, 1] / pixel
        draw(places, faces, np.float32(u0), np.float32(v0), picture)
        ux, uy, uz = frames[n, 0, 0] / pixel, frames[n, 0, 1] / pixel, frames[n, 0, 2] / pixel
        vx, vy, vz = frames[n, 1, 0] / pixel, frames[n, 1, 1] / pixel, frames[n, 1, 2] / pixel
        wx, wy, wz = frames[n, 2, 0], frames[n, 2, 1], frames[n, 2, 2]
        for word in range(bits.shape[1]):
            gathered = np.uint64(0)
            for i in range(word * 64, min(word * 64 + 64, len(points))):
                x, y, z = points[i, 0], points[i, 1], points[i, 2]
                column = int(ux * x + uy * y + uz * z - u0 + 0.5)
                row = int(vx * x + vy * y + vz * z - v0 + 0.5)
                if column < 0 or row < 0 or column >= columns or row >= rows:
                    continue
                if picture[row, column] > wx * x + wy * y + wz * z:
                    gathered |= np.uint64(1) << np.uint64(i - word * 64)
            bits[n, word] = gathered


@inner
def _ones(word):
    """Count the bits of a word."""
    word = word - ((word >> np.uint64(1)) & np.uint64(0x5555555555555555))
    word = (word & np.uint64(0x3333333333333333)) + ((word >> np.uint64(2)) & np.uint64(0x3333333333333333))
    word = (word + (word >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
    return np.int64((word * np.uint64(0x0101010101010101)) >> np.uint64(56))


@inner
def _common(mask, bits, n):
    total = 0
    for word in range(len(mask)):
        total += _ones(mask[word] & bits[n, word])
    return total


@inner
def pair_counts(bits):
    """Count the points that two views hide both, for every two views; serial, as it is over before threads are awake."""
    views = len(bits)
    counts = np.empty((views, views), np.int32)
    for a in range(views):
        for b in range(a, views):
            counts[a, b] = counts[b, a] = _common(bits[a], bits, b)
    return counts


@inner
def _mask_of(bits, chosen, count, but):
    mask = np.full(bits.shape[1], np.uint64(0xFFFFFFFFFFFFFFFF))
    for k in range(count):
        if k != but:
            for word in range(len(mask)):
                mask[word] &= bits[chosen[k], word]
    return mask


@inner
def _holds(chosen, count, n):
    for k in range(count):
        if chosen[k] == n:
            return True
    return False


@inner
def choose_more(bits, chosen, given, fixed):
    """Fill up `chosen` (k) views behind the `given` first, and return how many points all of them hide.

    Each time the one that hides least with the others is taken; then any but the `fixed` first is exchanged while that helps.
    """
    views = len(bits)
    for at in range(given, len(chosen)):
        mask = _mask_of(bits, chosen, at, -1)
        least = np.int64(1) << 60
        for n in range(views):
            if not _holds(chosen, at, n):
                count = _common(mask, bits, n)
                if count < least:
                    least, chosen[at] = count, n
    least = hidden_by_all(bits, chosen)
    before = least + 1
    while least < before:
        before = least
        for at in range(fixed, len(chosen)):
            mask = _mask_of(bits, chosen, len(chosen), at)
            for n in range(views):
                if not _holds(chosen, len(chosen), n):
                    count = _common(mask, bits, n)
                    if count < least:
                        least, chosen[at] = count, n
    return least


@inner
def hidden_by_all(bits, chosen):
    """Count the points that all of some views hide."""
    mask = _mask_of(bits, chosen, len(chosen), -1)
    total = np.int64(0)
    for word in range(len(mask)):
        total += _ones(mask[word])
    return total


@inner
def counts_with(bits, chosen):
    """Count the points that all of some views and one more hide, for each view (k)."""
    mask = _mask_of(bits, chosen, len(chosen), -1)
    counts = np.empty(len(bits), np.int64)
    for n in range(len(bits)):
        counts[n] = _common(mask, bits, n)
    return counts
