"""The first lines of an OFF file: its kind and counts, and whether the file can hold them."""

import re
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_FACES, MAX_VERTICES

_START = re.compile(rb"(ST)?(C)?(N)?(4)?(n)?OFF(?![A-Za-z0-9])")
_SPACE = rb"(?:\s|#[^\r\n]*[\r\n])"
_COUNTS = re.compile(_SPACE + rb"*(\d{1,12})[ \t]+(\d{1,12})(?:[ \t]+\d{1,12})?[ \t]*(?=[\r\n]|#)")
# The shortest point is “0 0 0” and the shortest face “3 0 0 0”, with their line ends.
_POINT_BYTES, _FACE_BYTES = 6, 8


@dataclass(frozen=True, slots=True, kw_only=True)
class OffHeader:
    """What the file declares; points and faces begin at byte `start`."""

    vertices: int
    faces: int
    start: int


def is_off(text: bytes) -> bool:
    """Say whether a file begins as OFF files do."""
    return _START.match(text) is not None


def read_off_header(head: bytes, size_bytes: int) -> OffHeader:
    """Read the header from the first bytes of a file, or refuse it with GeometryError."""
    skipped = len(head) - len(head.removeprefix(b"\xef\xbb\xbf").lstrip())
    found = _START.match(head, skipped)
    if found is None or found[4] or found[5] or head[found.end() :].lstrip(b" \t")[:6].upper() == b"BINARY":
        raise GeometryError("The OFF file is of a kind that is not read (binary, or of four dimensions). Export it as STL.")
    counts = _COUNTS.match(head, found.end())
    if counts is None:
        raise GeometryError("The OFF file does not say how many points and faces it holds: it is damaged. Export it again.")
    header = OffHeader(vertices=int(counts[1]), faces=int(counts[2]), start=counts.end())
    if header.vertices == 0 or header.faces == 0:
        raise GeometryError("The OFF file holds no triangles (a point cloud?). Export the scan as a mesh with faces.")
    promise = f"The OFF file's header promises {header.vertices:,} points and {header.faces:,} faces"
    if header.vertices > MAX_VERTICES or header.faces > MAX_FACES:
        raise GeometryError(
            f"{promise}; up to {MAX_VERTICES:,} and {MAX_FACES:,} can be read. Reduce the mesh in the scanning program."
        )
    if size_bytes - header.start < _POINT_BYTES * header.vertices + _FACE_BYTES * header.faces:
        raise GeometryError(
            f"{promise}, but the file is too small for them: it was cut short or its header lies. Export the scan again."
        )
    return header
