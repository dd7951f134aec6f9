"""Read OFF: text, with or without colours and normals, which are passed over."""

from array import array
from collections.abc import Iterator
from typing import BinaryIO

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import refuse_too_many_faces
from jobs.geometry.mesh_limits import MAX_FACES
from jobs.geometry.off_header import OffHeader
from jobs.geometry.raw_mesh import RawMesh, checked_mesh, fan
from jobs.geometry.text_lines import numbers_of, text_lines, whole_number

_MOST_COLOUR_NUMBERS = 4
CUT_SHORT = "The OFF file ends before everything its header promises: it was cut short. Export the scan again."


def read_off(stream: BinaryIO, header: OffHeader) -> RawMesh:
    """Read the points and faces that the header declares, all of them or none."""
    stream.seek(header.start)
    rows = _rows(stream)
    points, corners = array("d"), array("q")
    polygons = 0
    for _ in range(header.vertices):
        number, words = _next(rows)
        values = numbers_of(words, number)
        # x y z, with a normal or a colour behind.
        if len(values) not in {3, 6, 7}:
            raise GeometryError(f"Line {number:,} of the OFF file's points does not hold three numbers. Export the scan again.")
        points.extend(values[:3])
    for _ in range(header.faces):
        number, words = _next(rows)
        polygon = _polygon(words, number)
        polygons += len(polygon) > 3
        for triangle in fan(polygon):
            corners.extend(triangle)
        if len(corners) > 3 * MAX_FACES:
            refuse_too_many_faces(len(corners) // 3)
    if next(rows, None) is not None:
        raise GeometryError("The OFF file holds more than its header promises: one of them is damaged. Export it again.")
    vertices = np.array(points, dtype=np.float64).reshape(-1, 3)
    return checked_mesh(vertices, np.array(corners, dtype=np.int64).reshape(-1, 3), polygons)


def _rows(stream: BinaryIO) -> Iterator[tuple[int, list[bytes]]]:
    for number, line in text_lines(stream):
        words = line.partition(b"#")[0].split()
        if words:
            yield number, words


def _next(rows: Iterator[tuple[int, list[bytes]]]) -> tuple[int, list[bytes]]:
    found = next(rows, None)
    if found is None:
        raise GeometryError(CUT_SHORT)
    return found


def _polygon(words: list[bytes], number: int) -> list[int]:
    count = whole_number(words[0], number)
    if count < 3:
        raise GeometryError(f"A face of the OFF file claims {count} corners: the file is damaged. Export the scan again.")
    if not count + 1 <= len(words) <= count + 1 + _MOST_COLOUR_NUMBERS:
        raise GeometryError(f"Line {number:,} of the OFF file's data is not a whole face: it is damaged. Export the scan again.")
    if len(words) > count + 1:
        numbers_of(words[count + 1 :], number)
    return [whole_number(word, number) for word in words[1 : count + 1]]
