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


def parts_of(points: Doubles, exposed: Ints, normals: Doubles, table: EdgeTable, on_rim: Bools) -> Parts:
    """Find the connected surfaces and sum 2πχ/3 over them.

    Notes
    -----
    χ = V − E + F of each surface, its rim on the board included: 2 for a ball, 1 for a dome on a board, 0 for a ring. A
    surface with holes, or with edges that more than two faces share, has no meaningful χ: it counts as a ball or dome.
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
    faces = np.bincount(of_face, minlength=count)
    area = np.bincount(of_face, weights=np.linalg.norm(normals, axis=1), minlength=count)
    volume = np.bincount(of_face, weights=np.einsum("ij,ij->i", points[exposed[:, 0]], normals), minlength=count)
    crowded_face = table.crowded // 3
    crowded = np.bincount(of_face[crowded_face], minlength=count)
    rim = np.bincount(of_face[table.single[on_rim] // 3], minlength=count)
    holes = np.bincount(of_face[table.single[~on_rim] // 3], minlength=count)
    pairs = np.bincount(of_face[table.pairs[:, 0] // 3], minlength=count)
    euler = np.bincount(labels, minlength=count) - (pairs + rim + holes) + faces
    plain = np.where(rim > 0, 1, 2)
    flawed = (crowded > 0) | (holes > 0) | (euler < 2 - 2 * MOST_HANDLES)
    debris = area < DEBRIS_SHARE * area.sum()
    taken = np.where(flawed, plain, euler)[~debris]
    missing = np.where(flawed & (crowded == 0) & (holes == 0), plain - euler, 0)
    crowded_edges = table.count - len(table.pairs) - len(table.single)
    whole_euler = len(used) - (len(table.pairs) + len(table.single) + crowded_edges) + len(exposed)
    return Parts(
        count=int(count),
        debris=int(np.count_nonzero(debris)),
        inward=int(np.count_nonzero((volume < 0) & (rim == 0) & (holes == 0) & ~debris)),
        handles=int(missing[~debris].sum() // 2),
        cube=2 * math.pi / 3 * float(taken.sum()),
        euler=int(whole_euler),
    )
