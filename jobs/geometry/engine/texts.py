"""Read mesh files with compiled kernels: each function gives None where the file is odd, and the plain readers say why."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_obj import read_obj_lines
from jobs.geometry.engine.kernel_ply import read_binary_rows, read_text_rows
from jobs.geometry.engine.kernel_stl_text import read_facets
from jobs.geometry.mesh_limits import MAX_FACES, MAX_LINE_BYTES, MAX_VERTICES
from jobs.geometry.ply_header import CORNERS, PlyElement, PlyHeader
from jobs.geometry.raw_mesh import Doubles, Floats, Ints

_MARK = b"\xef\xbb\xbf"
# Fewest bytes: of a facet in a text STL; of a point or a further corner of a face in an OBJ.
_FACET_TEXT, _POINT_TEXT, _CORNER_TEXT = 68, 8, 2


def fast_text_stl(data: bytes) -> Doubles | None:
    """Return the corners (3 m, 3) of a text STL, three a facet."""
    room = min(len(data) // _FACET_TEXT + 1, MAX_FACES)
    corners = np.empty((3 * room, 3))
    status, filled = read_facets(_bytes(data), corners, MAX_LINE_BYTES)
    return corners[:filled] if status else None


def fast_obj(data: bytes) -> tuple[Doubles, Ints, int] | None:
    """Return points (n, 3), triangles (m, 3) and how many polygons were split."""
    points = np.empty((min(len(data) // _POINT_TEXT + 1, MAX_VERTICES), 3))
    faces = np.empty((min(len(data) // _CORNER_TEXT + 1, MAX_FACES), 3), dtype=np.int64)
    status, n, m, polygons = read_obj_lines(_bytes(data), points, faces, MAX_LINE_BYTES)
    return (points[:n], faces[:m], int(polygons)) if status else None


def fast_text_ply(data: bytes, header: PlyHeader) -> tuple[Floats, Ints, int] | None:
    """Return points, triangles and split polygons of a text PLY; `data` is the whole file."""
    view = np.frombuffer(data, dtype=np.uint8)
    points = np.empty((header.count("vertex"), 3))
    faces = np.empty((_room_for_faces(header, len(data) - header.start, 2), 3), dtype=np.int64)
    at, filled, polygons = header.start, 0, 0
    for element in header.elements:
        columns = element.properties
        is_list = np.array([column.length_kind is not None for column in columns], dtype=np.bool_)
        roles = _roles(element)
        if roles is None:
            return None
        status, at, m, split = read_text_rows(
            view, at, element.count, is_list, roles, points, faces, filled, MAX_LINE_BYTES
        )  # fmt: skip
        if not status:
            return None
        if element.name == "face":
            filled, polygons = m, int(split)
    if data[at:].strip():
        return None
    return points, faces[:filled], polygons


def fast_ply_rows(data: bytes, at: int, element: PlyElement, order: str) -> tuple[Ints, int, int] | None:
    """Walk over one table of a binary PLY; returns its triangles, if it is that of the faces, split polygons, and its end."""
    columns, roles = element.properties, _roles(element)
    if roles is None:
        return None
    most = 1
    if element.name == "face":
        width = next(int(column.kind[1]) for column, role in zip(columns, roles, strict=True) if role == 3)
        most = min(max((len(data) - at) // width, 1), MAX_FACES)
    faces = np.empty((most, 3), dtype=np.int64)
    status, end, m, polygons = read_binary_rows(
        np.frombuffer(data, dtype=np.uint8), at, element.count,
        _whole_numbers(int(column.kind[1]) for column in columns),
        _whole_numbers(int(column.length_kind[1]) if column.length_kind else 0 for column in columns),
        _flags(bool(column.length_kind) and str(column.length_kind)[0] == "i" for column in columns),
        _flags(column.kind[0] == "i" for column in columns),
        roles, order == ">", faces,
    )  # fmt: skip
    return (faces[:m], int(polygons), int(end)) if status else None


def _room_for_faces(header: PlyHeader, left_bytes: int, corner_bytes: int) -> int:
    return int(min(max(left_bytes // corner_bytes, header.count("face")), MAX_FACES))


def _roles(element: PlyElement) -> NDArray[np.int64] | None:
    """Say what each column is for; None where it is not clear, or where it is no list or number as it should be."""
    roles = np.full(len(element.properties), -1, dtype=np.int64)
    if element.name == "vertex":
        for i, column in enumerate(element.properties):
            if column.name in {"x", "y", "z"}:
                if column.length_kind:
                    return None
                roles[i] = "xyz".index(column.name)
        return roles if sorted(roles[roles >= 0]) == [0, 1, 2] else None
    if element.name == "face":
        for i, column in enumerate(element.properties):
            if column.name in CORNERS and column.length_kind and column.kind[0] in "iu":
                roles[i] = 3
                return roles
        return None
    return roles


def _bytes(data: bytes) -> NDArray[np.uint8]:
    return np.frombuffer(data.removeprefix(_MARK) if data.startswith(_MARK) else data, dtype=np.uint8)


def _whole_numbers(values: Iterable[int]) -> NDArray[np.int64]:
    return np.array(list(values), dtype=np.int64)


def _flags(values: Iterable[bool]) -> NDArray[np.bool_]:
    return np.array(list(values), dtype=np.bool_)
