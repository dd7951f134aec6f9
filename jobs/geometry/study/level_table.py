"""How a level surface cuts a cell, for each of the 256 ways in which its corners lie on two sides."""

from collections.abc import Iterator
from functools import cache

import numpy as np
from numpy.typing import NDArray

Edge = int
Loop = tuple[Edge, ...]
Triangles = tuple[tuple[Edge, Edge, Edge], ...]


@cache
def level_table() -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return (sizes (256), table (256, most, 3)): how many triangles a cell has, and the edges that their corners lie on.

    Corner c of a cell lies at (c & 1, c >> 1 & 1, c >> 2 & 1); bit c of the case says that it lies below the level. Edge
    3 c + axis runs from corner c along the axis. Triangles look towards what lies above the level.

    Notes
    -----
    Each face of the cell is cut in a way that depends on its own four corners alone (where two opposite ones lie below,
    they are cut off one by one), so two cells always agree on the face between them and the surface has no gaps. No
    triangle's edge lies in a face unless it is one of those cuts, so no edge belongs to more than two triangles.
    """
    triangles = [_triangles(case) for case in range(256)]
    sizes = np.array([len(some) for some in triangles])
    table = np.zeros((256, int(sizes.max()), 3), np.int64)
    for case, some in enumerate(triangles):
        if some:
            table[case, : len(some)] = some
    return sizes, table


def _faces() -> list[tuple[int, int, int, int]]:
    """Return the corners of each face of the cell, counter-clockwise seen from outside."""
    found = []
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        ring = (0, 1 << u, (1 << u) | (1 << v), 1 << v)
        found.append((ring[0], ring[3], ring[2], ring[1]))
        far = 1 << axis
        found.append((ring[0] | far, ring[1] | far, ring[2] | far, ring[3] | far))
    return found


def _edge(a: int, b: int) -> Edge:
    return 3 * min(a, b) + (a ^ b).bit_length() - 1


_FACES = _faces()
_EDGES_OF_FACE = [frozenset(_edge(ring[n], ring[(n + 1) % 4]) for n in range(4)) for ring in _FACES]


def _triangles(case: int) -> Triangles:
    following: dict[Edge, Edge] = {}
    for ring in _FACES:
        below = [bool(case >> corner & 1) for corner in ring]
        for n in range(4):
            if below[n] or not below[(n + 1) % 4]:
                continue
            end = (n + 1) % 4
            while below[(end + 1) % 4]:
                end = (end + 1) % 4
            following[_edge(ring[n], ring[(n + 1) % 4])] = _edge(ring[end], ring[(end + 1) % 4])
    found: list[tuple[Edge, Edge, Edge]] = []
    while following:
        first, edge = next(iter(following.items()))
        del following[first]
        loop = [first]
        while edge != first:
            loop.append(edge)
            edge = following.pop(edge)
        found += _best_cut(tuple(loop))
    return tuple(found)


def _best_cut(ring: Loop) -> Triangles:
    return min(_cuts(ring), key=lambda some: (_flat_diagonals(some, ring), some))


def _cuts(ring: Loop) -> Iterator[Triangles]:
    """Yield every way of cutting a ring of corners into triangles."""
    if len(ring) == 3:
        yield ((ring[0], ring[1], ring[2]),)
        return
    for n in range(2, len(ring)):
        # The triangle on the side from the ring's first to its second corner has its third corner at n.
        left: list[Triangles] = list(_cuts(ring[1 : n + 1])) if n > 2 else [()]
        right: list[Triangles] = list(_cuts((ring[0], *ring[n:]))) if n < len(ring) - 1 else [()]
        for one in left:
            for other in right:
                yield ((ring[0], ring[1], ring[n]), *one, *other)


def _flat_diagonals(triangles: Triangles, ring: Loop) -> int:
    sides = {frozenset((ring[n], ring[(n + 1) % len(ring)])) for n in range(len(ring))}
    inner = {frozenset((t[n], t[(n + 1) % 3])) for t in triangles for n in range(3)} - sides
    return sum(any(pair <= face for face in _EDGES_OF_FACE) for pair in inner)
