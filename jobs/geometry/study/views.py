"""What every pull sees of a coated piece and of the air around it: looked at once, asked by every search."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_views import hidden_bits
from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.candidates import GRAZING_DEG, candidate_pulls, principal_axes
from jobs.geometry.study.depths import picture_sizes, pull_frame
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.fill import CoatedSurface, coarser

# Points of a lattice about the coated piece. Two pulls at right angles hide points that stand out of the box's corners, so
# points are wanted up to a share of the box beyond it.
_POINTS = 60_000
_BEYOND = 0.15
# Places of the surface, in words of 64, at which its slope against the pulls is looked at.
_PLACES = 64 * 40
# Pixels across the longest side of the box.
_PIXELS = 160
# With more triangles than this, views are counted on a surface from every other node of the grid.
_MOST_FACES = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Views:
    """What pulls (k) hide.

    Attributes
    ----------
    light : CoatedSurface, optional
        What was looked at, where it was not the coated surface itself but a coarser one.
    points : ndarray, shape (n, 3), float32
        In the air; the last bits of their last word belong to none.
    bits : ndarray, shape (k, words), uint64
        Of each point in the air whether a pull hides it.
    point_mm3 : float
        Volume that a point stands for.
    places : ndarray, shape (m, 3), float32
        Just off the surface, each for an equal share of it.
    slopes : ndarray, shape (k, m), float32
        Sine of the angle at which the surface rises against the pull there, 1 for a side that faces it; −2 where hidden.
    cosines : ndarray, shape (k, k)
        Between every two pulls.
    axes : ndarray, shape (3, 3)
        Of the surface's spread.
    """

    light: CoatedSurface | None
    pulls: list[Direction]
    points: NDArray[np.float32]
    bits: NDArray[np.uint64]
    point_mm3: float
    places: NDArray[np.float32]
    normals: NDArray[np.float32]
    slopes: NDArray[np.float32]
    cosines: Doubles
    axes: Doubles
    rubber_mm3: float

    def grazed(self, chosen: Sequence[int]) -> float:
        """Return the share of the surface that these pulls see, but at grazing slope only."""
        best = self.slopes[list(chosen)].max(axis=0)
        return float(np.count_nonzero((best > -0.1) & (best < math.sin(math.radians(GRAZING_DEG)))) / len(best))


_looked_at: WeakKeyDictionary[CoatedSurface, Views] = WeakKeyDictionary()


def look_around(coated: CoatedSurface, pinned: Sequence[Direction] = ()) -> Views:
    """Look at a coated piece from all sides, once for all searches; the pinned pulls come first."""
    views = _looked_at.get(coated)
    if views is None:
        light = coarser(coated) if len(coated.faces) > _MOST_FACES else coated
        pulls = candidate_pulls(light.vertices, light.faces, on_board=light.on_board)
        places, normals = _places(light)
        points, spacing = _air(light)
        bits, slopes = _look(light, pulls, points, places, normals)
        views = _looked_at[coated] = Views(
            light=None if light is coated else light, pulls=pulls, points=points, bits=bits, point_mm3=spacing**3,
            places=places, normals=normals,
            slopes=slopes, cosines=_cosines(pulls),
            axes=principal_axes(light.vertices, light.faces), rubber_mm3=rubber_mm3(coated),
        )  # fmt: skip
    if not pinned:
        return views
    bits, slopes = _look(views.light or coated, list(pinned), views.points, views.places, views.normals)
    pulls = [*pinned, *views.pulls]
    return replace(
        views, pulls=pulls, cosines=_cosines(pulls), bits=np.concatenate([bits, views.bits]),
        slopes=np.concatenate([slopes, views.slopes]),
    )  # fmt: skip


def _cosines(pulls: Sequence[Direction]) -> Doubles:
    ways = np.array([(pull.x, pull.y, pull.z) for pull in pulls])
    cosines: Doubles = ways @ ways.T
    return cosines


def rubber_mm3(coated: CoatedSurface) -> float:
    """Return the volume of the wall itself, as well as the grid tells."""
    field = coated.field
    inside = np.clip(0.5 - field.values / np.float32(field.step_mm), 0.0, 1.0)
    if coated.on_board:
        inside[:, :, 0] *= 0.5
    return max(coated.volume_mm3 - float(inside.sum(dtype=np.float64)) * field.step_mm**3, 0.0)


def _look(
    coated: CoatedSurface,
    pulls: list[Direction],
    points: NDArray[np.float32],
    places: NDArray[np.float32],
    normals: NDArray[np.float32],
) -> tuple[NDArray[np.uint64], NDArray[np.float32]]:
    pixel = _pixel_mm(coated)
    frames = np.stack([pull_frame(pull) for pull in pulls])
    corners, shapes = picture_sizes(coated.vertices, frames, pixel)
    asked = np.concatenate([places, points])
    bits = np.empty((len(pulls), -(-len(asked) // 64)), np.uint64)
    hidden_bits(coated.vertices, coated.faces, frames, pixel, corners, shapes, asked, bits)
    words = len(places) // 64
    hides = np.unpackbits(np.ascontiguousarray(bits[:, :words]).view(np.uint8), axis=1, bitorder="little").astype(bool)
    slopes = frames[:, 2].astype(np.float32) @ normals.T
    slopes[hides] = -2.0
    return np.ascontiguousarray(bits[:, words:]), slopes


def _pixel_mm(coated: CoatedSurface) -> float:
    return max(coated.field.step_mm, float(np.ptp(coated.vertices, axis=0).max()) / _PIXELS)


def _places(coated: CoatedSurface) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return places a pixel off the surface, evenly over its area, and the way out there."""
    a, b, c = (coated.vertices[coated.faces[:, corner]].astype(np.float64) for corner in range(3))
    ways = np.cross(b - a, c - a)
    sizes = np.linalg.norm(ways, axis=1)
    ends = np.cumsum(sizes)
    chosen = np.searchsorted(ends, (np.arange(_PLACES) + 0.5) / _PLACES * ends[-1])
    normals = ways[chosen] / np.maximum(sizes[chosen], 1e-12)[:, None]
    places = (a + b + c)[chosen] / 3 + normals * _pixel_mm(coated)
    return places.astype(np.float32), normals.astype(np.float32)


def _air(coated: CoatedSurface) -> tuple[NDArray[np.float32], float]:
    low, high = coated.vertices.min(axis=0).astype(np.float64), coated.vertices.max(axis=0).astype(np.float64)
    margin = _BEYOND * (high - low)
    low, high = low - margin, high + margin
    if coated.on_board:
        low[2] = 0.0
    spacing = math.cbrt(float(np.prod(high - low)) / _POINTS)
    axes = [np.arange(a + spacing / 2, b, spacing) for a, b in zip(low, high, strict=True)]
    points = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    return points[_distances(coated.field, points) > coated.wall_mm].astype(np.float32), spacing


def _distances(field: DistanceField, points: Doubles) -> NDArray[np.float32]:
    nodes = np.clip(np.rint((points - field.origin) / field.step_mm).astype(np.int64), 0, np.array(field.values.shape) - 1)
    found: NDArray[np.float32] = field.values[nodes[:, 0], nodes[:, 1], nodes[:, 2]]
    return found
