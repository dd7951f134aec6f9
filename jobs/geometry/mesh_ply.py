"""Read PLY: text, and binary of both byte orders."""

import struct
from typing import BinaryIO

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import refuse_too_many_faces
from jobs.geometry.mesh_limits import MAX_FACES
from jobs.geometry.ply_header import CORNERS, PlyElement, PlyHeader
from jobs.geometry.raw_mesh import Floats, Ints, RawMesh, checked_mesh, fan
from jobs.geometry.text_lines import finite_whole, numbers_of, text_lines

_CODES = {"i1": "b", "u1": "B", "i2": "h", "u2": "H", "i4": "i", "u4": "I", "f4": "f", "f8": "d"}
CUT_SHORT = "The PLY file ends before everything its header promises: it was cut short. Export the scan again."


def read_ply(stream: BinaryIO, header: PlyHeader, *, compiled: bool = False) -> RawMesh:
    """Read the points and faces that the header declares, all of them or none."""
    if header.order:
        stream.seek(header.start)
        return _read_binary(stream.read(), header, compiled=compiled)
    if compiled:
        from jobs.geometry.engine.texts import fast_text_ply

        stream.seek(0)
        found = fast_text_ply(stream.read(), header)
        if found is not None:
            return checked_mesh(*found)
    stream.seek(header.start)
    return _read_text(stream, header)


def _read_binary(data: bytes, header: PlyHeader, *, compiled: bool) -> RawMesh:
    offset = 0
    points: Floats | None = None
    faces: Ints | None = None
    polygons = 0
    for element in header.elements:
        if element.name == "face":
            faces, polygons, offset = _binary_faces(data, offset, element, header.order, compiled=compiled)
        elif any(column.length_kind for column in element.properties):
            if element.name == "vertex":
                raise GeometryError("The PLY file's points carry lists, which are not read. Export the scan as STL.")
            _, _, offset = _walk(data, offset, element, header.order, compiled=compiled)
        else:
            # Columns by number: two of one name must not break the table.
            row = np.dtype([(f"f{i}", header.order + c.kind) for i, c in enumerate(element.properties)])
            end = offset + row.itemsize * element.count
            if end > len(data):
                raise GeometryError(CUT_SHORT)
            if element.name == "vertex":
                table = np.frombuffer(data, dtype=row, count=element.count, offset=offset)
                axes = [table[f"f{i}"] for i in _axes(element)]
                kind = np.float32 if all(axis.dtype.kind == "f" and axis.itemsize == 4 for axis in axes) else np.float64
                points = np.stack(axes, axis=1).astype(kind)
            offset = end
    if points is None or faces is None:
        raise GeometryError("The PLY file holds no triangles. Export the scan as a mesh with faces.")
    if data[offset:].strip():
        raise GeometryError("The PLY file holds more than its header promises: one of them is damaged. Export it again.")
    return checked_mesh(points, faces, polygons)


def _binary_faces(data: bytes, offset: int, element: PlyElement, order: str, *, compiled: bool) -> tuple[Ints, int, int]:
    """Read faces of one corner count in one sweep, others one by one; returns faces, polygons split, new offset."""
    at = _corner_column(element)
    columns = element.properties
    if sum(c.length_kind is not None for c in columns) == 1:
        length = np.frombuffer(data, dtype=order + str(columns[at].length_kind), count=1,
                               offset=offset + sum(int(c.kind[1]) for c in columns[:at]))  # fmt: skip
        corners = int(length[0])
        if 3 <= corners <= 4:
            row = np.dtype([
                part
                for i, c in enumerate(columns)
                for part in (
                    [(f"n{i}", order + c.length_kind), (f"f{i}", order + c.kind, corners)]
                    if c.length_kind
                    else [(f"f{i}", order + c.kind)]
                )
            ])  # fmt: skip
            end = offset + row.itemsize * element.count
            if end <= len(data):
                table = np.frombuffer(data, dtype=row, count=element.count, offset=offset)
                if (table[f"n{at}"] == corners).all():
                    return _split(table[f"f{at}"].astype(np.int64)), element.count * (corners > 3), end
    return _walk(data, offset, element, order, compiled=compiled)


def _split(corners: Ints) -> Ints:
    if corners.shape[1] == 4:
        refuse_too_many_faces(2 * len(corners))
        return np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])
    return corners


def _walk(data: bytes, offset: int, element: PlyElement, order: str, *, compiled: bool) -> tuple[Ints, int, int]:
    """Go over a table with lists row by row; returns triangles, if it is that of the faces, polygons split, and its end."""
    if compiled:
        from jobs.geometry.engine.texts import fast_ply_rows

        found = fast_ply_rows(data, offset, element, order)
        if found is not None:
            return found
    return _walk_plainly(data, offset, element, order)


def _walk_plainly(data: bytes, offset: int, element: PlyElement, order: str) -> tuple[Ints, int, int]:
    at = _corner_column(element) if element.name == "face" else -1
    triangles: list[tuple[int, int, int]] = []
    polygons = 0
    try:
        for _ in range(element.count):
            for i, column in enumerate(element.properties):
                length = 1
                if column.length_kind:
                    (length,) = struct.unpack_from(order + _CODES[column.length_kind], data, offset)
                    offset += int(column.length_kind[1])
                width = int(column.kind[1]) * length
                if i == at:
                    if length < 3 or offset + width > len(data):
                        raise GeometryError(_face_message(length) if length < 3 else CUT_SHORT)
                    polygon = [int(v) for v in struct.unpack_from(f"{order}{length}{_CODES[column.kind]}", data, offset)]
                    triangles.extend(fan(polygon))
                    polygons += length > 3
                if length < 0:
                    raise GeometryError(_face_message(length))
                offset += width
            if len(triangles) > MAX_FACES:
                refuse_too_many_faces(len(triangles))
            if offset > len(data):
                raise GeometryError(CUT_SHORT)
    except struct.error:
        raise GeometryError(CUT_SHORT) from None
    return np.array(triangles, dtype=np.int64).reshape(-1, 3), polygons, offset


def _face_message(length: int) -> str:
    return f"A face of the PLY file claims {length} corners: the file is damaged. Export the scan again."


def _axes(element: PlyElement) -> tuple[int, ...]:
    names = [column.name for column in element.properties]
    if sorted(name for name in names if name in {"x", "y", "z"}) != ["x", "y", "z"]:
        raise GeometryError("The PLY file's points have no x, y and z. Export the scan again.")
    return tuple(names.index(axis) for axis in "xyz")


def _corner_column(element: PlyElement) -> int:
    for i, column in enumerate(element.properties):
        if column.name in CORNERS and column.length_kind and column.kind[0] in "iu":
            return i
    raise GeometryError("The PLY file's faces do not list their corners. Export the scan again.")


def _read_text(stream: BinaryIO, header: PlyHeader) -> RawMesh:
    points: list[list[float]] = []
    triangles: list[tuple[int, int, int]] = []
    polygons = 0
    lines = text_lines(stream)
    for element in header.elements:
        axes = _axes(element) if element.name == "vertex" else ()
        at = _corner_column(element) if element.name == "face" else 0
        for _ in range(element.count):
            number, line = next(lines, (0, b""))
            if not line:
                raise GeometryError(CUT_SHORT)
            values = _row(element, numbers_of(line.split(), number), number)
            if element.name == "vertex":
                points.append([values[i][0] for i in axes])
            elif element.name == "face":
                polygon = [finite_whole(value, number) for value in values[at]]
                if len(polygon) < 3:
                    raise GeometryError(_face_message(len(polygon)))
                triangles.extend(fan(polygon))
                polygons += len(polygon) > 3
                if len(triangles) > MAX_FACES:
                    refuse_too_many_faces(len(triangles))
    if next(lines, None) is not None:
        raise GeometryError("The PLY file holds more than its header promises: one of them is damaged. Export it again.")
    faces = np.array(triangles, dtype=np.int64).reshape(-1, 3)
    return checked_mesh(np.array(points, dtype=np.float64), faces, polygons)


def _row(element: PlyElement, numbers: list[float], line: int) -> list[list[float]]:
    """Deal one line's numbers out to the columns; the line must hold exactly what they need."""
    values: list[list[float]] = []
    at = 0
    for column in element.properties:
        length = 1
        if column.length_kind:
            length = finite_whole(numbers[at], line) if at < len(numbers) else -1
            at += 1
        if length < 0 or at + length > len(numbers):
            raise GeometryError(f"Line {line:,} of the PLY file is not whole: it is damaged. Export the scan again.")
        values.append(numbers[at : at + length])
        at += length
    if at != len(numbers):
        raise GeometryError(f"Line {line:,} of the PLY file holds too many numbers: it is damaged. Export it again.")
    return values
