"""Flat regions: loops with holes, and their areas."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from jobs.geometry.raw_mesh import Doubles


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A part of a plane.

    Attributes
    ----------
    loops : tuple of ndarray, each (n, 2)
        Closed lines whose last point joins the first; outer ones run counter-clockwise, holes clockwise. [mm]
    """

    loops: tuple[Doubles, ...] = ()

    @property
    def area_mm2(self) -> float:
        """Area, holes left out."""
        return max(0.0, sum(signed_area(loop) for loop in self.loops))

    @property
    def box(self) -> tuple[float, float, float, float] | None:
        """Least and greatest across, least and greatest up; None for nothing."""
        if not self.loops:
            return None
        low = np.min([loop.min(axis=0) for loop in self.loops], axis=0)
        high = np.max([loop.max(axis=0) for loop in self.loops], axis=0)
        return float(low[0]), float(high[0]), float(low[1]), float(high[1])

    def __bool__(self) -> bool:
        return bool(self.loops)


def signed_area(loop: Doubles) -> float:
    """Area inside a loop, negative when it runs clockwise (published: shoelace formula)."""
    x, y = loop[:, 0] - loop[0, 0], loop[:, 1] - loop[0, 1]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def cleaned(loops: Sequence[Doubles]) -> Region:
    """Make one region of loops that may touch or overlap: what lies inside at least one turn of them."""
    import manifold3d

    kept = [np.ascontiguousarray(loop, dtype=np.float64) for loop in loops if len(loop) >= 3]
    if not kept:
        return Region()
    union = manifold3d.CrossSection(kept, manifold3d.FillRule.NonZero)
    return Region(loops=tuple(np.asarray(loop, dtype=np.float64) for loop in union.to_polygons()))


def above(region: Region, lowest: float) -> Region:
    """Cut off what lies below a height."""
    import manifold3d

    box = region.box
    if box is None or box[2] >= lowest:
        return region
    if box[3] <= lowest:
        return Region()
    wide, high = box[1] - box[0] + 2, box[3] - lowest + 1
    keep = manifold3d.CrossSection.square((wide, high)).translate((box[0] - 1, lowest))
    cut = manifold3d.CrossSection([np.ascontiguousarray(loop) for loop in region.loops], manifold3d.FillRule.NonZero) ^ keep
    return Region(loops=tuple(np.asarray(loop, dtype=np.float64) for loop in cut.to_polygons()))


def thinned(loop: Doubles, tolerance: float, *, passes: int = 6) -> Doubles:
    """Drop points that lie within a tolerance of the line between their neighbours, every second one at a time."""
    for turn in range(passes):
        if len(loop) < 8:
            break
        before, after = np.roll(loop, 1, axis=0), np.roll(loop, -1, axis=0)
        along, off = after - before, loop - before
        length = np.hypot(along[:, 0], along[:, 1])
        reach = np.hypot(off[:, 0], off[:, 1])
        with np.errstate(divide="ignore", invalid="ignore"):
            gap = np.where(length > 0, np.abs(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / length, reach)
        spare = gap < tolerance
        spare[turn % 2 :: 2] = False
        if turn % 2 == 0 and len(loop) % 2:
            spare[-1] = False
        loop = loop[~spare]
    return loop
