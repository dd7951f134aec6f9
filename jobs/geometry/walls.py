"""Walls measured at a ladder of thicknesses, and what lies between its rungs."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One measured wall: its volume, how far that may be off, and the area of its far side."""

    thickness_mm: float
    volume_mm3: float
    bound_mm3: float
    area_mm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredWalls:
    """Walls over a piece (`blanket`) and inside it (`casting`), each by growing thickness.

    From `solid_from_mm` on a casting is solid; nought when that was not reached.
    """

    blanket: tuple[Rung, ...]
    casting: tuple[Rung, ...] = ()
    solid_from_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse ladders that do not grow."""
        for ladder in (self.blanket, self.casting):
            numbers = [(rung.thickness_mm, rung.volume_mm3, rung.bound_mm3, rung.area_mm2) for rung in ladder]
            if not all(math.isfinite(number) and number >= 0 for rung in numbers for number in rung):
                raise GeometryError("A measured wall is not a number; measure the piece again.")
            if any(thick >= next_thick for (thick, *_), (next_thick, *_) in itertools.pairwise(numbers)):
                raise GeometryError("The measured walls are out of order; measure the piece again.")


def growing(ladder: Sequence[Rung]) -> tuple[Rung, ...]:
    """Keep the rungs whose volume grows with the wall; one that falls back within its bound is left out."""
    kept: list[Rung] = []
    for rung in ladder:
        if not kept or rung.volume_mm3 > kept[-1].volume_mm3:
            kept.append(rung)
    return tuple(kept)


def wall_between(ladder: Sequence[Rung], thickness_mm: float, *, area_mm2: float) -> Rung | None:
    """Read a wall off its ladder.

    Parameters
    ----------
    ladder : sequence of Rung
        By growing thickness and volume.
    thickness_mm : float
        0 or more. [mm]
    area_mm2 : float
        Area of the surface itself, the slope at nought. [mm²]

    Returns
    -------
    Rung or None
        Exact at the rungs; None beyond the last one.

    Notes
    -----
    The derivative of a wall's volume is the area of its far side, so both ends of a step give a value and a slope: a cubic,
    with slopes held to three times the step's mean, which keeps it growing. Its bound is that of the rungs, and how far the
    two parabolas through one slope each lie from it.

    References
    ----------
    Published: F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17, 1980 (from memory).
    """
    below = Rung(thickness_mm=0.0, volume_mm3=0.0, bound_mm3=0.0, area_mm2=area_mm2)
    for above in ladder:
        if thickness_mm <= above.thickness_mm:
            return _inside_step(below, above, thickness_mm)
        below = above
    return None


def _inside_step(below: Rung, above: Rung, thickness_mm: float) -> Rung:
    step = above.thickness_mm - below.thickness_mm
    rise = above.volume_mm3 - below.volume_mm3
    s = (thickness_mm - below.thickness_mm) / step
    first, last = (min(max(rung.area_mm2 * step, 0.0), 3 * rise) for rung in (below, above))
    # The step's value is rise · (3 s² − 2 s³) + first · s (1 − s)² − last · s² (1 − s).
    grown = rise * s * s * (3 - 2 * s) + first * s * (1 - s) ** 2 - last * s * s * (1 - s)
    slope = (6 * rise * s * (1 - s) + first * (1 - s) * (1 - 3 * s) + last * s * (3 * s - 2)) / step
    by_first = first * s + (rise - first) * s * s
    by_last = last * s + (rise - last) * s * (2 - s)
    apart = max(abs(grown - by_first), abs(grown - by_last))
    return Rung(
        thickness_mm=thickness_mm,
        volume_mm3=below.volume_mm3 + grown,
        bound_mm3=(1 - s) * below.bound_mm3 + s * above.bound_mm3 + apart,
        area_mm2=max(slope, 0.0),
    )
