"""Read OBJ: points and faces alone. Material files and pictures that it names are never opened."""

from array import array
from collections.abc import Iterator
from typing import BinaryIO

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import refuse_too_many_faces
from jobs.geometry.mesh_limits import MAX_FACES, MAX_LINE_BYTES, MAX_VERTICES
from jobs.geometry.raw_mesh import RawMesh, checked_mesh, fan
from jobs.geometry.text_lines import numbers_of, text_lines, whole_number

# Keywords without bearing on the surface. An unknown one is refused: a damaged “v” would shift every face.
_PASSED_OVER = frozenset(
    {b"vn", b"vt", b"vp", b"o", b"g", b"s", b"usemtl", b"mtllib", b"usemap", b"maplib", b"l", b"p", b"mg", b"lod",
     b"shadow_obj", b"trace_obj", b"bevel", b"c_interp", b"d_interp"}
)  # fmt: skip
_FREE_FORM = frozenset({b"cstype", b"deg", b"surf", b"curv", b"curv2", b"parm", b"trim", b"hole", b"con", b"end"})


def read_obj(stream: BinaryIO, *, compiled: bool = False) -> RawMesh:
    """Read an OBJ file."""
    stream.seek(0)
    if compiled:
        from jobs.geometry.engine.texts import fast_obj

        found = fast_obj(stream.read())
        if found is not None:
            return checked_mesh(*found)
    return _read_lines(stream)


def _read_lines(stream: BinaryIO) -> RawMesh:
    stream.seek(0)
    points, corners = array("d"), array("q")
    polygons = 0
    for number, words in _statements(stream):
        word = words[0]
        if word == b"v":
            points.extend(_point(words[1:], number))
        elif word == b"f":
            polygon = _corners(words[1:], len(points) // 3, number)
            polygons += len(polygon) > 3
            for triangle in fan(polygon):
                corners.extend(triangle)
        elif word in _FREE_FORM:
            raise GeometryError("The OBJ file holds curved surfaces, not triangles. Export the model as a mesh.")
        elif word not in _PASSED_OVER:
            raise GeometryError(f"Line {number:,} of the OBJ file is not understood: it is damaged. Export it again.")
        if len(corners) > 3 * MAX_FACES:
            refuse_too_many_faces(len(corners) // 3)
        if len(points) > 3 * MAX_VERTICES:
            raise GeometryError(f"The OBJ file has more than {MAX_VERTICES:,} points. Reduce the mesh and try again.")
    vertices = np.array(points, dtype=np.float64).reshape(-1, 3)
    return checked_mesh(vertices, np.array(corners, dtype=np.int64).reshape(-1, 3), polygons)


def _statements(stream: BinaryIO) -> Iterator[tuple[int, list[bytes]]]:
    """Yield (number of its last line, words) of every statement; a stroke at a line's end carries it on in the next."""
    begun: list[bytes] = []
    size = 0
    goes_on = False
    for number, line in text_lines(stream):
        if line.startswith(b"#") and not goes_on:
            continue
        goes_on = line.endswith(b"\\")
        words = (line[:-1] if goes_on else line).split()
        begun += words
        size += sum(map(len, words))
        if size > MAX_LINE_BYTES:
            raise GeometryError(f"The statement that ends in line {number:,} is too long: the file is damaged.")
        if begun and not goes_on:
            yield number, begun
            begun = []
            size = 0
    if goes_on:
        raise GeometryError("The OBJ file ends where its last line should go on: it was cut short. Export the scan again.")


def _point(words: list[bytes], number: int) -> list[float]:
    values = numbers_of(words, number)
    # x y z, with a weight, a colour, or both behind.
    if len(values) not in {3, 4, 6, 7} or (len(values) == 4 and values[3] != 1.0):
        raise GeometryError(f"Line {number:,} of the OBJ file is not a point of three numbers. Export the scan again.")
    return values[:3]


def _corners(words: list[bytes], count: int, number: int) -> list[int]:
    polygon = []
    for word in words:
        index = whole_number(word.partition(b"/")[0], number)
        if index == 0 or index < -count:
            raise GeometryError(f"Line {number:,} of the OBJ file refers to a point that does not exist.")
        polygon.append(index - 1 if index > 0 else count + index)
    if len(polygon) < 3:
        raise GeometryError(f"Line {number:,} of the OBJ file is a face of fewer than three corners.")
    return polygon
