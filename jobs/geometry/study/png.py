"""Writing a picture as PNG."""

import struct
import zlib

import numpy as np
from numpy.typing import NDArray


def png(pixels: NDArray[np.uint8]) -> bytes:
    """Return the PNG file of a picture (rows, columns, 4): red, green, blue and opacity.

    References
    ----------
    Published: Portable Network Graphics, W3C: signature, IHDR, IDAT and IEND chunks; each row filtered by its left neighbour.
    """
    rows, columns, _ = pixels.shape
    left = np.zeros_like(pixels)
    left[:, 1:] = pixels[:, :-1]
    lines = np.empty((rows, 1 + 4 * columns), dtype=np.uint8)
    lines[:, 0] = 1
    lines[:, 1:] = (pixels - left).reshape(rows, -1)
    header = struct.pack(">IIBBBBB", columns, rows, 8, 6, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(lines.tobytes(), 5)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(name, data) for name, data in chunks)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
