"""Mesh files for tests, written byte by byte from their format's definition."""

import struct

Point = tuple[float, float, float]
# Corners of a cube of 1, and its twelve triangles counted anticlockwise seen from outside.
CORNERS: list[Point] = [(x, y, z) for x in (0.0, 1.0) for y in (0.0, 1.0) for z in (0.0, 1.0)]
FACES = [
    (0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1),
    (2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3),
]  # fmt: skip


def box_stl(x: float, y: float, z: float) -> bytes:
    """Return a box as binary STL."""
    facets = b"".join(
        struct.pack("<12fH", 0, 0, 0, *(c for corner in face for c in _scaled(CORNERS[corner], x, y, z)), 0) for face in FACES
    )
    return b"box".ljust(80, b" ") + struct.pack("<I", len(FACES)) + facets


def box_obj(x: float, y: float, z: float) -> bytes:
    """Return a box as OBJ."""
    lines = ["v {} {} {}".format(*_scaled(corner, x, y, z)) for corner in CORNERS]
    lines += ["f {} {} {}".format(*(index + 1 for index in face)) for face in FACES]
    return ("\n".join(lines) + "\n").encode()


def _scaled(corner: Point, x: float, y: float, z: float) -> Point:
    return corner[0] * x, corner[1] * y, corner[2] * z
