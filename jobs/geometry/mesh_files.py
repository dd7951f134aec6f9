"""Tell what kind of file was uploaded, by its content, and check its header against its size before anything is parsed."""

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import BinaryIO

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_FACES, MAX_FILE_BYTES
from jobs.geometry.off_header import OffHeader, is_off, read_off_header
from jobs.geometry.ply_header import PlyHeader, read_ply_header

HEAD_BYTES = 65_536
STL_HEADER_BYTES = 84
STL_FACET_BYTES = 50


class MeshFormat(StrEnum):
    """Files that can be measured."""

    STL_BINARY = "binary STL"
    STL_TEXT = "text STL"
    OBJ = "OBJ"
    PLY = "PLY"
    GLB = "GLB"
    GLTF = "glTF"
    THREE_MF = "3MF"
    OFF = "OFF"


# What a person can export and send, in words.
KINDS = "STL, OBJ, PLY, GLB, glTF, 3MF or OFF"
SUFFIXES: Mapping[str, tuple[MeshFormat, ...]] = {
    ".stl": (MeshFormat.STL_BINARY, MeshFormat.STL_TEXT),
    ".obj": (MeshFormat.OBJ,),
    ".ply": (MeshFormat.PLY,),
    ".glb": (MeshFormat.GLB,),
    ".gltf": (MeshFormat.GLTF,),
    ".3mf": (MeshFormat.THREE_MF,),
    ".off": (MeshFormat.OFF,),
}

UNKNOWN = "This file is neither STL, OBJ, PLY, GLB, glTF, 3MF nor OFF"
UNKNOWN_BUT_STL = UNKNOWN.replace("STL, ", "")
_GLTF_WORDS = (b'"asset"', b'"accessors"', b'"bufferViews"', b'"buffers"', b'"meshes"')

# First bytes of files that people upload by mistake, and what to say to them.
_FOREIGN: tuple[tuple[bytes, str], ...] = (
    (b"PK\x03\x04", "a zip archive without a 3MF model"),
    (b"PK\x05\x06", "an empty zip archive"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"RIFF", "a picture, sound or film"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ", "an xz archive"),
    (b"Kaydara FBX", "an FBX file"),
    (b"BLENDER", "a Blender file"),
    (b"ISO-10303-21", "a STEP file"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
    (b"<", "a web page or XML file"),
    (b"{", "a JSON file"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshHeader:
    """What a file says of itself: `faces` and `vertices` are None where the format does not declare them."""

    format: MeshFormat
    size_bytes: int
    faces: int | None = None
    ply: PlyHeader | None = None
    off: OffHeader | None = None


def read_header(stream: BinaryIO, size_bytes: int) -> MeshHeader:
    """Recognise a mesh file by its first bytes and its size.

    Raises
    ------
    GeometryError
        When it is empty, too large, of another kind, or its header promises more than the file holds.
    """
    if size_bytes == 0:
        raise GeometryError("The file is empty. Export the scan again and upload it.")
    if size_bytes > MAX_FILE_BYTES:
        raise GeometryError(
            f"The file is {size_bytes / 1e6:.0f} MB; the largest that can be read is {MAX_FILE_BYTES / 1e6:.0f} MB. "
            "Reduce the number of triangles in the scanning program, then upload it again."
        )
    stream.seek(0)
    head = stream.read(HEAD_BYTES)
    stream.seek(0)
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    if _counted_facets(head) is not None and size_bytes == _stl_size(head):
        return _binary_stl(head, size_bytes)
    found = _packed_or_json(stream, head, text, size_bytes)
    if found is not None:
        return found
    for magic, name in _FOREIGN:
        if (text if magic in {b"<", b"{"} else head).startswith(magic):
            raise GeometryError(f"This is {name}, not a mesh. Export the scan as {KINDS} and upload that.")
    if head.startswith((b"ply\n", b"ply\r")):
        ply = read_ply_header(head, size_bytes)
        return MeshHeader(format=MeshFormat.PLY, size_bytes=size_bytes, faces=ply.count("face"), ply=ply)
    if b"\0" in head or not _is_text(head):
        raise GeometryError(_not_binary_stl(head, size_bytes))
    if text[:5].lower() == b"solid":
        return MeshHeader(format=MeshFormat.STL_TEXT, size_bytes=size_bytes)
    if is_off(text):
        off = read_off_header(head, size_bytes)
        return MeshHeader(format=MeshFormat.OFF, size_bytes=size_bytes, faces=off.faces, off=off)
    if _looks_like_obj(text):
        return MeshHeader(format=MeshFormat.OBJ, size_bytes=size_bytes)
    raise GeometryError(f"{UNKNOWN}. Export the scan as one of these and upload that.")


def _packed_or_json(stream: BinaryIO, head: bytes, text: bytes, size_bytes: int) -> MeshHeader | None:
    """Recognise GLB, glTF and 3MF, of which the first bytes are not enough to tell."""
    if head.startswith(b"glTF"):
        version, declared = struct.unpack_from("<II", head.ljust(12, b"\0"), 4)
        if version != 2:
            raise GeometryError("The GLB file is not of version 2 of glTF. Export the scan again, or as binary STL.")
        if declared != size_bytes:
            raise GeometryError(
                f"The GLB file's header promises {declared:,} bytes where the file has {size_bytes:,}: it was cut short or "
                "damaged. Export the scan again."
            )
        return MeshHeader(format=MeshFormat.GLB, size_bytes=size_bytes)
    if head.startswith(b"PK\x03\x04"):
        stream.seek(max(0, size_bytes - HEAD_BYTES))
        tail = stream.read(HEAD_BYTES)
        stream.seek(0)
        return MeshHeader(format=MeshFormat.THREE_MF, size_bytes=size_bytes) if b".model" in tail.lower() else None
    if text.startswith(b"{") and b"\0" not in head and any(word in head for word in _GLTF_WORDS):
        return MeshHeader(format=MeshFormat.GLTF, size_bytes=size_bytes)
    return None


def refuse_mismatched_name(filename: str, mesh_format: MeshFormat) -> None:
    """Refuse a file whose name says another kind than its content."""
    suffix = ("." + filename.rsplit(".", 1)[-1].lower()) if "." in filename else ""
    if mesh_format not in SUFFIXES.get(suffix, ()):
        wanted = next(ending for ending, formats in SUFFIXES.items() if mesh_format in formats)
        raise GeometryError(
            f"The file's content is {mesh_format.value}, but its name does not end in “{wanted}”. Rename it, or upload "
            "the file that you meant."
        )


def _counted_facets(head: bytes) -> int | None:
    if len(head) < STL_HEADER_BYTES:
        return None
    (count,) = struct.unpack_from("<I", head, 80)
    return int(count)


def _stl_size(head: bytes) -> int:
    return STL_HEADER_BYTES + STL_FACET_BYTES * (_counted_facets(head) or 0)


def _binary_stl(head: bytes, size_bytes: int) -> MeshHeader:
    count = _counted_facets(head) or 0
    if count == 0:
        raise GeometryError("The STL file holds no triangles. Export the scan again and upload it.")
    refuse_too_many_faces(count)
    return MeshHeader(format=MeshFormat.STL_BINARY, size_bytes=size_bytes, faces=count)


def refuse_too_many_faces(count: int) -> None:
    """Refuse more triangles than can be measured."""
    if count > MAX_FACES:
        raise GeometryError(
            f"The mesh has {count:,} triangles; up to {MAX_FACES:,} can be read. Reduce it in the scanning program: half "
            "a million is plenty for a takeoff."
        )


def _not_binary_stl(head: bytes, size_bytes: int) -> str:
    count = _counted_facets(head)
    if count is None:
        return f"{UNKNOWN}, or it was cut short. Export the scan again and upload it."
    return (
        f"{UNKNOWN_BUT_STL}, and as an STL its header promises {count:,} triangles "
        f"({_stl_size(head):,} bytes) where the file has {size_bytes:,} bytes. It was cut short or damaged: export the "
        "scan again and upload it."
    )


def _is_text(head: bytes) -> bool:
    control = sum(head.count(bytes((code,))) for code in range(32) if code not in {9, 10, 11, 12, 13})
    return control == 0


def _looks_like_obj(text: bytes) -> bool:
    starts = (b"v ", b"v\t", b"vn ", b"vt ", b"f ", b"o ", b"g ", b"mtllib ", b"#")
    lines = (line.lstrip() for line in text.splitlines()[:2000])
    return any(line.startswith(starts) for line in lines)
