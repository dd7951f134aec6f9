"""Parts of a piece's region that lie apart from the rest of it: joined to others that see them, or reached by a strip."""

import numpy as np

from jobs.geometry.engine.kernel_regions import strip_between
from jobs.geometry.raw_mesh import Bools, Doubles, Ints
from jobs.geometry.study.face_graph import FaceGraph

# A speck of so many usual triangles, or of this share of the whole, is joined to what surrounds it, whoever sees it.
_SPECK, _SPECK_SHARE = 12.0, 3e-4
# How many islands are tried to be reached, the largest first, and how wide strips are at the least, in triangles to each side.
_MOST_STRIPS = 8
_HALF_STRIP = 8


def join_islands(graph: FaceGraph, piece: Ints, may: Bools) -> Ints:
    """Give what lies apart from its piece's largest part to neighbours that see it; specks to neighbours in any case.

    Parameters
    ----------
    graph : FaceGraph
        The filled outside, m triangles.
    piece : ndarray, shape (m,)
        Which piece covers each.
    may : ndarray, shape (m, k)
        Which pieces can.
    """
    part, sizes, _, mainland = _parts(graph, piece, may.shape[1])
    speck = (sizes < max(_SPECK / len(graph.areas), _SPECK_SHARE) * graph.areas.sum())[part]
    joined = np.where(mainland[piece] == part, piece, -1)
    joined = _flood(graph, _flood(graph, joined, may), may | speck[:, None])
    return np.where(joined < 0, piece, joined)


def reach_islands(graph: FaceGraph, piece: Ints, may: Bools) -> Ints:
    """Join islands to their piece's largest part by strips that it sees, where that leaves fewer parts in all."""
    for _ in range(_MOST_STRIPS):
        part, sizes, owner, mainland = _parts(graph, piece, may.shape[1])
        islands = np.flatnonzero(mainland[owner] != np.arange(len(owner)))
        for island in islands[np.argsort(-sizes[islands])][:_MOST_STRIPS]:
            tried = _with_strip(graph, piece, may, part, int(island), mainland)
            if tried is not None and graph.parts(tried)[1] < len(owner):
                piece = tried
                break
        else:
            break
    return piece


def _with_strip(graph: FaceGraph, piece: Ints, may: Bools, part: Ints, island: int, mainland: Ints) -> Ints | None:
    inside = part == island
    own = int(piece[inside.argmax()])
    half = max(_HALF_STRIP, int(0.3 * np.sqrt(np.count_nonzero(inside))))
    strip: Bools = strip_between(graph.beside, np.ascontiguousarray(may[:, own]), part, island, int(mainland[own]), half)
    if not strip.any():
        return None
    return join_islands(graph, np.where(strip, own, piece), may)


def _parts(graph: FaceGraph, piece: Ints, count: int) -> tuple[Ints, Doubles, Ints, Ints]:
    """Return the part of each triangle, and of each part its area and piece; and the largest part of each piece, or −1."""
    part, parts = graph.parts(piece)
    sizes = np.bincount(part, graph.areas).astype(np.float64)
    owner = np.zeros(parts, np.int64)
    owner[part] = piece
    mainland = np.full(count, -1, np.int64)
    ascending = np.argsort(sizes, kind="stable")
    mainland[owner[ascending]] = ascending
    return part, sizes, owner, mainland


def _flood(graph: FaceGraph, piece: Ints, may: Bools) -> Ints:
    """Let pieces grow over triangles that are nobody's (−1) where they may, the longer border last, so that it prevails."""
    open_edges = (piece[graph.sides] < 0).any(axis=1)
    sides, lengths = graph.sides[open_edges], graph.lengths[open_edges]
    both, lengths = np.concatenate([sides, sides[:, ::-1]]), np.concatenate([lengths, lengths])
    piece, count = piece.copy(), may.shape[1]
    while True:
        own, other = piece[both[:, 0]], both[:, 1]
        grows = (own >= 0) & (piece[other] < 0)
        grows[grows] = may[other[grows], own[grows]]
        if not grows.any():
            return piece
        pairs, where = np.unique(other[grows] * count + own[grows], return_inverse=True)
        order = np.argsort(np.bincount(where, lengths[grows]), kind="stable")
        piece[pairs[order] // count] = pairs[order] % count
