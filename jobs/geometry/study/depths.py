"""Depth pictures of a surface along pulls."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_depth import draw_all, frame_extent, frame_extents
from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Doubles, Floats
from jobs.geometry.study.depth_map import DepthMap, frame_across
from jobs.geometry.study.directions import Direction

_MOST_PIXELS = 400_000_000


def depth_map(vertices: Floats, faces: NDArray[np.integer], pull: Direction, *, pixel_mm: float) -> DepthMap:
    """Return how far out a surface reaches along one pull (see `depth_maps`)."""
    return depth_maps(vertices, faces, (pull,), pixel_mm=pixel_mm)[0]


def depth_maps(
    vertices: Floats, faces: NDArray[np.integer], pulls: Sequence[Direction], *, pixel_mm: float
) -> tuple[DepthMap, ...]:
    """Return how far out a surface reaches along each pull.

    Parameters
    ----------
    vertices, faces : ndarray, (n, 3) and (m, 3)
        Closed and oriented outward, or open where no pull looks from: faces that look away are not drawn. [mm]
    pulls : sequence of Direction
        Where it is looked from.
    pixel_mm : float
        Size of the pixels. [mm]

    Returns
    -------
    tuple of DepthMap
        A pixel's height is that of the surface over its middle.

    Raises
    ------
    GeometryError
        For a pixel that is none, or so small that the pictures do not fit into memory.
    """
    if not (math.isfinite(pixel_mm) and pixel_mm > 0):
        raise GeometryError("The pixel must be a length above 0 mm.")
    return draw_maps(*as_drawn(vertices, faces), pulls, pixel_mm=pixel_mm)


def draw_maps(
    points: NDArray[np.float32],
    faces: NDArray[np.int32],
    pulls: Sequence[Direction],
    *,
    pixel_mm: float,
    turn_rad: float = 0.0,
) -> tuple[DepthMap, ...]:
    """Draw depth maps (see `depth_maps`) whose pixels are turned about the pull."""
    if not pulls:
        return ()
    frames = np.stack([pull_frame(pull, turn_rad) for pull in pulls])
    corners, shapes = picture_sizes(points, frames, pixel_mm)
    sizes = shapes[:, 0] * shapes[:, 1]
    if int(sizes.sum()) > _MOST_PIXELS:
        raise GeometryError(f"A pixel of {pixel_mm:g} mm is too fine for a piece of this size.")
    starts = np.cumsum(sizes) - sizes
    pixels = np.empty(int(sizes.sum()), np.float32)
    draw_all(points, faces, frames, pixel_mm, corners, shapes, starts, pixels)
    return tuple(
        DepthMap(
            pull=pull, across=frames[n, :2], corner=corners[n], pixel_mm=pixel_mm,
            highest=pixels[starts[n] : starts[n] + sizes[n]].reshape(shapes[n]),
        )
        for n, pull in enumerate(pulls)
    )  # fmt: skip


def pull_frame(pull: Direction, turn_rad: float = 0.0) -> Doubles:
    """Return the rows u, v, turned about the pull, and the pull itself, (3, 3)."""
    u, v = frame_across(pull)
    cosine, sine = math.cos(turn_rad), math.sin(turn_rad)
    return np.stack([cosine * u + sine * v, cosine * v - sine * u, (pull.x, pull.y, pull.z)])


def picture_sizes(vertices: NDArray[np.float32], frames: Doubles, pixel_mm: float) -> tuple[Doubles, NDArray[np.int64]]:
    """Return (u, v) of the first pixel (k, 2) and rows and columns (k, 2) of pictures that hold all, with a rim of a pixel."""
    if len(frames) == 1:
        # Nothing to share among processors: waking them would take longer.
        extents = np.empty((1, 2, 2))
        frame_extent(vertices, frames[0], extents[0])
    else:
        extents = frame_extents(vertices, frames)
    corners: Doubles = extents[:, 0] - pixel_mm
    counts = np.ceil((extents[:, 1] - corners) / pixel_mm).astype(np.int64) + 2
    return corners, np.ascontiguousarray(counts[:, ::-1])


def as_drawn(vertices: Floats, faces: NDArray[np.integer]) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """Return a mesh in the one type that kernels are compiled for."""
    return np.ascontiguousarray(vertices, dtype=np.float32), np.ascontiguousarray(faces, dtype=np.int32)
