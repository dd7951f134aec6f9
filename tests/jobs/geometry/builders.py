"""Meshes and mesh files made for tests."""

import struct
from typing import Any

import numpy as np

Array = Any


def box_mesh(a: float = 100.0, b: float = 80.0, c: float = 60.0) -> tuple[Array, Array]:
    """Return a box of 12 triangles with its corner in the origin, faces looking outward."""
    corners = np.array([(x, y, z) for x in (0, a) for y in (0, b) for z in (0, c)], dtype=float)
    faces = np.array([
        (0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1),
        (2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3),
    ])  # fmt: skip
    return corners, faces


def binary_stl(vertices: Array, faces: Array, header: bytes = b"") -> bytes:
    """Write a binary STL."""
    rows = [struct.pack("<12fH", 0, 0, 0, *np.asarray(vertices[f], dtype=float).ravel(), 0) for f in faces]
    return header.ljust(80, b"\0") + struct.pack("<I", len(faces)) + b"".join(rows)


def text_stl(vertices: Array, faces: Array, end: str = "\n") -> bytes:
    """Write a text STL."""
    lines = ["solid piece"]
    for face in faces:
        lines += ["facet normal 0 0 0", " outer loop"]
        lines += ["  vertex " + " ".join(repr(float(x)) for x in vertices[corner]) for corner in face]
        lines += [" endloop", "endfacet"]
    return (end.join([*lines, "endsolid piece"]) + end).encode()


def obj(vertices: Array, faces: Array) -> bytes:
    """Write an OBJ."""
    lines = ["# made for a test", "mtllib /etc/passwd", "o piece"]
    lines += ["v " + " ".join(repr(float(x)) for x in v) for v in vertices]
    lines += ["f " + " ".join(f"{i + 1}//{i + 1}" for i in f) for f in faces]
    return ("\n".join(lines) + "\n").encode()


def ply(vertices: Array, faces: Array, order: str = "ascii") -> bytes:
    """Write a PLY: order "ascii", "binary_little_endian" or "binary_big_endian"."""
    head = (
        f"ply\nformat {order} 1.0\ncomment made for a test\nelement vertex {len(vertices)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(faces)}\nproperty list uchar int vertex_indices\n"
        "end_header\n"
    ).encode()
    if order == "ascii":
        lines = [" ".join(repr(float(x)) for x in v) for v in vertices]
        lines += [" ".join(str(i) for i in (len(f), *f)) for f in faces]
        return head + ("\n".join(lines) + "\n").encode()
    sign = "<" if "little" in order else ">"
    body = b"".join(struct.pack(sign + "3f", *v) for v in vertices)
    return head + body + b"".join(struct.pack(f"{sign}B{len(f)}i", len(f), *f) for f in faces)
