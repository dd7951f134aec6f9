"""How far out a solid reaches, seen along one pull: an orthographic picture whose pixels are heights."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats
from jobs.geometry.study.directions import Direction


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthMap:
    """The greatest p · pull of the solid over each pixel.

    Attributes
    ----------
    across : ndarray, shape (2, 3)
        Unit vectors u and v of the picture, at right angles to the pull and to each other; u × v is the pull.
    corner : ndarray, shape (2,)
        (u, v) of the middle of pixel [0, 0]. [mm]
    highest : ndarray, shape (rows, cols), float32
        Row r, column c belongs to u = corner[0] + c · pixel, v = corner[1] + r · pixel; −inf where nothing is seen. [mm]
    """

    pull: Direction
    across: Doubles
    corner: Doubles
    pixel_mm: float
    highest: NDArray[np.float32]

    def hidden(self, points: Floats) -> Doubles:
        """Say how far points (n, 3) lie below what is seen from the pull's end: negative when seen, −inf beside it. [mm]"""
        points = np.asarray(points, dtype=np.float64)
        u, v = points @ self.across[0], points @ self.across[1]
        along = points @ np.array([self.pull.x, self.pull.y, self.pull.z])
        column = np.rint((u - self.corner[0]) / self.pixel_mm).astype(np.int64)
        row = np.rint((v - self.corner[1]) / self.pixel_mm).astype(np.int64)
        rows, columns = self.highest.shape
        beside = (row < 0) | (row >= rows) | (column < 0) | (column >= columns)
        found: Doubles = self.highest[np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)].astype(np.float64) - along
        found[beside] = -np.inf
        return found


def frame_across(pull: Direction) -> Doubles:
    """Return two unit vectors at right angles to a pull and to each other, (2, 3); v points up where it can."""
    way = np.array([pull.x, pull.y, pull.z])
    up = np.array([0.0, 0.0, 1.0]) if abs(pull.z) < 0.99 else np.array([0.0, 1.0, 0.0])
    u = np.cross(up, way)
    u /= np.linalg.norm(u)
    return np.stack([u, np.cross(way, u)])
