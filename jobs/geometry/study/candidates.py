"""The pulls that a search tries, and how awkward a shell of some of them is to make and to pull."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats
from jobs.geometry.study.directions import Direction, direction

_APART_DEG = 15
# Two pulls nearer than this are one.
_SAME_DEG = 1.0
# A side that rises less than this against every pull is pulled along, not off.
GRAZING_DEG = 3.0


def candidate_pulls(vertices: Floats, faces: NDArray[np.integer], *, on_board: bool) -> list[Direction]:
    """Return pulls spread over all sides, 15° apart, with the opposite of each; on a board the level and the rising ones.

    The axes of the surface's own spread are among them, and on a board their level parts.
    """
    found: list[Direction] = []
    for lift in range(-90, 91, _APART_DEG):
        count = max(2 * round(math.cos(math.radians(lift)) * 180 / _APART_DEG), 1)
        found += [direction(360.0 * n / count, lift) for n in range(count)]
    for axis in principal_axes(vertices, faces):
        level = np.array([axis[0], axis[1], 0.0])
        found += [_unit(sign * way) for way in (axis, level) for sign in (1.0, -1.0) if np.linalg.norm(way) > 0.1]
    if on_board:
        found = [pull for pull in found if pull.z > -1e-9]
    kept: list[Direction] = []
    for pull in found:
        if not any(angle_deg(pull, other) < _SAME_DEG for other in kept):
            kept.append(pull)
    return kept


def principal_axes(vertices: Floats, faces: NDArray[np.integer]) -> Doubles:
    """Return the axes of the surface's spread about its middle, rows of (3, 3), the longest first."""
    points = np.asarray(vertices, dtype=np.float64)
    corners = [points[faces[:, corner]] for corner in range(3)]
    areas = np.linalg.norm(np.cross(corners[1] - corners[0], corners[2] - corners[0]), axis=1)
    middles = (corners[0] + corners[1] + corners[2]) / 3
    about = middles - (areas @ middles) / areas.sum()
    _, axes = np.linalg.eigh((about * areas[:, None]).T @ about)
    rows: Doubles = axes.T[::-1]
    return rows


def angle_deg(one: Direction, other: Direction) -> float:
    """Return the angle between two directions."""
    x, y, z = one.y * other.z - one.z * other.y, one.z * other.x - one.x * other.z, one.x * other.y - one.y * other.x
    return math.degrees(math.atan2(math.hypot(x, y, z), one.x * other.x + one.y * other.y + one.z * other.z))


def awkwardness(pulls: Sequence[Direction], axes: Doubles) -> float:
    """Say how awkward a shell with these pulls is to build: 0 for opposite pulls along the piece's own level axes, up to 1."""
    tilted = sum(min(abs(pull.lift_deg), 90.0 - abs(pull.lift_deg)) > 1.0 for pull in pulls) / len(pulls)
    askew = sum(_askew_deg(pull, axes) > 3.0 for pull in pulls) / len(pulls)
    opposite = any(angle_deg(one, other) > 179.0 for one in pulls for other in pulls)
    return 0.4 * tilted + 0.3 * askew + (0.0 if opposite else 0.3)


def _askew_deg(pull: Direction, axes: Doubles) -> float:
    way = np.array([pull.x, pull.y, pull.z])
    nearest = max(float(np.abs(axes @ way).max()), abs(pull.x), abs(pull.y), abs(pull.z))
    return math.degrees(math.acos(min(nearest, 1.0)))


def _unit(way: Doubles) -> Direction:
    x, y, z = (float(part) for part in way / np.linalg.norm(way))
    if abs(z) < 1e-9:
        x, y, z = x / math.hypot(x, y), y / math.hypot(x, y), 0.0
    return Direction(x=x, y=y, z=z)
