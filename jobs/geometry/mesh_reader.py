"""From a checked file to points and triangles, or a sentence that says what is wrong."""

from typing import BinaryIO

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import MeshFormat, MeshHeader, read_header
from jobs.geometry.mesh_obj import read_obj
from jobs.geometry.mesh_ply import read_ply
from jobs.geometry.mesh_stl import read_binary_stl, read_text_stl
from jobs.geometry.raw_mesh import RawMesh


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
    if header.format is MeshFormat.STL_BINARY and header.faces is not None:
        mesh = read_binary_stl(stream, header.faces, compiled=compiled)
    elif header.format is MeshFormat.STL_TEXT:
        mesh = read_text_stl(stream, compiled=compiled)
    elif header.format is MeshFormat.OBJ:
        mesh = read_obj(stream, compiled=compiled)
    elif header.ply is not None:
        mesh = read_ply(stream, header.ply, compiled=compiled)
    else:
        raise GeometryError("This file is neither STL, OBJ nor PLY. Export the scan as one of these and upload that.")
    if header.faces is not None and mesh.split_polygons == 0 and len(mesh.faces) != header.faces:
        raise GeometryError(
            f"The file's header promises {header.faces:,} faces and {len(mesh.faces):,} were found. Export it again."
        )
    return header, mesh
