"""Meshes measured against exact solids, with trimesh as a second opinion."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_measure import measure_mesh
from jobs.geometry.mesh_takeoff import takeoff_from_mesh
from jobs.geometry.raw_mesh import checked_mesh
from jobs.geometry.takeoff import Takeoff, casting_volume, coat_volume


def takeoff_of(mesh: trimesh.Trimesh, **brief: Any) -> Takeoff:
    raw = checked_mesh(np.asarray(mesh.vertices), np.asarray(mesh.faces, dtype=np.int64))
    return takeoff_from_mesh(raw, MeshBrief(**brief))


def soup(mesh: trimesh.Trimesh) -> tuple[Any, Any]:
    """Every triangle with corners of its own, in 4-byte numbers, as an STL has them."""
    corners = np.asarray(mesh.triangles, dtype=np.float32).reshape(-1, 3)
    return corners, np.arange(len(corners), dtype=np.int64).reshape(-1, 3)


MESHES: dict[str, Callable[[], trimesh.Trimesh]] = {
    "box": lambda: trimesh.creation.box((100, 80, 60)),
    "ball": lambda: trimesh.creation.icosphere(subdivisions=4, radius=150),
    "torus": lambda: trimesh.creation.torus(100, 30, major_sections=128, minor_sections=64),
    "cylinder": lambda: trimesh.creation.cylinder(50, 120, sections=64),
    "cone": lambda: trimesh.creation.cone(50, 120, sections=64),
    "spool": lambda: trimesh.creation.revolve([(0, 0), (60, 0), (60, 45), (30, 45), (30, 75), (60, 75), (60, 120), (0, 120)]),
}


class TestSecondOpinion:
    @pytest.mark.parametrize("name", MESHES)
    def test_area_volume_bend_and_euler_agree_with_trimesh(self, name: str) -> None:
        mesh = MESHES[name]()
        measured = measure_mesh(*soup(mesh), stands_on_board=False)
        assert measured.area_mm2 == pytest.approx(mesh.area, rel=1e-6)
        assert measured.volume_mm3 == pytest.approx(mesh.volume, rel=1e-6)
        assert measured.bend_mm == pytest.approx(mesh.integral_mean_curvature, rel=1e-5)
        assert measured.parts.euler == mesh.euler_number
        assert measured.box_mm == pytest.approx(tuple(mesh.extents), rel=1e-6)

    def test_icosphere_of_150_mm_has_the_observed_values(self) -> None:
        # Observed with trimesh 5.2: area 0.2824055 m², volume 0.0141066 m³, ½Σℓθ 1.8842046 m.
        ball = takeoff_of(MESHES["ball"](), stands_on_board=False)
        assert ball.area.value == pytest.approx(0.2824055, abs=5e-8)
        assert ball.volume.value == pytest.approx(0.0141066, abs=5e-8)
        assert ball.mean_curvature.value == pytest.approx(1.8842046, abs=5e-8)

    def test_box_mesh_bends_by_pi_times_its_edges(self) -> None:
        box = takeoff_of(trimesh.creation.box((300, 200, 500)), stands_on_board=False)
        assert box.mean_curvature.value == pytest.approx(math.pi, rel=1e-12)


class TestKnownAnswers:
    # Closed forms in mm³ at t = 10 mm.
    def test_box_all_round(self) -> None:
        box = takeoff_of(MESHES["box"](), stands_on_board=False)
        exact = 2 * (8000 + 4800 + 6000) * 10 + math.pi * 240 * 100 + 4 / 3 * math.pi * 1000
        assert coat_volume(box, 10).value * 1e9 == pytest.approx(exact, rel=1e-9)
        assert exact == pytest.approx(455_587.0, abs=0.05)

    @pytest.mark.parametrize("with_base", [True, False])
    def test_box_on_a_board_with_and_without_base_triangles(self, with_base: bool) -> None:
        mesh = MESHES["box"]()
        if not with_base:
            mesh.update_faces(mesh.face_normals[:, 2] > -0.5)
        box = takeoff_of(mesh)
        a, b, c, t = 100, 80, 60, 10
        exact = a * b * t + 2 * (a + b) * c * t + math.pi / 2 * t**2 * (a + b) + math.pi * t**2 * c + 2 / 3 * math.pi * t**3
        assert coat_volume(box, 10).value * 1e9 == pytest.approx(exact, rel=1e-6)
        assert exact == pytest.approx(345_218.3, abs=0.05)
        assert box.volume.value * 1e9 == pytest.approx(a * b * c)
        assert box.footprint_area.value * 1e6 == pytest.approx(a * b)
        assert box.rim_length.value * 1e3 == pytest.approx(2 * (a + b))

    def test_cylinder_on_a_board_converges(self) -> None:
        radius, height, t = 50, 120, 10
        exact = (
            math.pi * radius**2 * t + 2 * math.pi * radius * height * t + math.pi * t**2 * height
            + math.pi**2 * radius * t**2 / 2 + 2 / 3 * math.pi * t**3
        )  # fmt: skip
        assert exact == pytest.approx(519_998, abs=0.5)
        errors = [
            abs(coat_volume(takeoff_of(trimesh.creation.cylinder(radius, height, sections=n)), t).value * 1e9 / exact - 1)
            for n in (32, 128, 512)
        ]
        assert errors[0] > 10 * errors[1] > 100 * errors[2]
        assert errors[2] < 1e-5

    def test_open_hemisphere_on_a_board(self) -> None:
        angles = np.linspace(0, math.pi / 2, 129)
        line = np.stack([50 * np.cos(angles), 50 * np.sin(angles)], axis=1)
        line[-1, 0] = 0
        dome = takeoff_of(trimesh.creation.revolve(line, sections=256))
        assert coat_volume(dome, 10).value * 1e9 == pytest.approx(2 / 3 * math.pi * (60**3 - 50**3), rel=2e-4)
        assert dome.volume.value * 1e9 == pytest.approx(2 / 3 * math.pi * 50**3, rel=3e-4)
        assert dome.sphere_part == pytest.approx(2 * math.pi / 3)

    def test_polyhedral_ball_takes_the_hull_of_its_coat(self) -> None:
        # Independent: the volume of the Minkowski sum with a fine ball, by the convex hull of moved copies.
        mesh = trimesh.creation.icosphere(subdivisions=1, radius=50)
        small = trimesh.creation.icosphere(subdivisions=4, radius=10)
        cloud = (mesh.vertices[:, None, :] + small.vertices[None, :, :]).reshape(-1, 3)
        hull = trimesh.convex.convex_hull(cloud)
        coat = coat_volume(takeoff_of(mesh, stands_on_board=False), 10).value * 1e9
        assert coat == pytest.approx(hull.volume - mesh.volume, rel=2e-3)

    def test_hollow_torus(self) -> None:
        ring = takeoff_of(trimesh.creation.torus(150, 40, major_sections=256, minor_sections=128), stands_on_board=False)
        exact = 2 * math.pi**2 * 150 * (40**2 - (40 - 6) ** 2)
        assert casting_volume(ring, 6).value * 1e9 == pytest.approx(exact, rel=1e-3)

    def test_hollow_box_within_its_corners(self) -> None:
        box = takeoff_of(trimesh.creation.box((300, 200, 500)), stands_on_board=False)
        exact = 0.3 * 0.2 * 0.5 - 0.292 * 0.192 * 0.492
        assert casting_volume(box, 4).value == pytest.approx(exact, rel=2e-4)

    def test_published_cube(self) -> None:
        # published: a mold-rubber maker's questions and answers: 3 in cube on its base, 45 in².
        cube = takeoff_of(trimesh.creation.box((3, 3, 3)), unit="in")
        assert cube.area.value / 0.0254**2 == pytest.approx(45.0)
        assert cube.volume.value / 0.0254**3 == pytest.approx(27.0)
