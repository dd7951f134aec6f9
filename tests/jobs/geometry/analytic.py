"""Shapes whose distances are known in closed form, with a mesh, as a study would leave them behind."""

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
import trimesh

from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.workspace import Workspace

Distance = Callable[[np.ndarray, np.ndarray, np.ndarray], np.ndarray]


def field_of(
    distance: Distance, *, half: tuple[float, float], heights: tuple[float, float], step_mm: float, high_mm: float = 60.0
) -> DistanceField:
    """A grid of distances over ±half in x and y and between two heights."""
    x, y = (np.arange(-side, side + step_mm, step_mm) for side in half)
    z = np.arange(heights[0], heights[1] + step_mm, step_mm)
    values = distance(x[:, None, None], y[None, :, None], z[None, None, :])
    return DistanceField(
        values=np.broadcast_to(values, (len(x), len(y), len(z))).astype(np.float32),
        origin=np.array([x[0], y[0], z[0]]), step_mm=step_mm, low_mm=-20.0, high_mm=high_mm,
    )  # fmt: skip


def workspace_of(mesh: trimesh.Trimesh, distance: DistanceField, **rest: object) -> Workspace:
    """A workspace of a mesh and its distances."""
    return Workspace(
        vertices=np.asarray(mesh.vertices, dtype=np.float32), faces=np.asarray(mesh.faces, dtype=np.int32), distance=distance,
        **rest,
    )  # fmt: skip


def to_ball(radius: float, height: float) -> Distance:
    """Distances to a ball whose middle lies over the origin."""
    return lambda x, y, z: np.sqrt(x**2 + y**2 + (z - height) ** 2) - radius


def to_box(a: float, b: float, c: float) -> Distance:
    """Distances to a box that stands at z = 0; on a board nothing below counts."""

    def distance(x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
        over = [np.abs(x) - a / 2 + 0 * y + 0 * z, np.abs(y) - b / 2 + 0 * x + 0 * z, z - c + 0 * x + 0 * y]
        outside = np.sqrt(sum(np.maximum(side, 0) ** 2 for side in over))
        return outside + np.minimum(np.max(over, axis=0), 0)

    return distance


def to_cylinder(radius: float, height: float) -> Distance:
    """Distances to a cylinder that stands on a board."""

    def distance(x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
        side, top = np.hypot(x, y) - radius + 0 * z, z - height + 0 * x + 0 * y
        return np.hypot(np.maximum(side, 0), np.maximum(top, 0)) + np.minimum(np.maximum(side, top), 0)

    return distance


def to_turned(profile: Sequence[tuple[float, float]]) -> Distance:
    """Distances to a body turned from a profile of (radius, height) points, base first, that stands on a board."""

    def distance(x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
        r = np.hypot(x, y) + 0 * z
        z = z + 0 * r
        nearest, inside = np.full(r.shape, np.inf), np.zeros(r.shape, dtype=bool)
        for (r1, z1), (r2, z2) in pairwise(profile):
            along = np.clip(((r - r1) * (r2 - r1) + (z - z1) * (z2 - z1)) / ((r2 - r1) ** 2 + (z2 - z1) ** 2), 0, 1)
            nearest = np.minimum(nearest, np.hypot(r - r1 - along * (r2 - r1), z - z1 - along * (z2 - z1)))
            if z2 > z1:
                inside |= (z >= z1) & (z <= z2) & (r < r1 + (z - z1) / (z2 - z1) * (r2 - r1))
        return np.where(inside, -nearest, nearest)

    return distance


def standing(mesh: trimesh.Trimesh, *, open_base: bool = False) -> trimesh.Trimesh:
    """Set a mesh on z = 0; without its base when that rests on a board."""
    mesh.apply_translation((0, 0, -mesh.bounds[0][2]))
    if open_base:
        mesh.update_faces(~(np.abs(mesh.triangles[:, :, 2]) < 1e-9).all(axis=1))
    return mesh
