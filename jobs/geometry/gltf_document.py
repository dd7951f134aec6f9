"""The JSON of a glTF file and the bytes beside it; fields are asked for by kind, and refused in words where they are another."""

import base64
import binascii
import json
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from jobs.geometry.errors import GeometryError

_JSON_CHUNK, _BYTES_CHUNK = 0x4E4F534A, 0x004E4942
_MOST_JSON_BYTES = 200_000_000
# Extensions that leave the surface as it is, or only write its points in smaller numbers.
_HARMLESS = (
    "KHR_materials_",
    "KHR_texture_",
    "KHR_lights_",
    "EXT_texture_",
    "KHR_mesh_quantization",
    "KHR_xmp",
    "KHR_animation_",
)
_COMPRESSED = {
    "KHR_draco_mesh_compression": "Draco", "EXT_meshopt_compression": "meshopt", "KHR_meshopt_compression": "meshopt",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class GltfDocument:
    """`name` is GLB or glTF, for sentences; `content` the JSON's object; `beside` the bytes of a GLB's second chunk."""

    name: str
    content: Mapping[str, Any]
    beside: bytes | memoryview | None = None
    _buffers: dict[int, bytes | memoryview] = field(default_factory=dict)

    def damaged(self, what: str) -> GeometryError:
        """Return the refusal of a file whose fields make no sense."""
        return GeometryError(f"The {self.name} file is damaged: {what}. Export the scan again.")

    def table(self, name: str) -> Sequence[Any]:
        """Return one of the document's lists; empty where it is not there."""
        found = self.content.get(name, [])
        if not isinstance(found, list):
            raise self.damaged(f"“{name}” is no list")
        return found

    def row(self, name: str, index: object) -> Mapping[str, Any]:
        """Return the object that a reference points to."""
        rows = self.table(name)
        if not isinstance(index, int) or isinstance(index, bool) or not 0 <= index < len(rows):
            raise self.damaged(f"it refers to number {str(index)[:20]} of {len(rows)} {name}")
        found = rows[index]
        if not isinstance(found, dict):
            raise self.damaged(f"number {index} of its {name} is no object")
        return found

    def whole(self, row: Mapping[str, Any], name: str, otherwise: int | None = None) -> int:
        """Return a whole number of 0 or more."""
        found = row.get(name, otherwise)
        if not isinstance(found, int) or isinstance(found, bool) or not 0 <= found < 1 << 53:
            raise self.damaged(f"“{name}” is {str(found)[:20]}, not a whole number")
        return found

    def numbers(self, row: Mapping[str, Any], name: str, count: int) -> list[float] | None:
        """Return a list of numbers; None where it is not there."""
        found = row.get(name)
        if found is None:
            return None
        if not isinstance(found, list) or len(found) != count or not all(_is_number(value) for value in found):
            raise self.damaged(f"“{name}” is not a list of {count} numbers")
        return [float(value) for value in found]

    def buffer(self, index: object) -> bytes | memoryview:
        """Return the bytes of a buffer, as long as it declares."""
        row = self.row("buffers", index)
        assert isinstance(index, int)
        if index not in self._buffers:
            self._buffers[index] = self._bytes_of(row, first=index == 0)
        data, declared = self._buffers[index], self.whole(row, "byteLength")
        if declared > len(data):
            raise self.damaged(f"it promises {declared:,} bytes of data and holds {len(data):,}")
        return data[:declared]

    def _bytes_of(self, row: Mapping[str, Any], *, first: bool) -> bytes | memoryview:
        address = row.get("uri")
        if address is None:
            if first and self.beside is not None:
                return self.beside
            raise self.damaged("it holds no data")
        if not isinstance(address, str) or not address.startswith("data:"):
            raise GeometryError(
                f"The {self.name} file keeps its points in another file (“{str(address)[:40]}”). Export the scan as GLB, "
                "which is one file."
            )
        kind, _, text = address.partition(",")
        if not kind.endswith(";base64"):
            raise self.damaged("its data are not written in base64")
        try:
            return base64.b64decode(text, validate=True)
        except (binascii.Error, ValueError):
            raise self.damaged("its data are not written in base64") from None


def glb_document(data: bytes) -> GltfDocument:
    """Take a GLB file apart.

    Raises
    ------
    GeometryError
        When its chunks do not fill it, or its JSON cannot be read.
    """
    chunks: dict[int, memoryview] = {}
    at, view = 12, memoryview(data)
    while at < len(data):
        if at + 8 > len(data):
            raise GeometryError("The GLB file ends in the middle of a chunk: it was cut short. Export the scan again.")
        length, kind = struct.unpack_from("<II", data, at)
        if at + 8 + length > len(data):
            raise GeometryError(
                f"A chunk of the GLB file promises {length:,} bytes where {len(data) - at - 8:,} are left: it was cut short "
                "or damaged. Export the scan again."
            )
        if (kind == _JSON_CHUNK) != (at == 12) or (kind in chunks and kind == _BYTES_CHUNK):
            raise GeometryError("The chunks of the GLB file are not in order: it is damaged. Export the scan again.")
        chunks.setdefault(kind, view[at + 8 : at + 8 + length])
        at += 8 + length
    if _JSON_CHUNK not in chunks:
        raise GeometryError("The GLB file holds no description of its mesh. Export the scan again.")
    return _document("GLB", bytes(chunks[_JSON_CHUNK]), chunks.get(_BYTES_CHUNK))


def gltf_document(data: bytes) -> GltfDocument:
    """Read a glTF file that carries its data in itself."""
    return _document("glTF", data, None)


def _document(name: str, text: bytes, beside: memoryview | None) -> GltfDocument:
    if len(text) > _MOST_JSON_BYTES:
        raise GeometryError(f"The {name} file's description is too large. Export the scan as binary STL.")
    try:
        content = json.loads(text.removeprefix(b"\xef\xbb\xbf").rstrip(b"\0"), parse_constant=_refuse_constant)
    except (ValueError, RecursionError):
        raise GeometryError(f"The {name} file's description is not valid JSON: it is damaged. Export the scan again.") from None
    if not isinstance(content, dict):
        raise GeometryError(f"The {name} file's description is not valid JSON: it is damaged. Export the scan again.")
    document = GltfDocument(name=name, content=content, beside=beside)
    _refuse_what_is_not_read(document)
    return document


def _refuse_what_is_not_read(document: GltfDocument) -> None:
    asset = document.content.get("asset")
    version = asset.get("version") if isinstance(asset, dict) else None
    if not isinstance(version, str) or not version.startswith("2."):
        raise GeometryError(f"The {document.name} file is not of version 2 of glTF. Export the scan again, or as binary STL.")
    for extension in document.table("extensionsRequired"):
        if extension in _COMPRESSED:
            raise GeometryError(
                f"The {document.name} file is compressed with {_COMPRESSED[extension]}, which is not read. Export the scan "
                "without compression."
            )
        if not isinstance(extension, str) or not extension.startswith(_HARMLESS):
            raise GeometryError(
                f"The {document.name} file needs the extension “{str(extension)[:40]}”, which is not read. Export the scan "
                "as binary STL."
            )


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300


def _refuse_constant(name: str) -> float:
    raise ValueError(name)
