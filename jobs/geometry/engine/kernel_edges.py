"""Edges of a mesh: which half-edges meet, which stand alone and which are crowded."""

import numpy as np

from jobs.geometry.engine.jit import inner


@inner
def paired_half_edges(faces, points):
    """Pair the half-edges of faces (m, 3) on `points` points.

    Returns (pairs (p, 2), single (s), crowded (c), flipped (p), number of distinct edges): half-edge 3 f + k runs from corner
    k of face f to the next. Half-edges are put into buckets by their lower point; one bucket holds half a dozen.
    """
    n = 3 * len(faces)
    starts = np.zeros(points + 1, np.int32)
    for f in range(len(faces)):
        for k in range(3):
            a, b = faces[f, k], faces[f, k + 1 if k < 2 else 0]
            starts[min(a, b) + 1] += 1
    for i in range(points):
        starts[i + 1] += starts[i]
    fill = starts[:-1].copy()
    others = np.empty(n, np.int32)
    halves = np.empty(n, np.int32)
    for f in range(len(faces)):
        for k in range(3):
            a, b = faces[f, k], faces[f, k + 1 if k < 2 else 0]
            low = min(a, b)
            others[fill[low]] = max(a, b)
            halves[fill[low]] = 3 * f + k
            fill[low] += 1
    pairs = np.empty((n // 2, 2), np.int64)
    flipped = np.empty(n // 2, np.bool_)
    single, crowded = np.empty(n, np.int64), np.empty(n, np.int64)
    p, s, c, count = 0, 0, 0, 0
    for i in range(points):
        for at in range(starts[i], starts[i + 1]):
            other = others[at]
            if other < 0:
                continue
            count += 1
            mates, mate = 1, -1
            for later in range(at + 1, starts[i + 1]):
                if others[later] == other:
                    mates += 1
                    if mates == 2:
                        mate = later
            if mates == 1:
                single[s] = halves[at]
                s += 1
            elif mates == 2:
                first, second = halves[at], halves[mate]
                pairs[p, 0], pairs[p, 1] = first, second
                flipped[p] = faces[first // 3, first % 3] == faces[second // 3, second % 3]
                others[mate] = -1
                p += 1
            else:
                for later in range(at, starts[i + 1]):
                    if others[later] == other:
                        crowded[c] = halves[later]
                        c += 1
                        others[later] = -1
    return pairs[:p].copy(), single[:s].copy(), crowded[:c].copy(), flipped[:p].copy(), count
