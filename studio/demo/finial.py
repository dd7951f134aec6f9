"""A turned finial, made from its own profile: as a binary STL file, and as a picture that stands in for a photograph."""

import math
import struct
from bisect import bisect_left
from io import BytesIO
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


def finial_picture() -> bytes:
    """Return the finial from the front in lamplight from the upper left, as a JPEG: no photograph, but it serves as one."""
    from PIL import Image

    width, height = 480, 640
    picture = Image.new("RGB", (width, height), (226, 221, 210))
    paint = picture.load()
    assert paint is not None
    tall = PROFILE[-1][1]
    scale = (height - 120) / tall
    for row in range(60, height - 60):
        radius, slope = _radius_at(tall - (row - 60) / scale)
        half = radius * scale
        for column in range(int(width / 2 - half) + 1, int(width / 2 + half)):
            across = (column - width / 2) / half
            up = -slope / math.hypot(1, slope)
            facing = math.sqrt(max(1 - across * across, 0.0)) * math.sqrt(1 - up * up)
            light = 0.28 + 0.72 * max(0.0, -0.45 * across + 0.35 * up + 0.8 * facing)
            paint[column, row] = tuple(int(min(light, 1.0) * tone) for tone in (214, 190, 158))
    out = BytesIO()
    picture.save(out, format="JPEG", quality=88)
    return out.getvalue()


def _radius_at(height: float) -> tuple[float, float]:
    """Return the radius at a height, and how it changes with it."""
    heights = [h for _, h in PROFILE]
    above = min(max(bisect_left(heights, height), 1), len(PROFILE) - 1)
    (r0, h0), (r1, h1) = PROFILE[above - 1], PROFILE[above]
    slope = (r1 - r0) / (h1 - h0) if h1 > h0 else 0.0
    return max(r0 + slope * (height - h0), 0.0), slope
