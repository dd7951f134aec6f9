"""One model part of a 3MF file: its objects and what it builds of them, read as the XML streams by.

References
----------
Published: 3MF Consortium, 3D Manufacturing Format, core specification 1.3 and production extension 1.1.
"""

from array import array
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from xml.sax import SAXException
from xml.sax.handler import ContentHandler

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_FACES, MAX_VERTICES
from jobs.geometry.placing import refuse_too_many
from jobs.geometry.raw_mesh import Doubles, Floats, Ints

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
_MATERIAL = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
# Millimetres in a unit (inch and foot: NIST SP 811, exact).
MM_PER_UNIT: Mapping[str, float] = {
    "micron": 0.001, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0,
}  # fmt: skip
_MOST_OBJECTS = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """An object used in another or in the build; `part` names another model part, or is empty for this one."""

    part: str
    number: int
    matrix: Doubles


@dataclass(slots=True, kw_only=True)
class ModelObject:
    """A mesh, or other objects put together; only those of kind “model” are a piece."""

    kind: str
    points: "array[float]" = field(default_factory=lambda: array("d"))
    corners: "array[int]" = field(default_factory=lambda: array("q"))
    uses: list[Use] = field(default_factory=list)

    def mesh(self) -> tuple[Floats, Ints]:
        """Return points (n, 3) and faces (m, 3)."""
        return (
            np.array(self.points, dtype=np.float64).reshape(-1, 3),
            np.array(self.corners, dtype=np.int64).reshape(-1, 3),
        )


@dataclass(slots=True, kw_only=True)
class Model:
    """What a model part holds."""

    unit: str = "millimeter"
    objects: dict[int, ModelObject] = field(default_factory=dict)
    build: list[Use] = field(default_factory=list)


def read_model(pieces: Iterable[bytes]) -> Model:
    """Read a model part from the pieces of its XML.

    Raises
    ------
    GeometryError
        When the XML is damaged or unsafe, or means something that is not read.
    """
    reader = _Reader()
    parse(pieces, reader)
    if not reader.names:
        raise damaged("it holds no model")
    return reader.model


def parse(pieces: Iterable[bytes], handler: ContentHandler) -> None:
    """Stream XML into a handler, with entities and document types refused."""
    from defusedxml.common import DefusedXmlException
    from defusedxml.expatreader import DefusedExpatParser

    parser = DefusedExpatParser(forbid_dtd=True)
    parser.setContentHandler(handler)
    try:
        for piece in pieces:
            parser.feed(piece)
        parser.close()
    except DefusedXmlException:
        raise GeometryError("The 3MF file's XML defines entities, which a scan never does. Export the scan again.") from None
    except (SAXException, UnicodeError, LookupError):
        raise damaged("its XML is not well formed") from None


def damaged(what: str) -> GeometryError:
    """Return the refusal of a file that makes no sense."""
    return GeometryError(f"The 3MF file is damaged: {what}. Export the scan again.")


class _Reader(ContentHandler):
    """Follows the core elements by the names that they have in this file; those of other namespaces are passed over."""

    def __init__(self) -> None:
        super().__init__()
        self.model = Model()
        self.names: dict[str, str] = {}
        self._object: ModelObject | None = None
        self._vertex = self._triangle = self._path = ""
        self._in_mesh = self._in_build = False

    def startElement(self, name: str, attrs: Any) -> None:
        if name == self._vertex:
            self._add_vertex(attrs)
        elif name == self._triangle:
            self._add_triangle(attrs)
        elif not self.names:
            self._start(name, attrs)
        elif (known := self.names.get(name)) is not None:
            self._enter(known, attrs)

    def endElement(self, name: str) -> None:
        known = self.names.get(name)
        if known == "object":
            self._object = None
        elif known == "mesh":
            self._in_mesh = False
        elif known == "build":
            self._in_build = False

    def _start(self, name: str, attrs: Any) -> None:
        spaces = {key.partition(":")[2]: value for key, value in attrs.items() if key == "xmlns" or key.startswith("xmlns:")}
        prefix, _, short = name.rpartition(":")
        if short != "model" or spaces.get(prefix) != CORE:
            raise damaged("its first element is not that of a 3MF model")
        lead = f"{prefix}:" if prefix else ""
        self.names = {lead + word: word for word in ("model", "object", "mesh", "component", "components", "build", "item")}
        self._vertex, self._triangle = f"{lead}vertex", f"{lead}triangle"
        self._path = next((f"{key}:path" for key, value in spaces.items() if value == PRODUCTION and key), "")
        for needed in attrs.get("requiredextensions", "").split():
            if spaces.get(needed) not in {PRODUCTION, _MATERIAL}:
                raise GeometryError(
                    f"The 3MF file needs the extension “{needed[:30]}”, which is not read. Export the scan as binary STL."
                )
        self.model.unit = attrs.get("unit", "millimeter")
        if self.model.unit not in MM_PER_UNIT:
            raise damaged(f"its unit is “{self.model.unit[:20]}”")

    def _enter(self, known: str, attrs: Any) -> None:
        if known == "object":
            number = _whole(attrs, "id")
            if number in self.model.objects or self._object is not None or len(self.model.objects) >= _MOST_OBJECTS:
                raise damaged(f"object {number} is there twice, inside another, or one of too many")
            self._object = self.model.objects[number] = ModelObject(kind=attrs.get("type", "model"))
        elif known == "mesh":
            if self._object is None or self._in_mesh:
                raise damaged("a mesh stands outside its object")
            self._in_mesh = True
        elif known == "build":
            self._in_build = True
        elif known in {"component", "item"}:
            uses = self.model.build if self._in_build else self._object.uses if self._object is not None else None
            if uses is None or (known == "item") != self._in_build:
                raise damaged(f"a part is used where none can be (“{known}”)")
            uses.append(Use(
                part=attrs.get(self._path, "") if self._path else "", number=_whole(attrs, "objectid"), matrix=_matrix(attrs)
            ))  # fmt: skip

    def _add_vertex(self, attrs: Any) -> None:
        if self._object is None or not self._in_mesh:
            raise damaged("a point stands outside its mesh")
        try:
            x, y, z = attrs["x"], attrs["y"], attrs["z"]
            self._object.points.extend((float(x), float(y), float(z)))
        except (KeyError, ValueError):
            raise damaged("a point lacks a number") from None
        # Python would read 1_0, and digits of other scripts.
        if "_" in (text := x + y + z) or not text.isascii():
            raise damaged("a point lacks a number")
        if len(self._object.points) > 3 * MAX_VERTICES:
            refuse_too_many(0, len(self._object.points) // 3)

    def _add_triangle(self, attrs: Any) -> None:
        if self._object is None or not self._in_mesh:
            raise damaged("a triangle stands outside its mesh")
        self._object.corners.extend((_whole(attrs, "v1"), _whole(attrs, "v2"), _whole(attrs, "v3")))
        if len(self._object.corners) > 3 * MAX_FACES:
            refuse_too_many(len(self._object.corners) // 3, 0)


def _whole(attrs: Any, name: str) -> int:
    text = attrs.get(name, "")
    if not (text.isascii() and text.isdigit() and len(text) < 12):
        raise damaged(f"“{name}” is “{text[:20]}”, not a whole number")
    return int(text)


def _matrix(attrs: Any) -> Doubles:
    """Return the 4×4 matrix (columns) of a transform, which the file writes row by row for points as rows."""
    matrix: Doubles = np.eye(4)
    text = attrs.get("transform", "")
    if text:
        try:
            numbers = [float(word) for word in text.split()]
        except ValueError:
            numbers = []
        if len(numbers) != 12 or not np.isfinite(numbers).all() or "_" in text or not text.isascii():
            raise damaged("a transform is not of twelve numbers")
        matrix[:3] = np.array(numbers).reshape(4, 3).T
    return matrix
