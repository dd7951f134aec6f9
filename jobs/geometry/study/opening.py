"""What balls reach inside a hollow: a solid opened by a ball, from the clearance on the nodes of a grid.

Balls at the nodes, each as large as its own clearance allows, stand for the opened solid: all of them are true parts of it, so
it is found to second order on flat sides.
"""

import math

import numpy as np
from numpy.typing import NDArray

# Balls at the nodes may be too small by this share of a step: what the nodes miss of a corner and what the smaller balls gain
# there then cancel best (measured on turned boxes of random size against Steiner's formula).
_TOO_SMALL = 0.8
# Where no node's clearance comes this near to the radius, in steps, not one ball fits.
_NONE_FITS = 0.25


def opened_mm3(spare: NDArray[np.float32], step: float, radius: float) -> float:
    """Return the volume of all balls of a radius that lie inside.

    Parameters
    ----------
    spare : ndarray, shape (nx, ny, nz)
        Clearance on each node, negative outside. [mm]
    step : float
        Between nodes, at most the radius. [mm]
    radius : float
        Of the balls. [mm]

    Notes
    -----
    A point lies in one of the balls where the least |p − q|² − ρ(q)² is below nought; that minimum is taken one axis after
    the other. Larger balls than needed are made of smaller ones, so ρ is kept short, and few nodes around are looked at.
    """
    if spare.max() < radius - _NONE_FITS * step:
        return 0.0
    middles = spare >= radius - _TOO_SMALL * step
    most = radius + 2.0 * step
    power = np.where(middles, -np.square(np.minimum(spare, most)), np.float32(np.inf))
    for axis in range(3):
        power = _least_around(power, axis, step, reach=math.ceil(most / step))
    typical = radius + 0.5 * step
    depth = typical - np.sqrt(np.maximum(power + typical**2, 0.0))
    return _volume(np.minimum(depth, spare), step)  # no ball reaches outside


def inside_mm3(spare: NDArray[np.float32], step: float) -> float:
    """Return the volume where the clearance is above nought."""
    return _volume(spare, step)


def side_mm2(spare: NDArray[np.float32], step: float) -> float:
    """Return about the area where the clearance is nought: nodes within half a step of it."""
    return float(np.count_nonzero(np.abs(spare) < 0.5 * step)) * step**2


def _volume(depth: NDArray[np.float32], step: float) -> float:
    covered = np.clip(0.5 + depth / step, 0.0, 1.0).sum(dtype=np.float64)
    return float(covered * step**3)


def _least_around(values: NDArray[np.float32], axis: int, step: float, *, reach: int) -> NDArray[np.float32]:
    """Return the least of value + distance² along one axis, as far as `reach` steps."""
    moved = np.moveaxis(values, axis, 0)
    least = moved.copy()
    for away in range(1, min(reach, len(moved) - 1) + 1):
        more = np.float32((away * step) ** 2)
        np.minimum(least[away:], moved[:-away] + more, out=least[away:])
        np.minimum(least[:-away], moved[away:] + more, out=least[:-away])
    return np.moveaxis(least, 0, axis)
