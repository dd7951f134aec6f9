"""Hollows that go right through a tape-measured piece: laid where the piece is as wide as they are long."""

import math
from typing import Any

import numpy as np

from jobs.geometry.extras import Solid
from jobs.geometry.tape_joining import wanted_of
from jobs.geometry.tape_places import Places, half_width

LEVELS = 17
SHIFTS = 24


def drilled(solid: Solid, shape: Any, body: Any, places: Places) -> list[Any]:
    """Return the hollows of one entry, longer than the body is wide so that they open at both ends.

    They lie level, beside the axis where the body is wider than they are long; where it is nowhere as wide but as tall,
    they go down through it.
    """
    size, length = half_width(solid), solid.dimensions_mm[-1]
    tall = places.high
    margin = min(size, tall / 2)
    number = min(LEVELS, max(1, 1 + int((tall - 2 * margin) / (2.3 * size))))
    levels = np.linspace(margin, tall - margin, number) if number > 1 else np.array([tall / 2])
    levels = levels + 1e-6 * tall
    widths = np.array([2 * places.radius(float(level)) for level in levels])
    box = body.bounding_box()
    reach = math.dist(box[:3], box[3:]) + length
    core = shape.slice(length / 2).extrude(2 * reach).translate((0, 0, -reach))
    fits = widths >= 0.98 * length
    if not fits.any() and abs(length / tall - 1) < 0.1:
        ring = 0.0 if solid.count == 1 else 0.25 * float(widths.max())
        turns = [2 * math.pi * turn / solid.count for turn in range(solid.count)]
        return [core.translate((ring * math.cos(turn), ring * math.sin(turn), 0)) for turn in turns]
    usable = np.flatnonzero(fits) if fits.any() else np.array([int(np.argmax(widths))])
    ordered = sorted((float(levels[at]) for at in usable), key=lambda level: abs(level - tall / 2))
    level_core = core.rotate((0, 90, 0))
    wanted = -wanted_of(solid).volume_mm3
    shifts = {level: _shift(body, level_core, level, places.radius(level), wanted) for level in ordered[: solid.count]}
    spots = [(shift * side, level) for side in (1, -1) for level, shift in shifts.items()]
    return [level_core.translate((0.0, *spots[turn % len(spots)])) for turn in range(solid.count)]


def _shift(body: Any, core: Any, level: float, radius: float, wanted_mm3: float) -> float:
    """Return how far beside the axis a level hole takes away what it should."""
    low, high = 0.0, 0.97 * radius
    best = 0.0
    for _ in range(2):
        shifts = np.linspace(low, high, SHIFTS)
        off = [abs((body ^ core.translate((0.0, float(shift), level))).volume() - wanted_mm3) for shift in shifts]
        at = int(np.argmin(off))
        best = float(shifts[at])
        low, high = float(shifts[max(at - 1, 0)]), float(shifts[min(at + 1, SHIFTS - 1)])
    return best
