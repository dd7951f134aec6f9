"""Solids whose fill is known, coated."""

from functools import cache
from typing import Any

import numpy as np
import trimesh

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.study.field_build import build_field
from jobs.geometry.study.fill import CoatedSurface, coat

WALL = 8.0


def turned(profile: list[tuple[float, float]], sections: int = 128) -> Any:
    return trimesh.creation.revolve(np.array(profile, dtype=float), sections=sections)


def cup() -> Any:
    return turned([(0, 0), (60, 0), (60, 100), (45, 100), (45, 20), (0, 20)])


def spool() -> Any:
    return turned([(0, 0), (60, 0), (60, 45), (30, 45), (30, 75), (60, 75), (60, 120), (0, 120)])


def two_balls() -> Any:
    one = trimesh.creation.icosphere(subdivisions=4, radius=30)
    other = one.copy()
    other.apply_translation((0, 0, 100))
    return trimesh.util.concatenate([one, other])


def block(a: float = 60.0, b: float = 45.0, c: float = 30.0) -> Any:
    mesh = trimesh.creation.box((a, b, c))
    mesh.apply_translation((0, 0, c / 2))
    return mesh


def coated_mesh(mesh: Any, *, on_board: bool = False, step: float = 2.0, wall: float = WALL) -> CoatedSurface:
    tree = build_tree(np.array(mesh.vertices), np.array(mesh.faces))
    field = build_field(tree, low_mm=0.0, high_mm=wall, on_board=on_board, step_mm=step)
    return coat(field, wall, on_board=on_board)


@cache
def coated(name: str, on_board: bool = False) -> CoatedSurface:
    """Coat a solid by its name, once for all tests."""
    return coated_mesh({"cup": cup, "spool": spool, "two_balls": two_balls, "block": block}[name](), on_board=on_board)
