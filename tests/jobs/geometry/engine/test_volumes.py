"""Walls measured on meshes: what must always hold, and what damage does to them."""

import math
from functools import cache
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from jobs.geometry.engine.octree import level_sums
from jobs.geometry.engine.tree import build_tree
from jobs.geometry.engine.volumes import Surface, VolumeResult, blanket_volumes, hollow_volume, outer_area
from jobs.geometry.errors import GeometryError

BALL = trimesh.creation.icosphere(subdivisions=3, radius=40)
RING = trimesh.creation.torus(40, 12, major_sections=64, minor_sections=32)
angles = st.floats(-math.pi, math.pi)


def surface(vertices: Any, faces: Any, volume_mm3: float | None = None) -> Surface:
    return Surface(vertices=np.asarray(vertices, float), faces=np.asarray(faces), volume_mm3=volume_mm3)


RING_SURFACE = surface(RING.vertices, RING.faces, RING.volume)


@cache
def ring_blanket() -> VolumeResult:
    """The ring as it lies, measured once for all that compare with it."""
    return blanket_volumes(RING_SURFACE, (6.0,), on_board=False)[0]


class TestBlanketVolumes:
    @settings(max_examples=4, deadline=None)
    @given(angles, angles, angles)
    def test_do_not_change_when_the_piece_is_turned(self, a: float, b: float, c: float) -> None:
        turned = RING.vertices @ Rotation.from_euler("xyz", (a, b, c)).as_matrix().T
        here = ring_blanket()
        (there,) = blanket_volumes(surface(turned, RING.faces, RING.volume), (6.0,), on_board=False)
        assert abs(here.volume_mm3 - there.volume_mm3) <= here.bound_mm3 + there.bound_mm3

    @settings(max_examples=3, deadline=None)
    @given(st.floats(0.01, 15))
    def test_scale_as_the_cube_and_areas_as_the_square(self, scale: float) -> None:
        small = ring_blanket()
        grown = surface(RING.vertices * scale, RING.faces, RING.volume * scale**3)
        (large,) = blanket_volumes(grown, (6.0 * scale,), on_board=False)
        assert large.volume_mm3 == pytest.approx(small.volume_mm3 * scale**3, rel=1e-4)
        assert large.area_mm2 == pytest.approx(small.area_mm2 * scale**2, rel=1e-3)

    def test_grow_with_the_wall(self) -> None:
        walls = (1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0)
        found = [wall.volume_mm3 for wall in blanket_volumes(RING_SURFACE, walls, on_board=False)]
        assert found == sorted(found)
        # exact: until the hole of the ring closes, 2π²R((r+t)² − r²); facets take 3 parts in a thousand of it
        assert found[1] == pytest.approx(2 * math.pi**2 * 40 * (14**2 - 12**2), rel=5e-3)

    def test_have_their_outside_as_derivative(self) -> None:
        step = 0.05
        low, high = blanket_volumes(RING_SURFACE, (6.0 - step, 6.0 + step), on_board=False, cell_mm=0.8)
        slope = (high.volume_mm3 - low.volume_mm3) / (2 * step)
        assert outer_area(RING_SURFACE, 6.0, on_board=False, cell_mm=0.8) == pytest.approx(slope, rel=2e-3)

    def test_stop_at_their_tolerance(self) -> None:
        loose = blanket_volumes(RING_SURFACE, (6.0,), on_board=False, tolerance=5e-3)[0]
        tight = blanket_volumes(RING_SURFACE, (6.0,), on_board=False, tolerance=2e-4)[0]
        assert tight.cell_mm < loose.cell_mm
        assert tight.bound_mm3 <= 3e-4 * tight.volume_mm3
        assert abs(loose.volume_mm3 - tight.volume_mm3) <= loose.bound_mm3 + tight.bound_mm3

    def test_say_so_when_the_budget_ends(self) -> None:
        short = blanket_volumes(RING_SURFACE, (1.0,), on_board=False, budget_cells=3_000)[0]
        long = blanket_volumes(RING_SURFACE, (1.0,), on_board=False)[0]
        assert short.bound_mm3 > 5 * long.bound_mm3
        assert abs(short.volume_mm3 - long.volume_mm3) <= short.bound_mm3 + long.bound_mm3

    @pytest.mark.parametrize("budget", [30_000, 60_000])
    def test_hold_when_cells_of_a_dense_mesh_are_drawn(self, budget: int) -> None:
        # exact: Steiner for a convex body, 4πR the bend of a ball; 81 920 facets lie within 3e-4 of it
        mesh = trimesh.creation.icosphere(subdivisions=6, radius=40)
        (sum_of,) = level_sums(
            build_tree(mesh.vertices, mesh.faces), np.array([3.0]), tolerances_mm3=np.array([1e-6]), budget_cells=budget
        )
        truth = mesh.area * 3 + mesh.integral_mean_curvature * 9 + 4 / 3 * math.pi * 27
        assert sum_of.spread_mm3 > 0
        assert abs(sum_of.volume_mm3 - mesh.volume - truth) <= sum_of.bound_mm3 < 5e-3 * truth

    def test_bear_flipped_and_missing_faces(self) -> None:
        whole = blanket_volumes(surface(BALL.vertices, BALL.faces), (6.0,), on_board=False, tolerance=2e-3)[0]
        faces = np.array(BALL.faces)
        faces[::60] = faces[::60, ::-1]
        hurt = surface(BALL.vertices, np.delete(faces, [5, 400, 901], axis=0))
        found = blanket_volumes(hurt, (6.0,), on_board=False, tolerance=2e-3)[0]
        assert found.volume_mm3 == pytest.approx(whole.volume_mm3, rel=5e-3)

    def test_bear_triangles_without_area(self) -> None:
        faces = np.vstack([RING.faces, [[0, 0, 0], [1, 1, 2], [3, 4, 3]]])
        found = blanket_volumes(surface(RING.vertices, faces, RING.volume), (6.0,), on_board=False, cell_mm=2.0)[0]
        plain = blanket_volumes(RING_SURFACE, (6.0,), on_board=False, cell_mm=2.0)[0]
        assert found.volume_mm3 == pytest.approx(plain.volume_mm3, rel=1e-6)

    @pytest.mark.parametrize("walls", [(), (0.0,), (-1.0,), (math.nan,), (501.0,)])
    def test_refuse_a_wall_out_of_range(self, walls: tuple[float, ...]) -> None:
        with pytest.raises(GeometryError, match=r"between 0\.01 and 500 mm"):
            blanket_volumes(RING_SURFACE, walls, on_board=False)

    def test_refuse_a_mesh_without_triangles(self) -> None:
        with pytest.raises(GeometryError, match="no triangle"):
            blanket_volumes(surface(RING.vertices, np.empty((0, 3), int), 1.0), (1.0,), on_board=False)

    def test_refuse_a_cell_that_is_none(self) -> None:
        with pytest.raises(GeometryError, match="above 0 mm"):
            blanket_volumes(RING_SURFACE, (1.0,), on_board=False, cell_mm=-1.0)


class TestHollowVolume:
    def test_of_a_wall_beyond_the_middle_is_the_whole_piece(self) -> None:
        found = hollow_volume(RING_SURFACE, 13.0, on_board=False)
        assert found.volume_mm3 == pytest.approx(RING.volume, rel=1e-6)
        assert found.area_mm2 == 0.0


class TestDistanceTree:
    def test_distances_are_those_of_another_library(self) -> None:
        # second opinion: libigl's squared distances and winding number
        import igl

        points = np.random.default_rng(3).uniform(-60, 60, (400, 3))
        found, faces = build_tree(RING.vertices, RING.faces).distances(points, signed=True)
        squared, *_ = igl.point_mesh_squared_distance(points, np.array(RING.vertices), np.array(RING.faces))
        plain = np.sqrt(squared)
        assert np.abs(found) == pytest.approx(plain, abs=1e-4)
        corners = RING.vertices[RING.faces[faces]]
        near = trimesh.triangles.closest_point(corners, points)
        assert np.linalg.norm(near - points, axis=1) == pytest.approx(plain, abs=1e-4)
        turns = igl.fast_winding_number(np.array(RING.vertices), np.array(RING.faces), points)
        assert ((found < 0) == (turns > 0.5)).all()
