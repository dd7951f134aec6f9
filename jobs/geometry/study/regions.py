"""Which shell piece covers each triangle of the filled outside: one that can be pulled off it, in regions with short borders."""

from dataclasses import dataclass

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles, Ints
from jobs.geometry.study.diffusion import Diffusion
from jobs.geometry.study.face_graph import FaceGraph
from jobs.geometry.study.islands import join_islands, reach_islands

# Beyond this sine of draft (15°) a piece comes off as easily as it ever will. common practice, no source.
_ENOUGH_DRAFT = 0.26
# How many usual triangles wide the borders are evened out, and how often.
_REACH = 4.0
_ROUNDS = 2
# How much a good draft weighs against short borders.
_DRAFT_AGAINST_LENGTH = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Regions:
    """Who covers what.

    Attributes
    ----------
    piece : ndarray, shape (m,)
        Which pull's piece covers each triangle, from 0.
    parts : tuple of int
        How many parts each piece's region has that do not hang together; 1 unless what can be seen forces more.
    """

    piece: Ints
    parts: tuple[int, ...]


def regions_by_view(graph: FaceGraph, seen: Bools, pulls: Doubles) -> Regions:
    """Give each triangle to a piece that sees it, so that regions hang together and their borders are short.

    Parameters
    ----------
    graph : FaceGraph
        The filled outside, m triangles.
    seen : ndarray, shape (m, k)
        Whether each pull's piece can leave each triangle.
    pulls : ndarray, shape (k, 3)
        Unit vectors.

    Notes
    -----
    Where several pieces could leave, the draft decides up to 15°, and then on whose side of the body a triangle lies: that
    parts the body in planes. Both are evened out, then the borders, as heat would; what only one piece sees stays with it.
    A triangle that no piece sees goes with its neighbours.
    """
    count = pulls.shape[0]
    if count == 1:
        return _counted(graph, np.zeros(len(seen), np.int64), 1)
    may: Bools = seen | ~np.asarray(seen.any(axis=1))[:, None]
    usual_mm = float(np.sqrt(2 * graph.areas.sum() / len(graph.areas)))
    heat = Diffusion(graph, _REACH * usual_mm)
    liking = _liking(graph, pulls)
    piece, votes = _best(liking, may), None
    for _ in range(_ROUNDS):
        # The votes of all pieces together are 1 everywhere, so one of them need not be evened out.
        votes = heat.even_out((piece[:, None] == np.arange(count - 1)).astype(np.float64), votes)
        all_votes = np.concatenate([votes, 1 - votes.sum(axis=1, keepdims=True)], axis=1)
        piece = _best(all_votes + _DRAFT_AGAINST_LENGTH * liking, may)
    # What is left of an island when its rim has joined others may be a speck by then.
    for _ in range(_ROUNDS):
        piece = join_islands(graph, piece, may)
    return _counted(graph, reach_islands(graph, piece, may), count)


def regions_by_plane(graph: FaceGraph, pulls: Doubles, *, normal: Doubles, offset_mm: float, slack_mm: float) -> Regions:
    """Give each triangle to the piece on whose side of a plane it lies; on the plane itself to the one that it faces.

    Parameters
    ----------
    graph : FaceGraph
        The filled outside.
    pulls : ndarray, shape (2, 3)
        The first pull's piece covers what lies beyond the plane along its normal.
    normal, offset_mm : ndarray (3,), float
        The plane.
    slack_mm : float
        So near is on the plane, for triangles that lie along it. [mm]
    """
    height = graph.middles @ normal - offset_mm
    piece = np.where(height >= 0, 0, 1)
    along = (np.abs(height) < slack_mm) & (np.abs(graph.normals @ normal) > 0.7)
    facing = graph.normals @ pulls.T
    piece[along] = np.where(facing[along, 0] >= facing[along, 1], 0, 1)
    return _counted(graph, piece, 2)


def _liking(graph: FaceGraph, pulls: Doubles) -> Doubles:
    draft = np.clip(np.einsum("ij,kj->ik", graph.normals, pulls), -_ENOUGH_DRAFT, _ENOUGH_DRAFT) / _ENOUGH_DRAFT
    along = np.einsum("ij,kj->ik", graph.middles, pulls)
    low, high = along.min(axis=0), along.max(axis=0)
    liking: Doubles = draft + (2 * along - low - high) / np.maximum(high - low, 1e-9)
    return liking


def _best(liking: Doubles, may: Bools) -> Ints:
    best: Ints = np.where(may, liking, -np.inf).argmax(axis=1)
    return best


def _counted(graph: FaceGraph, piece: Ints, count: int) -> Regions:
    part, parts = graph.parts(piece)
    owner = np.zeros(parts, np.int64)
    owner[part] = piece
    return Regions(piece=piece, parts=tuple(int(number) for number in np.bincount(owner, minlength=count)))
