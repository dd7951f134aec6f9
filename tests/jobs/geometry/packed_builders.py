"""GLB, glTF, 3MF and OFF files made for tests, byte by byte from their formats' definitions."""

import base64
import io
import json
import struct
import zipfile
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

Array = Any
Document = dict[str, Any]
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>"
)


def gltf_parts(vertices: Array, faces: Array) -> tuple[Document, bytes]:
    """Return the JSON and the bytes of a mesh in one node, with 16-bit corners."""
    points = np.ascontiguousarray(vertices, dtype="<f4").tobytes()
    corners = np.ascontiguousarray(faces, dtype="<u2").tobytes()
    document = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": len(vertices), "type": "VEC3"},
            {"bufferView": 1, "componentType": 5123, "count": 3 * len(faces), "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": len(points)},
            {"buffer": 0, "byteOffset": len(points), "byteLength": len(corners)},
        ],
        "buffers": [{"byteLength": len(points) + len(corners)}],
    }
    return document, points + corners


def glb_of(document: Document, data: bytes) -> bytes:
    """Pack JSON and bytes into a GLB."""
    text = json.dumps(document, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    data += b"\0" * (-len(data) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(data), 0x004E4942) + data
    return b"glTF" + struct.pack("<II", 2, 12 + len(chunks)) + chunks


def glb(vertices: Array, faces: Array, change: Callable[[Document], object] = lambda document: None) -> bytes:
    """Write a GLB; `change` may alter its JSON first."""
    document, data = gltf_parts(vertices, faces)
    change(document)
    return glb_of(document, data)


def gltf(vertices: Array, faces: Array) -> bytes:
    """Write a glTF that carries its data in itself."""
    document, data = gltf_parts(vertices, faces)
    document["buffers"][0]["uri"] = "data:application/octet-stream;base64," + base64.b64encode(data).decode()
    return json.dumps(document).encode()


def mesh_xml(vertices: Array, faces: Array) -> str:
    """Write the mesh element of a 3MF object."""
    points = "".join('<vertex x="{!r}" y="{!r}" z="{!r}"/>'.format(*(float(x) for x in v)) for v in vertices)
    triangles = "".join('<triangle v1="{}" v2="{}" v3="{}"/>'.format(*f) for f in faces)
    return f"<mesh><vertices>{points}</vertices><triangles>{triangles}</triangles></mesh>"


def model_xml(resources: str, build: str, *, attributes: str = "") -> str:
    """Write a 3MF model part; `attributes` go into its first element."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><model {attributes} xmlns="{CORE}"><resources>{resources}</resources>'
        f"<build>{build}</build></model>"
    )


def package(model: str, others: Mapping[str, str] | None = None, *, relations: str = RELATIONS) -> bytes:
    """Pack a 3MF file."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in {"_rels/.rels": relations, "3D/3dmodel.model": model, **(others or {})}.items():
            # A fixed day, so that the same file has the same bytes.
            archive.writestr(zipfile.ZipInfo(name, (2024, 1, 1, 0, 0, 0)), text, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def three_mf(vertices: Array, faces: Array, *, unit: str = "millimeter", item: str = "") -> bytes:
    """Write a 3MF of one object; `item` are further attributes of its build item."""
    resources = f'<object id="1" type="model">{mesh_xml(vertices, faces)}</object>'
    return package(model_xml(resources, f'<item objectid="1" {item}/>', attributes=f'unit="{unit}"'))


def off(vertices: Array, faces: Array) -> bytes:
    """Write an OFF."""
    lines = ["OFF", "# made for a test", f"{len(vertices)} {len(faces)} 0"]
    lines += [" ".join(repr(float(x)) for x in v) for v in vertices]
    lines += [" ".join(str(i) for i in (len(f), *f)) for f in faces]
    return ("\n".join(lines) + "\n").encode()
