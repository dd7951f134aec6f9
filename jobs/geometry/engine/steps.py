"""The heavy steps of measuring a mesh, compiled; `mesh_steps` says what each one is."""

from typing import Any

import numpy as np

from jobs.geometry.engine.kernel_surface import (
    face_areas,
    face_sums,
    low_faces,
    pair_sums,
    part_rows,
    parts_in_use,
    turned_over,
)
from jobs.geometry.engine.soup import edge_table_fast, weld_fast
from jobs.geometry.mesh_base import DOWN
from jobs.geometry.mesh_edges import EdgeTable
from jobs.geometry.mesh_steps import MeshSteps
from jobs.geometry.mesh_turns import EVEN
from jobs.geometry.raw_mesh import Bools, Doubles, Ints


def _sums(points: Doubles, faces: Ints, place: Doubles) -> tuple[float, float, float]:
    x, y, z = (float(number) for number in place)
    area, volume, above = (float(total) for total in face_sums(*_plain(points, faces), x, y, z).sum(axis=0))
    return area, volume, above


def _low(points: Doubles, faces: Ints, height: float) -> tuple[Bools, float]:
    marks = np.empty(len(faces), np.bool_)
    return marks, float(low_faces(*_plain(points, faces), height, DOWN, marks).sum())


def _bends(points: Doubles, faces: Ints, pairs: Ints, flipped: Bools) -> tuple[float, float, float]:
    outside, inside, length = (float(total) for total in pair_sums(*_plain(points, faces), pairs, flipped).sum(axis=0))
    return outside, inside, length


def _parts(points: Doubles, faces: Ints, table: EdgeTable, on_rim: Bools) -> Doubles:
    points, faces = _plain(points, faces)
    label, count = parts_in_use(faces, len(points))
    rows: Doubles = part_rows(points, faces, label, count, table.pairs, table.single, on_rim, table.crowded)
    return rows


def _turned(points: Doubles, faces: Ints, table: EdgeTable) -> Bools:
    if not table.flipped.any():
        return np.zeros(len(faces), np.bool_)
    marks: Bools = turned_over(len(faces), table.pairs, table.flipped, face_areas(*_plain(points, faces)), EVEN)
    return marks


def _plain(points: Doubles, faces: Ints) -> tuple[Any, Any]:
    # One type alone, so that one compiled kernel serves all.
    return np.ascontiguousarray(points, dtype=np.float64), np.ascontiguousarray(faces, dtype=np.int64)


COMPILED = MeshSteps(weld=weld_fast, edges=edge_table_fast, sums=_sums, low=_low, bends=_bends, parts=_parts, turned=_turned)
