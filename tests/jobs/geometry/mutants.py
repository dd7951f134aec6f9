"""Mesh files to damage, the damage, and what a damaged file holds by other means than the readers."""

import io
import json
import random
import re
import struct
import zipfile
from collections.abc import Callable
from typing import Any

import numpy as np

from tests.jobs.geometry.builders import binary_stl, obj, ply, text_stl
from tests.jobs.geometry.packed_builders import Document, glb, gltf, mesh_xml, model_xml, off, package

Array = Any
# Ways to write a number that is none, or far too large.
POISON = (
    b"nan", b"-inf", b"1e999", b"4294967295", b"-1", b"\x00", b"\xff\xff\xff\xff", b"\x00\x00\xc0\x7f", b"9" * 40, b"0", b"1_0",
    b'"', b"<", b"{", b"#", b"\\\n", b"\r",
)  # fmt: skip


def ball(rings: int = 5, sides: int = 8) -> tuple[Array, Array]:
    """Return a ball of 50 in flat faces, looking outward."""
    tilts, turns = np.pi * np.arange(1, rings) / rings, 2 * np.pi * np.arange(sides) / sides
    points = [(0.0, 0.0, 50.0)]
    points += [(50 * np.sin(t) * np.cos(u), 50 * np.sin(t) * np.sin(u), 50 * np.cos(t)) for t in tilts for u in turns]
    points.append((0.0, 0.0, -50.0))
    faces = []
    for side in range(sides):
        after, last = (side + 1) % sides, 1 + (rings - 2) * sides
        faces += [(0, 1 + side, 1 + after), (len(points) - 1, last + after, last + side)]
        for ring in range(rings - 2):
            low, high = 1 + ring * sides, 1 + (ring + 1) * sides
            faces += [(low + side, high + side, high + after), (low + side, high + after, low + after)]
    return np.array(points, dtype=np.float32).astype(float), np.array(faces)


POINTS, FACES = ball()
QUADS = [(0, 1, 2), *[(1 + i, 9 + i, 10 + i, 2 + i) for i in range(7)]]


def _nested(document: Document) -> None:
    document["nodes"] = [{"children": [1], "scale": [2, 2, 2]}, {"mesh": 0, "translation": [1, 2, 3], "rotation": [0, 0, 1, 0]}]


MODEL = model_xml(
    f'<object id="1" type="model">{mesh_xml(POINTS, FACES)}</object>', '<item objectid="1" transform="2 0 0 0 2 0 0 0 2 1 2 3"/>',
    attributes='unit="millimeter"',
)  # fmt: skip
ORIGINALS: dict[str, bytes] = {
    "binary STL": binary_stl(POINTS, FACES),
    "text STL": text_stl(POINTS, FACES),
    "OBJ": obj(POINTS, FACES),
    "text PLY": ply(POINTS, FACES),
    "little-endian PLY": ply(POINTS, FACES, "binary_little_endian"),
    "big-endian PLY": ply(POINTS, FACES, "binary_big_endian"),
    "PLY of polygons": ply(POINTS, QUADS, "binary_little_endian"),
    "GLB": glb(POINTS, FACES, _nested),
    "glTF": gltf(POINTS, FACES),
    "3MF": package(MODEL),
    "model of a 3MF": MODEL.encode(),
    "OFF": off(POINTS, FACES),
}


def mutant(kind: str, number: int) -> bytes:
    """Damage a file: flip bits, cut, double, swap, or poison it; the same number gives the same file."""
    chance = random.Random(f"handlaid {kind} {number}")
    out = bytearray(ORIGINALS[kind])
    for _ in range(chance.choice([1, 1, 1, 1, 3, 20])):
        at = chance.randrange(len(out))
        match chance.randrange(7):
            case 0:
                out[at] ^= 1 << chance.randrange(8)
            case 1 if chance.random() < 0.3:
                del out[at:]
            case 2:
                del out[at : at + chance.randrange(1, 60)]
            case 3:
                out[at:at] = out[at : at + chance.randrange(1, 60)]
            case 4:
                poison = chance.choice(POISON)
                out[at : at + len(poison)] = poison
            case 5:
                head = chance.randrange(min(300, len(out)))
                out[head : head + 4] = chance.choice([b"\xff\xff\xff\xff", b"\x00\x00\x00\x00", b"9999"])
            case _:
                # A digit for another: the file stays whole and says something else.
                digits = [k for k in range(at, min(at + 200, len(out))) if 48 <= out[k] <= 57]
                if digits:
                    out[chance.choice(digits)] = 48 + chance.randrange(10)
        if not out:
            break
    return package_of(bytes(out)) if kind == "model of a 3MF" else bytes(out)


def package_of(model: bytes) -> bytes:
    """Pack damaged XML into a whole archive."""
    return package(model)  # type: ignore[arg-type]


def triangles_of(data: bytes, kind: str) -> Array | None:
    """Return the corners (m, 3, 3) that a file holds, read by patterns and fixed records; None where these do not fit it."""
    reader: Callable[[bytes], Array | None] = {
        "binary STL": _of_binary_stl, "text STL": _of_text_stl, "OBJ": _of_obj, "GLB": _of_glb, "glTF": _of_gltf, "3MF": _of_3mf,
        "model of a 3MF": _of_3mf, "OFF": _of_off,
    }.get(kind, _of_ply)  # fmt: skip
    return reader(data)


def _of_binary_stl(data: bytes) -> Array:
    count = (len(data) - 84) // 50
    return np.array([struct.unpack_from("<9f", data, 84 + 50 * i + 12) for i in range(count)]).reshape(-1, 3, 3)


def _of_text_stl(data: bytes) -> Array:
    rows = re.findall(rb"(?i)(?:^|[\r\n])\s*vertex[ \t\f\v]+([^\r\n]*)", data)
    return np.array([[float(word) for word in row.split()] for row in rows]).reshape(-1, 3, 3)


def _of_obj(data: bytes) -> Array:
    points: list[list[float]] = []
    faces: list[list[int]] = []
    comments_out = re.sub(rb"(?m)^[ \t\f\v]*#[^\r\n]*", b"", data.replace(b"\r", b"\n"))
    for line in re.sub(rb"\\[ \t\f\v]*\n", b" ", comments_out).split(b"\n"):
        words = line.split()
        if words[:1] == [b"v"]:
            points.append([float(word) for word in words[1:4]])
        elif words[:1] == [b"f"]:
            corners = [int(word.split(b"/")[0]) for word in words[1:]]
            corners = [c - 1 if c > 0 else len(points) + c for c in corners]
            faces += [[corners[0], corners[i], corners[i + 1]] for i in range(1, len(corners) - 1)]
    return np.array(points)[np.array(faces)]


def _of_ply(data: bytes) -> Array | None:
    head, _, body = data.partition(b"end_header")
    shape = rb"property float x\s+property float y\s+property float z\s+element face (\d+)\s+property list uchar int vertex_ind"
    counts = re.search(rb"element vertex (\d+)\s+" + shape, head)
    order = re.search(rb"(?m)^format (\S+) ", head)
    if counts is None or order is None or head.count(b"property") != 4:
        return None
    n, m = int(counts[1]), int(counts[2])
    if order[1] == b"ascii":
        rows = [row.split() for row in re.split(rb"[\r\n]+", body) if row.strip()]
        points = np.array([[float(word) for word in row] for row in rows[:n]])
        polygons = [[int(float(word)) for word in row[1:]] for row in rows[n : n + m]]
    else:
        sign = "<" if b"little" in order[1] else ">"
        at = body.index(b"\n") + 1
        points = np.array(struct.unpack_from(f"{sign}{3 * n}f", body, at)).reshape(n, 3)
        at += 12 * n
        polygons = []
        for _ in range(m):
            polygons.append(list(struct.unpack_from(f"{sign}{body[at]}i", body, at + 1)))
            at += 1 + 4 * body[at]
    return points[np.array([[p[0], p[i], p[i + 1]] for p in polygons for i in range(1, len(p) - 1)])]


def _of_glb(data: bytes) -> Array | None:
    (length,) = struct.unpack_from("<I", data, 12)
    original = ORIGINALS["GLB"]
    if data[20 : 20 + length] != original[20 : 20 + struct.unpack_from("<I", original, 12)[0]]:
        return _by_another_library(data, "glb")
    start = 28 + length
    points = np.frombuffer(data, "<f4", 3 * len(POINTS), start).reshape(-1, 3).astype(float)
    corners = np.frombuffer(data, "<u2", 3 * len(FACES), start + 12 * len(POINTS)).reshape(-1, 3)
    # Half a turn about z, moved, then all of it doubled.
    return (2 * (points * [-1, -1, 1] + [1, 2, 3]))[corners]


def _by_another_library(data: bytes, kind: str) -> Array | None:
    """Read with trimesh; None where it cannot."""
    import trimesh

    try:
        scene = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False)
        return np.asarray(scene.to_mesh().triangles)
    except (ValueError, KeyError, IndexError, TypeError, AttributeError):
        return None


def _of_gltf(data: bytes) -> Array | None:
    import base64

    document, original = json.loads(data), json.loads(ORIGINALS["glTF"])
    address = document["buffers"][0].pop("uri")
    original["buffers"][0].pop("uri")
    if document != original:
        return _by_another_library(data, "gltf")
    content = base64.b64decode(address.partition(",")[2])
    points = np.frombuffer(content, "<f4", 3 * len(POINTS)).reshape(-1, 3)
    return points.astype(float)[np.frombuffer(content, "<u2", 3 * len(FACES), 12 * len(POINTS)).reshape(-1, 3)]


def _of_3mf(data: bytes) -> Array | None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        names = [name for name in archive.namelist() if name.lower().endswith(".model")]
        text = archive.read(names[0]).decode()
    place = re.search(r'<item objectid="1" transform="([^"]*)"/></build></model>\s*$', text)
    if place is None or 'unit="millimeter"' not in text or text.count("<object ") != 1 or "<!--" in text:
        return None
    points = np.array([[float(x) for x in row] for row in re.findall(r'<vertex x="([^"]*)" y="([^"]*)" z="([^"]*)"\s*/>', text)])
    corners = np.array([[int(i) for i in row] for row in re.findall(r'<triangle v1="(\d*)" v2="(\d*)" v3="(\d*)"\s*/>', text)])
    if len(points) != len(re.findall(r"<vertex\W", text)) or len(corners) != len(re.findall(r"<triangle\W", text)):
        return None
    matrix = np.array([float(x) for x in place[1].split()]).reshape(4, 3)
    if np.linalg.det(matrix[:3]) < 0:
        corners = corners[:, ::-1]
    return (points @ matrix[:3] + matrix[3])[corners]


def _of_off(data: bytes) -> Array:
    rows = [row.partition(b"#")[0].split() for row in re.split(rb"[\r\n]+", data)]
    words = [row for row in rows if row]
    start = 1 if len(words[0]) == 1 else 0
    n, m = (int(word) for word in words[start][1 - start :][:2])
    points = np.array([[float(word) for word in row[:3]] for row in words[start + 1 : start + 1 + n]])
    polygons = [[int(word) for word in row[1 : 1 + int(row[0])]] for row in words[start + 1 + n : start + 1 + n + m]]
    return points[np.array([[p[0], p[i], p[i + 1]] for p in polygons for i in range(1, len(p) - 1)])]
