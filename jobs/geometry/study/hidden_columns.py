"""Volumes that several views of a solid all hide, measured column by column along the first view."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_depth import project
from jobs.geometry.engine.kernel_views import cross_columns, hidden_columns
from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.depths import draw_maps, picture_sizes, pull_frame
from jobs.geometry.study.directions import Direction

# Turns of the columns, and of the pictures, about their pulls [rad]: straight edges and flat sides would else meet all pixels
# alike, and errors that otherwise cancel would add up. Any odd angles do.
_COLUMNS_TURN, _PICTURES_TURN = 0.5180, 0.3217
# Views whose cosine is nearer to 1 than this look the same way, or the opposite way.
_SAME = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """A surface, closed or open at the board, and the sides of planes (p, 4) on which alone volume counts: n · x + d ≥ 0."""

    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    planes: Doubles


def hidden_mm3(solid: Solid, pulls: Sequence[Direction], *, pixel_mm: float) -> float:
    """Measure what lies outside a solid and is hidden from every pull; infinite when there is no end to it.

    Notes
    -----
    Along the first pull each column's crossings with the surface are exact; other pulls are asked by their pictures, at the
    middles of pieces as long as a pixel. A pull opposite to the first sees the very same crossings. Errors at outlines have
    no preferred sign, since columns and pictures stand turned against each other and against the pulls' own axes; but where
    a flat side lies along several pulls, one that misplaces its outline counts for all, so pictures are twice as fine.
    """
    first, others = pulls[0], []
    through = False
    for pull in pulls[1:]:
        cosine = first.x * pull.x + first.y * pull.y + first.z * pull.z
        through = through or cosine < _SAME - 1
        if abs(cosine) < 1 - _SAME:
            others.append(pull)
    maps = draw_maps(solid.vertices, solid.faces, others, pixel_mm=pixel_mm / 2, turn_rad=_PICTURES_TURN)
    # Columns that meet no picture are cheap: more of them make up for outlines that cut columns at random.
    width = pixel_mm if others else pixel_mm / 2
    lengths = hidden_columns(*_crossings(solid, first, width), solid.planes, *_packed(maps), through)
    return float(lengths.sum()) * width**2


def _crossings(
    solid: Solid, pull: Direction, pixel_mm: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float32], NDArray[np.int8], Doubles, float, Doubles]:
    frame = pull_frame(pull, _COLUMNS_TURN)
    corners, shapes = picture_sizes(solid.vertices, frame[None], pixel_mm)
    places = np.empty((len(solid.vertices), 3), np.float32)
    project(solid.vertices, frame, pixel_mm, places)
    u0, v0 = corners[0] / pixel_mm
    counts = np.zeros(tuple(shapes[0]), np.int64)
    none, nowhere = np.empty(0, np.float32), np.empty(0, np.int8)
    cross_columns(places, solid.faces, u0, v0, False, counts, none, nowhere)
    ends = np.cumsum(counts.reshape(-1)).reshape(counts.shape) - counts
    total = int(counts.sum())
    heights, ways = np.empty(total, np.float32), np.empty(total, np.int8)
    cross_columns(places, solid.faces, u0, v0, True, ends, heights, ways)
    return ends, counts, heights, ways, frame, pixel_mm, corners[0]


def _packed(
    maps: Sequence[DepthMap],
) -> tuple[NDArray[np.float32], NDArray[np.int64], NDArray[np.int64], Doubles, Doubles, float, Doubles]:
    """Return the pictures one after another: pixels, starts, shapes, corners, frames, pixel, greatest heights."""
    if not maps:
        nothing = np.empty(0, np.int64)
        return (np.empty(0, np.float32), nothing, np.empty((0, 2), np.int64), np.empty((0, 2)), np.empty((0, 3, 3)), 1.0,
                np.empty(0))  # fmt: skip
    sizes = np.array([one.highest.size for one in maps])
    return (
        np.concatenate([one.highest.reshape(-1) for one in maps]), np.cumsum(sizes) - sizes,
        np.array([one.highest.shape for one in maps]), np.stack([one.corner for one in maps]),
        np.stack([np.vstack([one.across, (one.pull.x, one.pull.y, one.pull.z)]) for one in maps]), maps[0].pixel_mm,
        np.array([float(one.highest.max()) for one in maps]),
    )  # fmt: skip
