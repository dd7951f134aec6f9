"""The header of a PLY file: its elements, and whether the file can hold what it promises."""

from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_FACES, MAX_VERTICES

_TYPES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2", "ushort": "u2",
    "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4", "float": "f4", "float32": "f4",
    "double": "f8", "float64": "f8",
}  # fmt: skip
_ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
CORNERS = ("vertex_indices", "vertex_index")
MAX_HEADER_LINES = 500
MAX_ELEMENTS = 20
BROKEN = "The PLY file's header cannot be read"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyProperty:
    """One column: `kind` is a numpy type code; `length_kind` is set for a list."""

    name: str
    kind: str
    length_kind: str | None = None

    @property
    def least_bytes(self) -> int:
        """Fewest bytes of one value in a binary file."""
        return int((self.length_kind or self.kind)[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyElement:
    """One table of the file."""

    name: str
    count: int
    properties: tuple[PlyProperty, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlyHeader:
    """`order` is "<", ">" or "" for text; the data begin at byte `start`."""

    order: str
    start: int
    elements: tuple[PlyElement, ...]

    def count(self, name: str) -> int:
        """Return how many rows of an element are declared."""
        return sum(element.count for element in self.elements if element.name == name)


def read_ply_header(head: bytes, size_bytes: int) -> PlyHeader:
    """Read a PLY header from the first bytes of a file, or refuse it with GeometryError."""
    end = head.find(b"end_header")
    stop = head.find(b"\n", end) if end >= 0 else -1
    if stop < 0:
        raise GeometryError(f"{BROKEN}: it has no end. Export the scan again.")
    try:
        lines = [line.split() for line in head[:end].decode("ascii").splitlines()[1:]]
    except UnicodeDecodeError:
        raise GeometryError(f"{BROKEN}: it is not plain text. Export the scan again.") from None
    if len(lines) > MAX_HEADER_LINES:
        raise GeometryError(f"{BROKEN}: it is too long. Export the scan again with coordinates only.")
    order, elements = _parse(lines)
    header = PlyHeader(order=order, start=stop + 1, elements=elements)
    _refuse_impossible(header, size_bytes)
    return header


def _parse(lines: list[list[str]]) -> tuple[str, tuple[PlyElement, ...]]:
    order: str | None = None
    tables: list[tuple[str, int, list[PlyProperty]]] = []
    for words in lines:
        match words:
            case [] | ["comment", *_] | ["obj_info", *_]:
                continue
            case ["format", name, _] if name in _ORDERS and order is None:
                order = _ORDERS[name]
            case ["element", name, count] if count.isdecimal() and len(count) <= 12:
                tables.append((name, int(count), []))
            case ["property", "list", length, kind, name] if tables and _are_types(length, kind) and length[0] not in "fd":
                tables[-1][2].append(PlyProperty(name=name, kind=_TYPES[kind], length_kind=_TYPES[length]))
            case ["property", kind, name] if tables and _are_types(kind):
                tables[-1][2].append(PlyProperty(name=name, kind=_TYPES[kind]))
            case _:
                raise GeometryError(f"{BROKEN}: the line “{' '.join(words)[:60]}” is not understood.")
    if order is None:
        raise GeometryError(f"{BROKEN}: it does not say whether the file is text or binary.")
    names = [name for name, _, _ in tables]
    if len(tables) > MAX_ELEMENTS or len(set(names)) != len(names):
        raise GeometryError(f"{BROKEN}: it lists too many tables, or one twice.")
    return order, tuple(PlyElement(name=n, count=c, properties=tuple(p)) for n, c, p in tables)


def _are_types(*names: str) -> bool:
    return all(name in _TYPES for name in names)


def _refuse_impossible(header: PlyHeader, size_bytes: int) -> None:
    vertices, faces = header.count("vertex"), header.count("face")
    if any(element.name == "tristrips" for element in header.elements):
        raise GeometryError("The PLY file holds strips of triangles, which are not read. Export the scan with plain faces.")
    if vertices == 0 or faces == 0:
        raise GeometryError("The PLY file holds no triangles (a point cloud?). Export the scan as a mesh with faces.")
    if vertices > MAX_VERTICES or faces > MAX_FACES:
        raise GeometryError(
            f"The PLY file's header promises {vertices:,} points and {faces:,} faces; up to {MAX_VERTICES:,} and "
            f"{MAX_FACES:,} can be read. Reduce the mesh in the scanning program."
        )
    least = 0
    for element in header.elements:
        each = sum(2 if header.order == "" else column.least_bytes for column in element.properties)
        corners = next((c for c in element.properties if c.name in CORNERS and c.length_kind), None)
        if element.name == "face" and corners is not None:
            # A face has at least three corners.
            each += 3 * (2 if header.order == "" else int(corners.kind[1]))
        least += element.count * each
    # The last number of a text file may lack its line end.
    if size_bytes - header.start < least - 1:
        raise GeometryError(
            f"The PLY file's header promises {vertices:,} points and {faces:,} faces, but the file is too small for "
            "them: it was cut short or its header lies. Export the scan again."
        )
