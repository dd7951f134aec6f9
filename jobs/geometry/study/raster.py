"""Drawing triangles into pixels: which face is seen where, and at which point of it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats, Ints

# Triangles drawn at once, which bounds the memory.
_BATCH = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Raster:
    """What is seen in each pixel.

    Attributes
    ----------
    face : ndarray, shape (rows, cols), int32
        The nearest triangle, −1 where there is none.
    weights : ndarray, shape (rows, cols, 3), float32
        Shares of its corners.
    near : ndarray, shape (rows, cols), float32
        How near it lies, greater is nearer; −inf where there is none.
    """

    face: NDArray[np.int32]
    weights: NDArray[np.float32]
    near: NDArray[np.float32]


def draw_triangles(corners: Doubles, *, rows: int, columns: int) -> Raster:
    """Draw triangles (m, 3, 3) whose corners are column, row and nearness, in pixels; the nearest is seen.

    Every triangle is cut into the lines of pixels it crosses, and each line into pixels; nothing else is tried.
    """
    near = np.full(rows * columns, -np.inf, dtype=np.float32)
    face = np.full(rows * columns, -1, dtype=np.int32)
    for part in np.array_split(np.arange(len(corners)), max(1, len(corners) // _BATCH)):
        triangle, pixel, depth = _pixels(corners[part], rows, columns)
        np.maximum.at(near, pixel, depth)
        seen = depth == near[pixel]
        face[pixel[seen]] = part[triangle[seen]]
    weights = np.zeros((rows * columns, 3), dtype=np.float32)
    seen_at = np.flatnonzero(face >= 0)
    weights[seen_at] = _shares(corners[face[seen_at]], seen_at % columns + 0.5, seen_at // columns + 0.5)
    shape = (rows, columns)
    return Raster(face=face.reshape(shape), weights=weights.reshape(*shape, 3), near=near.reshape(shape))


def _pixels(corners: Doubles, rows: int, columns: int) -> tuple[Ints, Ints, NDArray[np.float32]]:
    """Return for every pixel of every triangle: the triangle, the pixel's place, and how near it is there."""
    x, y, z = (corners[:, :, axis] for axis in range(3))
    area = (x[:, 1] - x[:, 0]) * (y[:, 2] - y[:, 0]) - (y[:, 1] - y[:, 0]) * (x[:, 2] - x[:, 0])
    drawn = np.abs(area) > 1e-9
    first = np.clip(np.ceil(y.min(axis=1) - 0.5), 0, rows).astype(np.int64)
    last = np.clip(np.ceil(y.max(axis=1) - 0.5), 0, rows).astype(np.int64)
    line_of, row = _expanded(first, np.where(drawn, last - first, 0))
    height = row + 0.5
    left, right = np.full(len(row), np.inf), np.full(len(row), -np.inf)
    for a, b in ((0, 1), (1, 2), (2, 0)):
        ya, yb = y[line_of, a], y[line_of, b]
        crossed = (ya <= height) != (yb <= height)
        at = x[line_of, a] + (height - ya) * (x[line_of, b] - x[line_of, a]) / np.where(crossed, yb - ya, 1.0)
        left = np.where(crossed, np.minimum(left, at), left)
        right = np.where(crossed, np.maximum(right, at), right)
    begin = np.clip(np.ceil(left - 0.5), 0, columns).astype(np.int64)
    end = np.clip(np.ceil(right - 0.5), 0, columns).astype(np.int64)
    across = ((z[:, 1] - z[:, 0]) * (y[:, 2] - y[:, 0]) - (z[:, 2] - z[:, 0]) * (y[:, 1] - y[:, 0])) / np.where(drawn, area, 1.0)
    down = ((z[:, 2] - z[:, 0]) * (x[:, 1] - x[:, 0]) - (z[:, 1] - z[:, 0]) * (x[:, 2] - x[:, 0])) / np.where(drawn, area, 1.0)
    at_left = z[line_of, 0] + (height - y[line_of, 0]) * down[line_of] + (0.5 - x[line_of, 0]) * across[line_of]
    line, column = _expanded(begin, np.maximum(end - begin, 0))
    triangle = line_of[line]
    return triangle, row[line] * columns + column, (at_left[line] + column * across[triangle]).astype(np.float32)


def _expanded(first: Ints, counts: Ints) -> tuple[Ints, Ints]:
    """Count on from each first number: which one it belongs to, and the number."""
    owner = np.repeat(np.arange(len(first)), counts)
    ends = np.cumsum(counts)
    return owner, np.arange(len(owner)) - (ends - counts)[owner] + first[owner]


def _shares(corners: Doubles, u: Floats, v: Floats) -> Doubles:
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    second = ((u - a[:, 0]) * (c[:, 1] - a[:, 1]) - (v - a[:, 1]) * (c[:, 0] - a[:, 0])) / area
    third = ((b[:, 0] - a[:, 0]) * (v - a[:, 1]) - (b[:, 1] - a[:, 1]) * (u - a[:, 0])) / area
    shares: Doubles = np.stack([1 - second - third, second, third], axis=1)
    return shares
