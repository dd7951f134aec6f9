"""Regions of triangles: which hang together, ways between them, and strips along those ways."""

import numpy as np

from jobs.geometry.engine.jit import inner


@inner
def parts_of(beside, piece):
    """Number the parts (m,) in which neighbouring triangles belong to one piece; returns (part, number of parts)."""
    count = len(piece)
    part = np.full(count, -1, np.int64)
    queue = np.empty(count, np.int32)
    number = 0
    for seed in range(count):
        if part[seed] >= 0:
            continue
        part[seed] = number
        queue[0] = seed
        first, last = 0, 1
        while first < last:
            f = queue[first]
            first += 1
            for e in range(3):
                g = beside[f, e]
                if g >= 0 and part[g] < 0 and piece[g] == piece[f]:
                    part[g] = number
                    queue[last] = g
                    last += 1
        number += 1
    return part, number


@inner
def strip_between(beside, allowed, part, start, goal, half):
    """Mark (m,) a strip from part `start` to part `goal` over allowed triangles, `half` of them to each side of the shortest way.

    Nothing is marked where there is no way.
    """
    count = len(part)
    before = np.full(count, -1, np.int32)
    queue = np.empty(count, np.int32)
    last = 0
    for f in range(count):
        if part[f] == start:
            before[f] = f
            queue[last] = f
            last += 1
    marked = np.zeros(count, np.bool_)
    first, found = 0, -1
    while first < last and found < 0:
        f = queue[first]
        first += 1
        for e in range(3):
            g = beside[f, e]
            if g >= 0 and before[g] < 0 and allowed[g]:
                before[g] = f
                queue[last] = g
                last += 1
                if part[g] == goal:
                    found = g
                    break
    if found < 0:
        return marked
    last = 0
    while before[found] != found:
        marked[found] = True
        queue[last] = found
        last += 1
        found = before[found]
    first = 0
    for _ in range(half):
        ring = last
        while first < ring:
            f = queue[first]
            first += 1
            for e in range(3):
                g = beside[f, e]
                if g >= 0 and not marked[g] and allowed[g]:
                    marked[g] = True
                    queue[last] = g
                    last += 1
    return marked
