"""Distances to the filled outside, on the grid of the distances to the piece."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.field_build import distances_on_grid
from jobs.geometry.study.fill import CoatedSurface
from jobs.geometry.study.filled_solid import FilledSolid, filled_solid

# Distances are exact this many steps outside at the least.
_LEAST_STEPS = 3
# A corner this share of a step off the coat belongs to fill.
_OFF_THE_COAT = 2e-4


def outside_field(
    coated: CoatedSurface,
    maps: Sequence[DepthMap],
    parting: PartingPlane | None,
    like: DistanceField,
    *,
    solid: FilledSolid | None = None,
    high_mm: float | None = None,
) -> DistanceField:
    """Measure signed distances to the filled outside, negative inside; on a board the base is not part of it.

    Parameters
    ----------
    coated, maps, parting
        As for `filled_solid`.
    like : DistanceField
        Its nodes are taken.
    solid : FilledSolid, optional
        Of the same division, when it is at hand: it is then not made again.
    high_mm : float, optional
        How far outside distances are exact, and in the fill inside; otherwise as far as `like` reaches beyond the coat.

    Raises
    ------
    GeometryError
        When the pulls leave no end to the fill.

    Notes
    -----
    Outside, the coat is as far as the piece less the wall, and where that way is barred, fill lies nearer: so only distances
    to the fill's own triangles are measured, when `like` is the field that the coat was made from. In the rubber the coat
    counts as near also where fill covers it; the sign is right there, and the distance at most too small.
    """
    solid = filled_solid(coated, maps, parting=parting) if solid is None else solid
    high = max(like.high_mm - coated.wall_mm, _LEAST_STEPS * like.step_mm) if high_mm is None else high_mm
    if like is not coated.field or solid.sides.shape != like.values.shape or high > like.high_mm - coated.wall_mm:
        return distances_on_grid(
            build_tree(solid.vertices, solid.faces), like, low_mm=-high, high_mm=high, on_board=coated.on_board
        )  # fmt: skip
    values = like.values - np.float32(coated.wall_mm)
    fill = _fill_faces(solid, coated)
    if len(fill):
        # On an open patch no side is in or out, so the band is the same on both.
        band = distances_on_grid(build_tree(solid.vertices, fill), like, low_mm=-high, high_mm=high, on_board=False)
        values = _with_fill(values, np.abs(band.values), solid.sides, np.float32(1e-4 * like.step_mm))
    low = max(like.low_mm - coated.wall_mm, -high)
    return DistanceField(values=values, origin=like.origin, step_mm=like.step_mm, low_mm=low, high_mm=high)


def _fill_faces(solid: FilledSolid, coated: CoatedSurface) -> NDArray[np.int32]:
    off = np.abs(coated.field.at(solid.vertices) - coated.wall_mm) > _OFF_THE_COAT * coated.field.step_mm
    faces: NDArray[np.int32] = solid.faces[off[solid.faces].any(axis=1)]
    return faces


def _with_fill(
    coat: NDArray[np.float32], fill: NDArray[np.float32], sides: NDArray[np.int8], least: np.float32
) -> NDArray[np.float32]:
    """Join signed distances to the coat and unsigned ones to fill; no node changes its side."""
    in_rubber = np.maximum(coat, -fill)
    in_fill = np.minimum(-fill, -least)
    outside = np.maximum(np.minimum(coat, fill), least)
    joined: NDArray[np.float32] = np.where(sides > 0, outside, np.where(coat < 0, in_rubber, in_fill))
    return joined
