"""Signed distances to a surface on a regular grid, and reading between its nodes; no compiler needed."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceField:
    """Distances on the nodes origin + step × (i, j, k).

    Attributes
    ----------
    values : ndarray, shape (nx, ny, nz), float32
        Positive outside, negative inside; exact from `low_mm` to `high_mm`, beyond them right in sign and never nearer.
    origin : ndarray, shape (3,)
        Place of the first node; on a board its z is 0. [mm]
    """

    values: NDArray[np.float32]
    origin: Doubles
    step_mm: float
    low_mm: float
    high_mm: float

    def at(self, points: Floats) -> Doubles:
        """Read distances at points (n, 3), linear between nodes; outside the grid the nearest node's, which is too low."""
        from scipy.ndimage import map_coordinates

        places = (np.asarray(points, dtype=np.float64) - self.origin).T / self.step_mm
        found: Doubles = map_coordinates(self.values, places, order=1, mode="nearest", output=np.float64)
        return found
