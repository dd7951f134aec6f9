"""Weld the corners of triangles: equal coordinates become one point."""

import numpy as np

from jobs.geometry.engine.jit import inner


@inner
def weld_bits(bits):
    """Number the distinct rows of `bits` (n, 3), unsigned, in order of appearance.

    Returns (number of each row (n), row that showed each number first (k)). An open table of twice the rows holds the numbers;
    rows that share a place are compared bit by bit, so nothing is merged that differs.
    """
    n = len(bits)
    size = 16
    while size < 2 * min(n, 1 << 30):
        size *= 2
    # Scans list each point about six times, so far fewer than n are distinct; the table grows when it is half full.
    size = max(size // 8, 16)
    table = np.full(size, -1, np.int32)
    number = np.empty(n, np.int32)
    firsts = np.empty(n, np.int32)
    count = 0
    for i in range(n):
        if 2 * count >= size:
            size *= 4
            table = np.full(size, -1, np.int32)
            for k in range(count):
                at = _place(bits, firsts[k], size)
                while table[at] >= 0:
                    at = (at + 1) & (size - 1)
                table[at] = k
        at = _place(bits, i, size)
        while True:
            k = table[at]
            if k < 0:
                table[at] = count
                firsts[count] = i
                number[i] = count
                count += 1
                break
            j = firsts[k]
            if bits[j, 0] == bits[i, 0] and bits[j, 1] == bits[i, 1] and bits[j, 2] == bits[i, 2]:
                number[i] = k
                break
            at = (at + 1) & (size - 1)
    return number, firsts[:count].copy()


@inner
def _place(bits, i, size):
    total = np.uint64(bits[i, 0]) * np.uint64(0x9E3779B97F4A7C15)
    total = (total ^ (total >> np.uint64(29))) + np.uint64(bits[i, 1]) * np.uint64(0xC2B2AE3D27D4EB4F)
    total = (total ^ (total >> np.uint64(31))) + np.uint64(bits[i, 2]) * np.uint64(0x165667B19E3779F9)
    total *= np.uint64(0x9E3779B97F4A7C15)
    return np.int64((total ^ (total >> np.uint64(32))) & np.uint64(size - 1))


@inner
def weld_facets(words):
    """Weld a binary STL: `words` (m, 25), 16 bits each, are its facets as they lie in the file.

    Returns (points (k, 3) as the bits of 32-bit numbers, faces (m, 3), corners that are not numbers). −0 counts as 0.
    """
    m = len(words)
    size = 16
    while size < m:
        size *= 2
    table = np.full(size, -1, np.int32)
    room = m // 2 + 1024
    points = np.empty((room, 3), np.uint32)
    faces = np.empty((m, 3), np.int64)
    count, bad = 0, 0
    for f in range(m):
        for corner in range(3):
            if count == room:
                room *= 2
                wider = np.empty((room, 3), np.uint32)
                wider[:count] = points[:count]
                points = wider
            for axis in range(3):
                at = 6 + 6 * corner + 2 * axis
                bits = np.uint32(words[f, at]) | (np.uint32(words[f, at + 1]) << np.uint32(16))
                if bits == np.uint32(0x80000000):
                    bits = np.uint32(0)
                points[count, axis] = bits
            if (
                (points[count, 0] & np.uint32(0x7F800000)) == np.uint32(0x7F800000)
                or (points[count, 1] & np.uint32(0x7F800000)) == np.uint32(0x7F800000)
                or (points[count, 2] & np.uint32(0x7F800000)) == np.uint32(0x7F800000)
            ):
                bad += 1
            place = _place(points, count, size)
            while True:
                k = table[place]
                if k < 0:
                    table[place] = count
                    faces[f, corner] = count
                    count += 1
                    break
                if points[k, 0] == points[count, 0] and points[k, 1] == points[count, 1] and points[k, 2] == points[count, 2]:
                    faces[f, corner] = k
                    break
                place = (place + 1) & (size - 1)
            if 2 * count >= size:
                size *= 4
                table = np.full(size, -1, np.int32)
                for k in range(count):
                    place = _place(points, k, size)
                    while table[place] >= 0:
                        place = (place + 1) & (size - 1)
                    table[place] = k
    return points[:count].copy(), faces, bad
