"""A turned finial as a binary STL file, made from its own profile."""

import math
import struct
from itertools import pairwise

# Radius and height of the turned profile, in millimetres, from the board up.
PROFILE = (
    (95, 0), (95, 24), (82, 36), (60, 44), (52, 62), (58, 84), (88, 118), (112, 158), (120, 196), (112, 232),
    (86, 262), (60, 280), (46, 296), (50, 310), (56, 320), (44, 334), (26, 352), (12, 372), (0, 384),
)  # fmt: skip
SIDES = 180


def finial_stl() -> bytes:
    """Return the finial as binary STL in millimetres, closed at the base."""
    rings = [
        [(r * math.cos(a), r * math.sin(a), float(h)) for a in (2 * math.pi * side / SIDES for side in range(SIDES))]
        for r, h in PROFILE
    ]
    triangles = []
    for low, high in pairwise(rings):
        for side in range(SIDES):
            following = (side + 1) % SIDES
            triangles.append((low[side], low[following], high[following]))
            if high[side] != high[following]:
                triangles.append((low[side], high[following], high[side]))
    foot = (0.0, 0.0, 0.0)
    triangles += [(foot, rings[0][(side + 1) % SIDES], rings[0][side]) for side in range(SIDES)]
    body = b"".join(
        struct.pack("<12fH", 0, 0, 0, *(value for corner in triangle for value in corner), 0) for triangle in triangles
    )
    return b"turned finial".ljust(80) + struct.pack("<I", len(triangles)) + body
