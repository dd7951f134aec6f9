"""Bodies whose shells are divided in tests, and the coat over them."""

from typing import Any

import numpy as np
import trimesh

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depths import depth_maps
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.divide import Divided, divide
from jobs.geometry.study.field_build import build_field
from jobs.geometry.study.fill import CoatedSurface, coat

UP, DOWN = direction(0, 90), direction(0, -90)
EAST, NORTH, WEST, SOUTH = (direction(turn, 0) for turn in (0, 90, 180, 270))
THREE = tuple(direction(turn, 0) for turn in (0, 120, 240))


def revolved(profile: list[tuple[float, float]], sections: int = 360) -> Any:
    """Turn a profile (radius, height) about the z axis."""
    return trimesh.creation.revolve(np.array(profile, dtype=float), sections=sections)


def cup() -> Any:
    """Outer radius 60, inner 45, height 100, floor 20."""
    return revolved([(0, 0), (60, 0), (60, 100), (45, 100), (45, 20), (0, 20)])


def spool() -> Any:
    """Radius 60, with a groove of radius 30 from z 45 to 75."""
    return revolved([(0, 0), (60, 0), (60, 45), (30, 45), (30, 75), (60, 75), (60, 120), (0, 120)])


def ball(radius: float = 50.0, at: tuple[float, float, float] = (0, 0, 0)) -> Any:
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=radius)
    mesh.apply_translation(at)
    return mesh


def two_balls() -> Any:
    """Radius 30, 100 apart along z."""
    return trimesh.util.concatenate([ball(30), ball(30, (0, 0, 100))])


def block() -> Any:
    """100 × 80 × 60, standing on z = 0."""
    mesh = trimesh.creation.box((100, 80, 60))
    mesh.apply_translation((0, 0, 30))
    return mesh


def hand() -> Any:
    """A palm with four spread fingers and a thumb, on an arm that stands on z = 0; parts overlap, as in many a model."""
    parts = [trimesh.creation.capsule(height=80, radius=16, count=[24, 24])]
    palm = trimesh.creation.icosphere(subdivisions=3, radius=1)
    palm.apply_scale((38, 14, 42))
    palm.apply_translation((0, 0, 110))
    parts.append(palm)
    for x, lean in ((-24, -14), (-8, -4), (8, 5), (24, 15), (34, 55)):
        finger = trimesh.creation.capsule(height=60, radius=7, count=[16, 16])
        finger.apply_transform(trimesh.transformations.rotation_matrix(np.radians(lean), (0, 1, 0)))
        finger.apply_translation((x, 0, 140 if lean < 50 else 105))
        parts.append(finger)
    return trimesh.util.concatenate(parts)


def coated(mesh: Any, wall_mm: float, *, on_board: bool = False, step_mm: float | None = None) -> CoatedSurface:
    tree = build_tree(np.array(mesh.vertices), np.array(mesh.faces))
    field = build_field(tree, low_mm=0.0, high_mm=wall_mm + 2.0, on_board=on_board, step_mm=step_mm)
    return coat(field, wall_mm, on_board=on_board)


def divided(
    coat_of: CoatedSurface, pulls: tuple[Direction, ...], *, shell_mm: float = 6.0, parting: PartingPlane | None = None
) -> Divided:
    maps = depth_maps(coat_of.vertices, coat_of.faces, pulls, pixel_mm=coat_of.field.step_mm / 2)
    return divide(coat_of, maps, pulls=pulls, shell_mm=shell_mm, on_board=coat_of.on_board, parting=parting, fill=(0.0, 0.0))
