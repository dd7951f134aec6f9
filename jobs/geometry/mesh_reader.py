"""From a checked file to points and triangles, or a sentence that says what is wrong."""

from typing import BinaryIO

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_3mf import read_3mf
from jobs.geometry.mesh_files import UNKNOWN, MeshFormat, MeshHeader, read_header
from jobs.geometry.mesh_gltf import read_glb, read_gltf
from jobs.geometry.mesh_obj import read_obj
from jobs.geometry.mesh_off import read_off
from jobs.geometry.mesh_ply import read_ply
from jobs.geometry.mesh_stl import read_binary_stl, read_text_stl
from jobs.geometry.off_header import OffHeader
from jobs.geometry.ply_header import PlyHeader
from jobs.geometry.raw_mesh import RawMesh

_SLOW_TEXT_BYTES = 5_000_000


def read_mesh(stream: BinaryIO, size_bytes: int, *, compiled: bool = False) -> tuple[MeshHeader, RawMesh]:
    """Check and read a mesh file.

    Parameters
    ----------
    stream : file
        Open for reading bytes, and able to seek.
    size_bytes : int
        Size of the file.
    compiled : bool
        Read with compiled kernels; the plain way reads the same files to the same meshes, more slowly.

    Raises
    ------
    GeometryError
        With what is wrong with the file. A file is read whole or not at all; nothing is repaired silently.
    """
    header = read_header(stream, size_bytes)
    mesh = _read(stream, header, compiled=compiled)
    if header.faces is not None and mesh.split_polygons == 0 and len(mesh.faces) != header.faces:
        raise GeometryError(
            f"The file's header promises {header.faces:,} faces and {len(mesh.faces):,} were found. Export it again."
        )
    return header, mesh


def wants_kernels(stream: BinaryIO, size_bytes: int) -> bool:
    """Say whether only kernels read this file fast: they take as long to load as the plain way reads 5 MB of text."""
    header = read_header(stream, size_bytes)
    is_text = header.format in {MeshFormat.STL_TEXT, MeshFormat.OBJ} or (header.ply is not None and not header.ply.order)
    return is_text and size_bytes > _SLOW_TEXT_BYTES


def _read(stream: BinaryIO, header: MeshHeader, *, compiled: bool) -> RawMesh:
    match header:
        case MeshHeader(format=MeshFormat.STL_BINARY, faces=int(faces)):
            return read_binary_stl(stream, faces, compiled=compiled)
        case MeshHeader(format=MeshFormat.STL_TEXT):
            return read_text_stl(stream, compiled=compiled)
        case MeshHeader(format=MeshFormat.OBJ):
            return read_obj(stream, compiled=compiled)
        case MeshHeader(ply=PlyHeader() as ply):
            return read_ply(stream, ply, compiled=compiled)
        case MeshHeader(off=OffHeader() as off):
            return read_off(stream, off)
        case MeshHeader(format=MeshFormat.GLB):
            return read_glb(stream)
        case MeshHeader(format=MeshFormat.GLTF):
            return read_gltf(stream)
        case MeshHeader(format=MeshFormat.THREE_MF):
            return read_3mf(stream)
    raise GeometryError(f"{UNKNOWN}. Export the scan as one of these and upload that.")
