"""Read STL, binary and text."""

import mmap
from array import array
from typing import BinaryIO

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import STL_HEADER_BYTES, refuse_too_many_faces
from jobs.geometry.mesh_limits import MAX_FACES
from jobs.geometry.raw_mesh import RawMesh, checked_mesh, refuse_bad_points, refuse_odd_extents
from jobs.geometry.text_lines import numbers_of, text_lines

_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
# Between two facets these may stand, in this order, each at most once a facet.
_AFTER = {
    b"solid": {b"facet", b"endsolid"},
    b"facet": {b"outer"},
    b"outer": {b"vertex"},
    b"endloop": {b"endfacet"},
    b"endfacet": {b"facet", b"endsolid"},
    b"endsolid": {b"solid"},
}


def read_binary_stl(stream: BinaryIO, faces: int, *, compiled: bool = False) -> RawMesh:
    """Read a binary STL whose header promises `faces` triangles; the compiled way welds it too."""
    size = faces * _FACET.itemsize
    data: bytes | memoryview = (_mapped(stream, size) if compiled else None) or b""
    if not data:
        stream.seek(STL_HEADER_BYTES)
        data = stream.read(size)
    if len(data) != size:
        raise GeometryError(f"Of {faces:,} triangles only {len(data) // _FACET.itemsize:,} could be read. Export it again.")
    if compiled:
        return _welded_stl(data)
    facets = np.frombuffer(data, dtype=_FACET)
    corners = np.ascontiguousarray(facets["corners"]).reshape(-1, 3)
    return checked_mesh(corners, np.arange(3 * faces, dtype=np.int64).reshape(-1, 3))


def _mapped(stream: BinaryIO, size: int) -> memoryview | None:
    """Look at the facets where they lie in a file on the disk, without a copy; None where the stream is no such file."""
    try:
        return memoryview(mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ))[STL_HEADER_BYTES : STL_HEADER_BYTES + size]
    except (OSError, ValueError):
        return None


def _welded_stl(data: bytes | memoryview) -> RawMesh:
    from jobs.geometry.engine.soup import weld_stl

    vertices, corners, bad = weld_stl(data)
    refuse_bad_points(bad, 3 * len(corners))
    refuse_odd_extents(vertices)
    return RawMesh(vertices=vertices, faces=corners, welded=True)


def read_text_stl(stream: BinaryIO, *, compiled: bool = False) -> RawMesh:
    """Read a text STL; every facet must be whole."""
    stream.seek(0)
    if compiled:
        from jobs.geometry.engine.texts import fast_text_stl

        found = fast_text_stl(stream.read())
        if found is not None:
            return checked_mesh(found, np.arange(len(found), dtype=np.int64).reshape(-1, 3))
    return _read_lines(stream)


def _read_lines(stream: BinaryIO) -> RawMesh:
    stream.seek(0)
    corners = array("d")
    before, in_loop, last, words = b"", 0, 0, []
    for last, line in text_lines(stream):
        words = line.split()
        word = words[0].lower()
        if word == b"vertex":
            if before not in {b"outer", b"vertex"} or len(words) != 4:
                raise _broken(last)
            corners.extend(numbers_of(words[1:], last))
            in_loop += 1
        elif word == b"endloop":
            if before != b"vertex" or in_loop != 3:
                raise _broken(last)
            in_loop = 0
        elif word not in _AFTER.get(before, {b"solid"}):
            raise _broken(last)
        before = word
        if len(corners) > 9 * MAX_FACES:
            refuse_too_many_faces(len(corners) // 9)
    if before != b"endsolid":
        raise GeometryError("The text STL ends in the middle: it was cut short. Export the scan again.")
    points = np.frombuffer(corners, dtype=np.float64).reshape(-1, 3) if corners else np.empty((0, 3))
    return checked_mesh(points, np.arange(len(points), dtype=np.int64).reshape(-1, 3))


def _broken(number: int) -> GeometryError:
    return GeometryError(f"Line {number:,} of the text STL is not where it belongs: the file is damaged. Export the scan again.")
