"""Separate surfaces of a mesh, and the corner share of each."""

import math
from dataclasses import dataclass

import numpy as np

from jobs.geometry.mesh_edges import EdgeTable
from jobs.geometry.raw_mesh import Bools, Doubles, Ints

# A loose part of less than this share of the area is debris of the scan.
DEBRIS_SHARE = 1e-3
# More handles than this on one part are flaws of the scan, which the rubber bridges.
MOST_HANDLES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """`count` surfaces, of which `debris` are specks and `inward` enclose nothing (an inner wall, or turned faces).

    `cube` is the coefficient of t³ over all but the debris; `handles` were left out of it as flaws.
    """

    count: int
    debris: int
    inward: int
    handles: int
    cube: float
    euler: int


def parts_of(rows: Doubles, table: EdgeTable, faces: int) -> Parts:
    """Judge the connected surfaces and sum 2πχ/3 over them.

    Parameters
    ----------
    rows : ndarray, shape (count, 8)
        From `part_rows`.
    table : EdgeTable
        The edges of all faces.
    faces : int
        How many there are.

    Notes
    -----
    χ = V − E + F of each surface, its rim on the board included: 2 for a ball, 1 for a dome on a board, 0 for a ring. A
    surface with holes, or with edges that more than two faces share, has no meaningful χ: it counts as a ball or dome.
    """
    corners, counted, pairs, rim, holes, crowded, area, volume = rows.T
    euler = corners - (pairs + rim + holes) + counted
    plain = np.where(rim > 0, 1, 2)
    flawed = (crowded > 0) | (holes > 0) | (euler < 2 - 2 * MOST_HANDLES)
    debris = area < DEBRIS_SHARE * area.sum()
    taken = np.where(flawed, plain, euler)[~debris]
    missing = np.where(flawed & (crowded == 0) & (holes == 0), plain - euler, 0)
    return Parts(
        count=len(rows),
        debris=int(np.count_nonzero(debris)),
        inward=int(np.count_nonzero((volume < 0) & (rim == 0) & (holes == 0) & ~debris)),
        handles=int(missing[~debris].sum() // 2),
        cube=2 * math.pi / 3 * float(taken.sum()),
        euler=int(corners.sum()) - table.count + faces,
    )


def part_rows(points: Doubles, exposed: Ints, normals: Doubles, table: EdgeTable, on_rim: Bools) -> Doubles:
    """Sum over each connected surface.

    Returns
    -------
    ndarray, shape (count, 8)
        Points, faces, edges of two faces, of one on the rim, of one elsewhere, half-edges of crowded edges; area and three
        times the volume. [1, mm², mm³]
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    in_use = np.zeros(len(points), dtype=bool)
    in_use[exposed] = True
    used = np.flatnonzero(in_use)
    compact = np.full(len(points), -1, dtype=np.int64)
    compact[used] = np.arange(len(used))
    corners = compact[exposed]
    rows, columns = corners[:, :2].reshape(-1), corners[:, 1:].reshape(-1)
    graph = coo_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(len(used), len(used)))
    count, labels = connected_components(graph, directed=False)
    of_face = labels[corners[:, 0]]

    def counted(half_edges: Ints) -> Ints:
        return np.bincount(of_face[half_edges // 3], minlength=count)

    return np.stack([
        np.bincount(labels, minlength=count),
        np.bincount(of_face, minlength=count),
        counted(table.pairs[:, 0]),
        counted(table.single[on_rim]),
        counted(table.single[~on_rim]),
        counted(table.crowded),
        np.bincount(of_face, weights=np.linalg.norm(normals, axis=1), minlength=count),
        np.bincount(of_face, weights=np.einsum("ij,ij->i", points[exposed[:, 0]], normals), minlength=count),
    ], axis=1).astype(np.float64)  # fmt: skip
