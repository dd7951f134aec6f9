"""The heavy steps of measuring a mesh, plain; `engine.steps` has the same ones compiled."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from jobs.geometry.mesh_base import low_faces
from jobs.geometry.mesh_edges import EdgeTable, bend_over_pairs, edge_table, half_edge_vectors
from jobs.geometry.mesh_parts import part_rows
from jobs.geometry.mesh_turns import turned_over
from jobs.geometry.mesh_weld import weld
from jobs.geometry.raw_mesh import Bools, Doubles, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshSteps:
    """What measuring a mesh is made of; every set of steps gives the same numbers, some sooner.

    Attributes
    ----------
    weld : callable
        Points and faces to distinct points and the faces on them.
    edges : callable
        Faces and the number of points to an `EdgeTable`.
    sums : callable
        Points, faces and a place to (area, volume seen from there, volume above z = 0). [mm², mm³, mm³]
    low : callable
        Points, faces and a height to the faces that lie below it looking down, and the plan they cover. [mm²]
    bends : callable
        Points, faces, pairs and flipped to (bend outside, bend inside, length of the pairs). [mm]
    parts : callable
        Points, faces, edge table and marks of single half-edges on the rim to a row of sums for each part.
    turned : callable
        Points, faces and edge table to the faces that must be turned for neighbours to agree.
    """

    weld: Callable[[Floats, Ints], tuple[Doubles, Ints]]
    edges: Callable[[Ints, int], EdgeTable]
    sums: Callable[[Doubles, Ints, Doubles], tuple[float, float, float]]
    low: Callable[[Doubles, Ints, float], tuple[Bools, float]]
    bends: Callable[[Doubles, Ints, Ints, Bools], tuple[float, float, float]]
    parts: Callable[[Doubles, Ints, EdgeTable, Bools], Doubles]
    turned: Callable[[Doubles, Ints, EdgeTable], Bools]


def area_vectors(points: Doubles, faces: Ints) -> Doubles:
    """Outward normals as long as their triangle's area, (m, 3)."""
    a = points[faces[:, 0]]
    vectors: Doubles = 0.5 * np.cross(points[faces[:, 1]] - a, points[faces[:, 2]] - a)
    return vectors


def _sums(points: Doubles, faces: Ints, place: Doubles) -> tuple[float, float, float]:
    normals = area_vectors(points, faces)
    volume = float(np.einsum("ij,ij->", points[faces[:, 0]] - place, normals)) / 3
    above = float((normals[:, 2] * points[faces, 2].mean(axis=1)).sum())
    return float(np.linalg.norm(normals, axis=1).sum()), volume, above


def _low(points: Doubles, faces: Ints, height: float) -> tuple[Bools, float]:
    return low_faces(points, faces, area_vectors(points, faces), height)


def _bends(points: Doubles, faces: Ints, pairs: Ints, flipped: Bools) -> tuple[float, float, float]:
    outside, inside = bend_over_pairs(points, faces, area_vectors(points, faces), pairs, flipped)
    return outside, inside, float(np.linalg.norm(half_edge_vectors(points, faces, pairs[:, 0]), axis=1).sum())


def _parts(points: Doubles, faces: Ints, table: EdgeTable, on_rim: Bools) -> Doubles:
    return part_rows(points, faces, area_vectors(points, faces), table, on_rim)


def _turned(points: Doubles, faces: Ints, table: EdgeTable) -> Bools:
    return turned_over(np.linalg.norm(area_vectors(points, faces), axis=1), table)


PLAIN = MeshSteps(weld=weld, edges=edge_table, sums=_sums, low=_low, bends=_bends, parts=_parts, turned=_turned)
