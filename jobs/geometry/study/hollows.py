"""The parts of a fill that may take chunks, each in a box of its own."""

import math
from dataclasses import dataclass

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles
from jobs.geometry.study.clearance import Axes, Clearance


@dataclass(frozen=True, slots=True)
class Hollow:
    """A part of the fill: the nodes of the field around it, and where along x, y and z the first chunk's middle can be. [mm]"""

    axes: Axes
    mine: Bools
    first: Doubles

    @property
    def low(self) -> Doubles:
        """Least x, y and z of its box. [mm]"""
        return np.array([axis[0] for axis in self.axes])

    @property
    def high(self) -> Doubles:
        """Greatest x, y and z of its box. [mm]"""
        return np.array([axis[-1] for axis in self.axes])

    @property
    def size_mm3(self) -> float:
        """Volume of the box."""
        return float(np.prod(self.high - self.low))

    def holds(self, axes: Axes) -> Bools:
        """Say which nodes of another grid lie in this part, by the nearest of its own."""
        at = []
        for own, others in zip(self.axes, axes, strict=True):
            step = own[1] - own[0]
            at.append(np.clip(np.rint((others - own[0]) / step).astype(np.int64), 0, len(own) - 1))
        return self.mine[np.ix_(*at)]


def hollows_of(clearance: Clearance, *, radius_mm: float, cover_mm: float, tight_mm: float) -> tuple[Hollow, ...]:
    """Return the parts of the fill with room for balls of a radius, apart from each other by more than such balls reach.

    The first chunk is laid `tight_mm` further in than the clearance asks.
    """
    from scipy.ndimage import find_objects, label, maximum_filter

    axes, values = clearance.nodes()
    step, need = float(axes[0][1] - axes[0][0]), cover_mm + radius_mm
    # A middle between nodes is at most half a cell's diagonal from one, and the clearance changes no faster than the way.
    near = values >= need - 0.87 * step
    if not near.any():
        return ()
    reach = math.ceil(radius_mm / step) + 1
    found, _ = label(maximum_filter(near, 2 * reach + 1, mode="constant"))
    hollows = []
    for number, cut in enumerate(find_objects(found), start=1):
        own = tuple(axis[piece] for axis, piece in zip(axes, cut, strict=True))
        mine = found[cut] == number
        if min(mine.shape) < 2:
            continue
        spare = np.where(mine, values[cut] - need, -np.inf)
        profiles = (spare.max(axis=(1, 2)), spare.max(axis=(0, 2)), spare.max(axis=(0, 1)))
        first = np.array([_first_above(profile, axis) for profile, axis in zip(profiles, own, strict=True)]) + tight_mm
        if clearance.on_board:
            first[2] = 0.0  # a chunk stands on the board
        hollows.append(Hollow((own[0], own[1], own[2]), mine, first))
    return tuple(hollows)


def _first_above(spare: Doubles, places: Doubles) -> float:
    """Return where a row of clearances first rises above nought, between its nodes."""
    above = int(np.argmax(spare >= 0))
    if above == 0 or not np.isfinite(spare[above - 1]):
        return float(places[above])
    below, reached = float(spare[above - 1]), float(spare[above])
    return float(places[above] - (places[above] - places[above - 1]) * reached / max(reached - below, 1e-9))
