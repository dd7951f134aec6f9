"""Read glTF 2.0: GLB, and glTF that carries its data in itself. Pictures and materials are never opened.

References
----------
Published: Khronos Group, glTF 2.0 specification.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, BinaryIO

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.gltf_accessor import count_of, indices_of, points_of
from jobs.geometry.gltf_document import GltfDocument, glb_document, gltf_document
from jobs.geometry.gltf_nodes import placed_meshes
from jobs.geometry.placing import joined, placed, refuse_too_many
from jobs.geometry.raw_mesh import Floats, Ints, RawMesh, checked_mesh, refuse_bad_points

_TRIANGLES, _STRIP, _FAN = 4, 5, 6
SAID = "Files of this kind are in metres, with y up."


def read_glb(stream: BinaryIO) -> RawMesh:
    """Read a GLB file."""
    stream.seek(0)
    return _read(glb_document(stream.read()))


def read_gltf(stream: BinaryIO) -> RawMesh:
    """Read a glTF file whose data lie in itself."""
    stream.seek(0)
    return _read(gltf_document(stream.read()))


def _read(document: GltfDocument) -> RawMesh:
    places = placed_meshes(document)
    primitives: dict[int, list[Mapping[str, Any]]] = {}
    faces = points = 0
    for index, _ in places:
        if index not in primitives:
            primitives[index] = list(_surfaces(document, index))
        for primitive in primitives[index]:
            faces += _face_count(document, primitive)
            points += _point_count(document, primitive)
    refuse_too_many(faces, points)
    read: dict[int, list[tuple[Floats, Ints]]] = {}
    parts: list[tuple[Floats, Ints]] = []
    for index, matrix in places:
        if index not in read:
            read[index] = [_triangles(document, primitive) for primitive in primitives[index]]
        parts += [placed(*mesh, matrix) for mesh in read[index]]
    bad = sum(int(np.count_nonzero(~np.isfinite(vertices).all(axis=1))) for vertices, _ in parts)
    refuse_bad_points(bad, points)
    mesh = checked_mesh(*joined(parts))
    if len(mesh.faces) != faces:
        raise document.damaged(f"it promises {faces:,} triangles and {len(mesh.faces):,} were found")
    return replace(mesh, unit="m", up_axis="y", said=SAID)


def _surfaces(document: GltfDocument, index: int) -> Iterator[Mapping[str, Any]]:
    """Yield the primitives of a mesh that are surfaces; loose points and lines have none."""
    mesh = document.row("meshes", index)
    weights = mesh.get("weights")
    if isinstance(weights, list) and any(weights):
        raise GeometryError(
            f"A mesh of the {document.name} file is bent by weights (morph targets), which are not read. Apply them and "
            "export it again."
        )
    primitives = mesh.get("primitives")
    if not isinstance(primitives, list):
        raise document.damaged("a mesh has no list of primitives")
    for primitive in primitives:
        if not isinstance(primitive, dict) or not isinstance(primitive.get("attributes"), dict):
            raise document.damaged("a primitive has no attributes")
        mode = document.whole(primitive, "mode", _TRIANGLES)
        if mode > _FAN:
            raise document.damaged(f"a primitive is of the unknown kind {mode}")
        if mode >= _TRIANGLES and "POSITION" in primitive["attributes"]:
            yield primitive


def _point_count(document: GltfDocument, primitive: Mapping[str, Any]) -> int:
    """Count the points that a primitive can use: many may share one long list of which each uses little."""
    points = count_of(document, primitive["attributes"]["POSITION"])
    return min(points, count_of(document, primitive["indices"])) if "indices" in primitive else points


def _face_count(document: GltfDocument, primitive: Mapping[str, Any]) -> int:
    corners = count_of(document, primitive.get("indices", primitive["attributes"]["POSITION"]))
    if document.whole(primitive, "mode", _TRIANGLES) != _TRIANGLES:
        return max(corners - 2, 0)
    if corners % 3:
        raise document.damaged(f"{corners:,} corners do not make whole triangles")
    return corners // 3


def _triangles(document: GltfDocument, primitive: Mapping[str, Any]) -> tuple[Floats, Ints]:
    points = points_of(document, primitive["attributes"]["POSITION"])
    corners = indices_of(document, primitive["indices"]) if "indices" in primitive else np.arange(len(points), dtype=np.int64)
    if len(corners) and int(corners.max()) >= len(points):
        raise GeometryError(
            f"A face refers to point {int(corners.max()) + 1:,}, but its part of the {document.name} file has "
            f"{len(points):,} points: it is damaged. Export the scan again."
        )
    if len(corners) < len(points):
        used, corners = np.unique(corners, return_inverse=True)
        points = points[used]
    mode = document.whole(primitive, "mode", _TRIANGLES)
    if mode == _TRIANGLES:
        return points, corners.reshape(-1, 3)
    if len(corners) < 3:
        return points, np.empty((0, 3), dtype=np.int64)
    if mode == _FAN:
        return points, np.stack([np.broadcast_to(corners[0], len(corners) - 2), corners[1:-1], corners[2:]], axis=1)
    faces: Ints = np.stack([corners[:-2], corners[1:-1], corners[2:]], axis=1)
    faces[1::2] = faces[1::2, [1, 0, 2]]
    return points, faces
