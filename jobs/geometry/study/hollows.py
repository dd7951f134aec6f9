"""The parts of a fill that may take chunks, each in a box of its own."""

import math
from dataclasses import dataclass

import numpy as np

from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.clearance import Clearance

Bounds = tuple[Doubles, Doubles]


@dataclass(frozen=True, slots=True)
class Hollow:
    """A box around a part of the fill, and where along x, y and z the first chunk's middle can be. [mm]"""

    low: Doubles
    high: Doubles
    first: Doubles

    @property
    def size_mm3(self) -> float:
        """Volume of the box."""
        return float(np.prod(self.high - self.low))


def hollows_of(clearance: Clearance, *, radius_mm: float, cover_mm: float, tight_mm: float) -> tuple[Hollow, ...]:
    """Return the parts of the fill with room for balls of a radius, apart from each other by more than such a ball.

    The first chunk is laid `tight_mm` further in than they say.
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
    boxes = []
    for cut in find_objects(found):
        low = np.array([axis[piece.start] for axis, piece in zip(axes, cut, strict=True)]) - step
        high = np.array([axis[piece.stop - 1] for axis, piece in zip(axes, cut, strict=True)]) + step
        if clearance.on_board:
            low[2] = max(low[2], 0.0)
        boxes.append((low, high))
    hollows = []
    for low, high in _apart(boxes):
        cut = tuple(slice(*np.searchsorted(axis, [a, b]).tolist()) for axis, a, b in zip(axes, low, high, strict=True))
        spare = values[cut] - need
        first = np.array([
            _first_above(spare.max(axis=tuple({0, 1, 2} - {k})), axes[k][cut[k]]) for k in range(3)
        ])  # fmt: skip
        first += tight_mm
        if clearance.on_board:
            first[2] = 0.0  # a chunk stands on the board
        hollows.append(Hollow(low, high, first))
    return tuple(hollows)


def _first_above(spare: Doubles, places: Doubles) -> float:
    """Return where a row of clearances first rises above nought, between its nodes."""
    above = int(np.argmax(spare >= 0))
    if above == 0:
        return float(places[0])
    below, reached = float(spare[above - 1]), float(spare[above])
    return float(places[above] - (places[above] - places[above - 1]) * reached / max(reached - below, 1e-9))


def _apart(boxes: list[Bounds]) -> list[Bounds]:
    """Join boxes that overlap, so that no part of the fill is counted twice."""
    apart: list[Bounds] = []
    for box in boxes:
        joined = box
        while meets := [number for number, other in enumerate(apart) if _overlap(joined, other)]:
            other = apart.pop(meets[0])
            joined = (np.minimum(joined[0], other[0]), np.maximum(joined[1], other[1]))
        apart.append(joined)
    return apart


def _overlap(box: Bounds, other: Bounds) -> bool:
    return bool(np.all(box[0] < other[1]) and np.all(other[0] < box[1]))
