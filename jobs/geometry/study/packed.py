"""A light mesh with its layers, packed small for the turning view.

All numbers are little-endian. First a head of 64 bytes::

    0   4 bytes   the letters HSHP
    4   u16       version of this layout, 1
    6   u16       bytes of an index: 2 or 4
    8   u32       number of points n
    12  u32       number of triangles m
    16  3 × f32   lowest corner of the box [mm]
    28  f32       step: a coordinate is lowest corner + step × (stored + 32767) [mm]
    32  6 × f32   the least and the greatest of the depth [mm], the slope [deg] and the fill [mm]
    56  8 bytes   nought

Then n points of 12 bytes: 3 × i16 coordinates; u8 depth, slope and fill, 0 to 255 from the least to the greatest; u8 number
of the shell piece; 2 × i8 normal, folded onto an octahedron. Then 3 m indices, and noughts up to a multiple of 4.
"""

import struct

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.colours import layer_range
from jobs.geometry.study.picture import vertex_normals
from jobs.geometry.study.workspace import Picture

MAGIC, VERSION, HEAD_BYTES = b"HSHP", 1, 64
POINT = np.dtype([("place", "<i2", 3), ("layers", "u1", 3), ("piece", "u1"), ("normal", "i1", 2)])
_RAMPED = ("depth", "slope", "fill")


def pack_picture(picture: Picture) -> bytes:
    """Pack a picture; layers that it lacks are nought.

    Coordinates are kept to 1/65,534 of the longest side, layers to 1/255 of their range, normals to about a degree.
    """
    points = picture.vertices.astype(np.float64)
    low, high = points.min(axis=0), points.max(axis=0)
    step = max(float((high - low).max()), 1e-6) / 65_534
    packed = np.zeros(len(points), dtype=POINT)
    packed["place"] = np.rint((points - low) / step) - 32_767
    ranges: list[float] = []
    for place, name in enumerate(_RAMPED):
        values = picture.layers.get(name, np.zeros(len(points), dtype=np.float32))
        least, greatest = layer_range(name, values)
        packed["layers"][:, place] = np.rint(255 * np.clip((values - least) / (greatest - least), 0, 1))
        ranges += [least, greatest]
    if "piece" in picture.layers:
        packed["piece"] = np.clip(np.rint(picture.layers["piece"]), 0, 255)
    packed["normal"] = _folded(vertex_normals(points, picture.faces))
    index = "<u2" if len(points) <= 65_536 else "<u4"
    indices = picture.faces.astype(index).tobytes()
    head = struct.pack(
        "<4sHHII4f6f8x", MAGIC, VERSION, np.dtype(index).itemsize, len(points), len(picture.faces), *low, step, *ranges
    )
    return head + packed.tobytes() + indices + bytes(-len(indices) % 4)


def _folded(normals: Doubles) -> NDArray[np.float64]:
    """Fold directions onto an octahedron and that onto a square, (n, 2), −127 to 127.

    Published: Cigolle and others, A survey of efficient representations for independent unit vectors, 2014 (from memory).
    """
    square = normals[:, :2] / np.abs(normals).sum(axis=1)[:, None]
    sign = np.where(square >= 0, 1.0, -1.0)
    found: NDArray[np.float64] = np.where(normals[:, 2:] >= 0, square, (1 - np.abs(square[:, ::-1])) * sign)
    return np.rint(127 * found)
