"""Where the solids and hollows of a tape-measured piece are set, since a tape does not tell: evenly around its side."""

import math
from dataclasses import dataclass

import numpy as np

from jobs.geometry.extras import Solid
from jobs.geometry.raw_mesh import Doubles, Ints
from jobs.geometry.solids import SolidKind
from jobs.geometry.tape_shapes import SIDES

HEIGHTS = 25
STARTS = 6
# Room between neighbours, as a share of their size.
APART = 1.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A spot on the body: the point, and the axes of what sits there, (3, 3), whose last row points out of the body."""

    point: Doubles
    axes: Doubles


def half_width(solid: Solid) -> float:
    """Return how far a solid reaches sideways from the line on which it stands out of the body. [mm]"""
    lengths = solid.dimensions_mm
    match solid.kind:
        case SolidKind.BOX:
            return math.hypot(lengths[0], lengths[1]) / 2
        case SolidKind.FRUSTUM | SolidKind.ELLIPSOID:
            return max(lengths[0], lengths[1]) / 2
        case SolidKind.TORUS:
            return (lengths[0] + lengths[1]) / 2
    return lengths[0] / 2


def half_height(solid: Solid) -> float:
    """Return how far a solid on the side reaches up and down from its middle. [mm]"""
    return solid.dimensions_mm[0] / 2 if solid.kind is SolidKind.BOX else half_width(solid)


class Places:
    """Hands out places on the side of a body, keeping those already taken in mind."""

    def __init__(self, vertices: Doubles, faces: Ints) -> None:
        self._corners = vertices[faces]
        self.high = float(vertices[:, 2].max())
        self._taken = np.empty((0, 4))
        self._girth: dict[float, float] = {}

    def rows(self, solid: Solid) -> list[list[Place]]:
        """Return the places of all solids of one entry, row by row; those of a row lie at one height."""
        size = half_width(solid)
        left, rows = solid.count, []
        while left:
            height, start, number = self._best_row(solid, left)
            turns = [_on_a_side(start + 2 * math.pi * turn / number) for turn in range(number)]
            row = [place for place in (self.on_side(height, turn) for turn in turns) if place is not None]
            if not row:
                row = [self.on_top()]
            self._taken = np.vstack([self._taken, [(*place.point, size) for place in row]])
            rows.append(row[:left])
            left -= len(rows[-1])
        return rows

    def on_side(self, height: float, turn: float) -> Place | None:
        """Return the outermost point of the body at a height and angle, with the way out of it; None where there is none."""
        way = np.array([math.cos(turn), math.sin(turn), 0.0])
        found = _outermost(self._corners, np.array([0.0, 0.0, height]), way)
        return None if found is None else Place(point=found[0], axes=_axes(found[1]))

    def on_top(self) -> Place:
        """Return the middle of the top."""
        return Place(point=np.array([0.0, 0.0, self.high]), axes=np.eye(3))

    def radius(self, height: float) -> float:
        """Return how far the body reaches from its axis at a height, 0 where it has nothing. [mm]"""
        if height not in self._girth:
            place = self.on_side(height, _on_a_side(0.0))
            self._girth[height] = 0.0 if place is None else float(np.hypot(*place.point[:2]))
        return self._girth[height]

    def _best_row(self, solid: Solid, left: int) -> tuple[float, float, int]:
        """Choose a height, a first angle and how many fit there: clear of others first, then on the widest, then midway."""
        size, margin = half_width(solid), min(half_height(solid), 0.45 * self.high)
        best, chosen = (-math.inf, -math.inf, -math.inf), (self.high / 2, 0.0, 1)
        for height in np.linspace(margin, self.high - margin, HEIGHTS) + 1e-6 * self.high:
            radius = self.radius(float(height))
            if radius <= 0:
                continue
            number = min(left, max(1, int(math.pi * radius / (size * APART))))
            for start in np.arange(STARTS) * 2 * math.pi / number / STARTS:
                turns = start + 2 * math.pi * np.arange(number) / number
                points = np.column_stack([radius * np.cos(turns), radius * np.sin(turns), np.full(number, height)])
                room = self._room(points, size)
                rank = (min(room, 0.0) / size, round(min(radius / size, 3.0), 1) * number, -abs(height / self.high - 0.5))
                if rank > best:
                    best, chosen = rank, (float(height), float(start), number)
        return chosen

    def _room(self, points: Doubles, size: float) -> float:
        if not len(self._taken):
            return math.inf
        gaps = np.linalg.norm(points[:, None] - self._taken[None, :, :3], axis=2) - APART * (self._taken[:, 3] + size)
        return float(gaps.min())


def _on_a_side(turn: float) -> float:
    """Turn to the middle of the nearest of the body's flat sides."""
    step = 2 * math.pi / SIDES
    return round(turn / step) * step


def _axes(outward: Doubles) -> Doubles:
    """Return axes for a solid that stands out of the body: its length up, its width level."""
    up = np.array([0.0, 0.0, 1.0]) if abs(outward[2]) < 0.99 else np.array([1.0, 0.0, 0.0])
    level = np.cross(outward, up)
    level /= np.linalg.norm(level)
    return np.stack([np.cross(level, outward), level, outward])


def _outermost(corners: Doubles, start: Doubles, way: Doubles) -> tuple[Doubles, Doubles] | None:
    """Return the last point where a ray leaves the body and the normal there (published: Möller and Trumbore)."""
    a, e1, e2 = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    p = np.cross(way, e2)
    det = np.einsum("ij,ij->i", e1, p)
    with np.errstate(divide="ignore", invalid="ignore"):
        t0 = start - a
        u = np.einsum("ij,ij->i", t0, p) / det
        q = np.cross(t0, e1)
        v = q @ way / det
        along = np.einsum("ij,ij->i", e2, q) / det
        hit = (np.abs(det) > 1e-12) & (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (along > 0)
    if not hit.any():
        return None
    last = int(np.flatnonzero(hit)[np.argmax(along[hit])])
    normal = np.cross(e1[last], e2[last])
    return start + along[last] * way, normal / np.linalg.norm(normal)
