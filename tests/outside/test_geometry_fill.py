"""Fill between pulls against exact formulas, and against rays and voxels of other libraries."""

import math
from functools import cache
from typing import Any

import numpy as np
import pytest
import trimesh
from scipy.integrate import quad

from jobs.geometry.study.depths import depth_maps
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.fill import CoatedSurface, fill_of
from jobs.geometry.study.search import find_pulls
from jobs.geometry.study.views import rubber_mm3
from tests.jobs.geometry.study.solids import coated_mesh, turned

EAST, WEST, UP, DOWN = direction(0, 0), direction(180, 0), direction(0, 90), direction(0, -90)
THREE_ROUND = (EAST, direction(120, 0), direction(240, 0))


def cup() -> Any:
    return turned([(0, 0), (60, 0), (60, 100), (45, 100), (45, 20), (0, 20)], 256)


def spool() -> Any:
    return turned([(0, 0), (60, 0), (60, 45), (30, 45), (30, 75), (60, 75), (60, 120), (0, 120)], 256)


def two_balls() -> Any:
    one = trimesh.creation.icosphere(subdivisions=5, radius=30)
    other = one.copy()
    other.apply_translation((0, 0, 100))
    return trimesh.util.concatenate([one, other])


@cache
def coated(name: str) -> CoatedSurface:
    return coated_mesh({"cup": cup, "spool": spool, "two balls": two_balls}[name](), step=2.0)


def fill(solid: CoatedSurface, pulls: tuple[Direction, ...]) -> tuple[float, float]:
    return fill_of(solid, depth_maps(solid.vertices, solid.faces, pulls, pixel_mm=1.0))


def groove_from_above_and_east() -> float:
    """Fill of the spool's groove seen along its axis and from the east.

    exact: at the height s from the groove's middle the coated spool has the radius ρ(s) = 38 for s < 7, then, along the
    rounded rim, 60 + √(64 − (15 − s)²); within the radius 68 only the strip |y| < ρ west of it is seen by nobody, whose area is
    ∫ r · 2 asin(ρ / r) dr from ρ to 68.
    """

    def area(s: float) -> float:
        rho = 38.0 if s < 7 else 60 + math.sqrt(max(64 - (15 - s) ** 2, 0.0))
        return float(quad(lambda r: 2 * r * math.asin(rho / r), rho, 68)[0])

    return 2 * float(quad(area, 0, 15, points=[7])[0])


class TestKnownAnswers:
    @pytest.mark.parametrize(
        ("name", "pulls", "exact", "share"),
        [
            # exact: π(Ri−t)²(H−f−t) + π(Ri² t − π Ri t²/2 + 2t³/3); the rim is higher than any level ray can leave below
            ("cup", (EAST, WEST), 347_414.0, 0.002),
            ("cup", THREE_ROUND, 347_414.0, 0.005),
            ("cup", (UP, DOWN), 0.0, 0.002),
            # exact: 2π ∫ r g(r) dr over the groove's gap g: 14 from 38 to 60, 2 (15 − √(64 − (r − 60)²)) from there to 68
            ("spool", (UP, DOWN), 151_291.6, 0.002),
            ("spool", (EAST, WEST), 0.0, 0.002),
            ("spool", THREE_ROUND, 0.0, 0.005),
            ("spool", (UP, DOWN, EAST), groove_from_above_and_east(), 0.005),
            # exact: πρ²c − (4/3)πρ³ with ρ = 38, c = 100
            ("two balls", (UP, DOWN), 223_799.0, 0.002),
            ("two balls", (EAST, WEST), 0.0, 0.002),
            ("two balls", THREE_ROUND, 0.0, 0.005),
        ],
    )
    def test_fill(self, name: str, pulls: tuple[Direction, ...], exact: float, share: float) -> None:
        volume, bound = fill(coated(name), pulls)
        assert abs(volume - exact) <= bound
        assert abs(volume - exact) <= share * rubber_mm3(coated(name))
        assert bound <= 0.01 * rubber_mm3(coated(name))

    @pytest.mark.parametrize("turn", range(3))
    def test_however_the_cup_lies(self, turn: int) -> None:
        mesh = cup()
        random = np.random.default_rng(turn)
        matrix = trimesh.transformations.random_rotation_matrix(random.random(3))
        mesh.apply_transform(matrix)
        east = Direction(**dict(zip("xyz", (float(part) for part in matrix[:3, 0]), strict=True)))
        west = Direction(x=-east.x, y=-east.y, z=-east.z)
        solid = coated_mesh(mesh, step=2.5)
        volume, bound = fill(solid, (east, west))
        assert abs(volume - 347_414.0) <= bound
        assert abs(volume - 347_414.0) <= 0.002 * rubber_mm3(solid)

    @pytest.mark.parametrize("name", ["cup", "spool", "two balls"])
    def test_search_finds_that_none_is_needed(self, name: str) -> None:
        volume, bound = fill(coated(name), find_pulls(coated(name), pieces=2)[0])
        assert volume <= bound <= 1e-3 * rubber_mm3(coated(name))


def knot() -> CoatedSurface:
    """Coat a bar and a leaning ring through each other: no pulls but many leave nothing to fill."""
    ring = trimesh.creation.torus(30, 8, major_sections=64, minor_sections=32)
    ring.apply_transform(trimesh.transformations.rotation_matrix(0.7, (1, 0.3, 0.2)))
    return coated_mesh(trimesh.util.concatenate([trimesh.creation.box((14, 80, 12)), ring]), step=1.5)


class TestOtherLibraries:
    @pytest.mark.parametrize("pulls", [(EAST, WEST), (UP, direction(20, -30), direction(110, 15)), (UP, EAST)])
    def test_rays_of_embree_agree(self, pulls: tuple[Direction, ...]) -> None:
        from trimesh.ray.ray_pyembree import RayMeshIntersector

        solid = knot()
        mesh = trimesh.Trimesh(solid.vertices, solid.faces, process=False)
        rays = RayMeshIntersector(mesh)
        random = np.random.default_rng(11)
        low, high = solid.vertices.min(axis=0) - 40.0, solid.vertices.max(axis=0) + 40.0
        points = random.uniform(low, high, (400_000, 3))
        left = solid.field.at(points) > solid.wall_mm
        for pull in pulls:
            way = np.array([pull.x, pull.y, pull.z])
            some = np.flatnonzero(left)
            left[some] = rays.intersects_any(points[some], np.tile(way, (len(some), 1)))
        box = float(np.prod(high - low))
        chance = left.mean()
        other, spread = box * chance, box * math.sqrt(chance * (1 - chance) / len(points))
        volume, bound = fill(solid, pulls)
        assert volume > 0.005 * rubber_mm3(solid)
        assert abs(volume - other) <= bound + 3.5 * spread

    def test_turned_voxels_agree(self) -> None:
        solid, pull = knot(), direction(35, 25)
        opposite = Direction(x=-pull.x, y=-pull.y, z=-pull.z)
        (seen,) = depth_maps(solid.vertices, solid.faces, (pull,), pixel_mm=1.0)
        frame = np.vstack([seen.across, (pull.x, pull.y, pull.z)])
        local = solid.vertices @ frame.T
        axes = [np.arange(a, b, 1.5) for a, b in zip(local.min(axis=0) - 2, local.max(axis=0) + 2, strict=True)]
        nodes = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3) @ frame
        full = (solid.field.at(nodes) < solid.wall_mm).reshape([len(axis) for axis in axes])
        columns = full.any(axis=2)
        top, bottom = full.shape[2] - full[:, :, ::-1].argmax(axis=2), full.argmax(axis=2)
        other = ((top - bottom)[columns].sum() - full.sum()) * 1.5**3
        volume, _ = fill(solid, (pull, opposite))
        # voxels misplace each outline by up to half their edge, which is one in a hundred of the rubber
        assert volume == pytest.approx(other, abs=0.01 * rubber_mm3(solid))
