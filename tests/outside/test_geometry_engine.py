"""Volumes of walls over and inside meshes against exact formulas and independent libraries."""

import math
from typing import Any

import numpy as np
import pytest
import trimesh
from scipy.integrate import quad
from scipy.spatial.transform import Rotation

from jobs.geometry.engine.volumes import Surface, VolumeResult, blanket_volumes, hollow_volume

BOX = (100.0, 80.0, 60.0)


def surface_of(mesh: Any, volume_mm3: float | None = None) -> Surface:
    return Surface(vertices=np.array(mesh.vertices), faces=np.array(mesh.faces), volume_mm3=volume_mm3)


def standing_box() -> Any:
    mesh = trimesh.creation.box(BOX)
    mesh.apply_translation((0, 0, BOX[2] / 2))
    return mesh


def steiner(mesh: Any, t: float) -> float:
    """Wall over a convex polyhedron. published: Steiner 1840; the bend is summed over edges by trimesh."""
    return float(mesh.area * t + mesh.integral_mean_curvature * t**2 + 4 / 3 * math.pi * t**3)


def assert_holds(result: VolumeResult, truth: float, rel: float = 1e-4) -> None:
    assert result.volume_mm3 == pytest.approx(truth, rel=rel)
    assert abs(result.volume_mm3 - truth) <= result.bound_mm3


class TestBlanketVolumes:
    @pytest.mark.parametrize("how", [{"cell_mm": 2.0}, {}])
    def test_box(self, how: dict[str, Any]) -> None:
        # exact: 2(ab+bc+ca) t + π(a+b+c) t² + 4π t³/3 for 100 × 80 × 60, t = 10
        (wall,) = blanket_volumes(surface_of(trimesh.creation.box(BOX), 480_000.0), (10.0,), on_board=False, **how)
        assert_holds(wall, 455_587.0)

    @pytest.mark.parametrize("base", [True, False])
    def test_box_on_a_board_with_and_without_its_base(self, base: bool) -> None:
        # exact: abt + 2(a+b)ct + (π/2)t²(a+b) + πt²c + (2/3)πt³
        mesh = standing_box()
        kept = mesh.faces if base else mesh.faces[~(mesh.vertices[mesh.faces][:, :, 2] < 1e-9).all(axis=1)]
        surface = Surface(vertices=np.array(mesh.vertices), faces=np.array(kept), volume_mm3=480_000.0)
        (wall,) = blanket_volumes(surface, (10.0,), on_board=True, cell_mm=2.0)
        assert_holds(wall, 345_218.3)
        # exact: the derivative, ab + 2(a+b)c + πt(a+b) + 2πtc + 2πt²
        assert wall.area_mm2 == pytest.approx(8_000 + 21_600 + math.pi * (1_800 + 1_200 + 200), rel=5e-4)

    def test_cylinder_on_a_board(self) -> None:
        # exact: πR²t + 2πRHt + πt²H + π²Rt²/2 + (2/3)πt³ = 519 998 for R 50, H 120; 2 048 sides: 2e-6 less area
        mesh = trimesh.creation.cylinder(radius=50, height=120, sections=2048)
        mesh.apply_translation((0, 0, 60))
        (wall,) = blanket_volumes(surface_of(mesh, mesh.volume), (10.0,), on_board=True, cell_mm=2.0)
        assert_holds(wall, 519_998.0)

    def test_open_hemisphere_on_a_board(self) -> None:
        # exact: (2/3)π((R+t)³ − R³); facets of the dome lie within 2e-5 of it
        angles = np.linspace(0, math.pi / 2, 401)
        mesh = trimesh.creation.revolve(50 * np.stack([np.cos(angles), np.sin(angles)], axis=1), sections=1600)
        surface = Surface(vertices=np.array(mesh.vertices), faces=np.array(mesh.faces), volume_mm3=2 / 3 * math.pi * 50**3)
        (wall,) = blanket_volumes(surface, (10.0,), on_board=True, cell_mm=2.0)
        assert_holds(wall, 2 / 3 * math.pi * (60**3 - 50**3))

    @pytest.mark.parametrize("subdivisions", [0, 2, 4])
    def test_polyhedral_balls(self, subdivisions: int) -> None:
        mesh = trimesh.creation.icosphere(subdivisions=subdivisions, radius=50)
        walls = blanket_volumes(surface_of(mesh, mesh.volume), (3.0, 10.0, 25.0), on_board=False)
        for wall in walls:
            assert_holds(wall, steiner(mesh, wall.thickness_mm), rel=5e-4)
        (fine,) = blanket_volumes(surface_of(mesh, mesh.volume), (10.0,), on_board=False, cell_mm=2.0)
        assert_holds(fine, steiner(mesh, 10.0))

    @pytest.mark.parametrize("turn", range(3))
    @pytest.mark.parametrize(
        "mesh",
        [
            trimesh.creation.box(BOX),
            trimesh.creation.cylinder(radius=20, height=70, sections=64),
            trimesh.creation.cone(radius=20, height=50, sections=48),
            trimesh.creation.icosphere(subdivisions=3, radius=50),
        ],
        ids=["box", "cylinder", "cone", "ball"],
    )
    def test_bound_contains_the_truth_however_coarse_the_cell(self, mesh: Any, turn: int) -> None:
        # exact: Steiner for convex polyhedra, turned at random
        angle = Rotation.random(random_state=np.random.default_rng(turn)).as_matrix()
        surface = Surface(vertices=mesh.vertices @ angle.T + turn, faces=np.array(mesh.faces), volume_mm3=mesh.volume)
        for cell in (8.0, 4.0, 2.5):
            for wall in blanket_volumes(surface, (1.0, 4.0, 10.0), on_board=False, cell_mm=cell):
                assert abs(wall.volume_mm3 - steiner(mesh, wall.thickness_mm)) <= wall.bound_mm3

    def test_two_boxes_closer_than_two_walls_share_the_cleft(self) -> None:
        # exact, by hand: both walls less the lens they share. At x across a gap g each cross-section is that of the face,
        # b c + 2(b+c)u + πu², as far out as the farther box allows: u² = t² − max(x, g−x)².
        a, b, c, gap, t = 40.0, 50.0, 30.0, 6.0, 8.0
        first, second = trimesh.creation.box((a, b, c)), trimesh.creation.box((a, b, c))
        second.apply_translation((a + gap, 0, 0))

        def section(x: float) -> float:
            u = math.sqrt(max(t * t - max(x, gap - x) ** 2, 0.0))
            return b * c + 2 * (b + c) * u + math.pi * u * u

        shared = 2 * quad(section, gap / 2, gap)[0]
        # Where a wall reaches beyond the gap it lies over the other box: inside it, or round its edges.
        reach = quad(lambda x: 2 * (b + c) * math.sqrt(t * t - x * x) + math.pi * (t * t - x * x), gap, t)[0]
        behind = quad(lambda x: b * c, gap, t)[0]
        near = 2 * (reach + behind)
        truth = 2 * steiner(first, t) - shared - near
        both = trimesh.util.concatenate([first, second])
        (wall,) = blanket_volumes(surface_of(both, 2 * first.volume), (t,), on_board=False, cell_mm=1.0)
        assert_holds(wall, truth, rel=3e-4)
        assert truth < 0.95 * 2 * steiner(first, t)

    def test_agrees_with_a_sum_of_convex_bodies(self) -> None:
        # second opinion: manifold3d's Minkowski sum with a ball of 64 segments, which lies inside the true ball
        import manifold3d

        frame = manifold3d.Manifold.cube(BOX, True)
        grown = frame.minkowski_sum(manifold3d.Manifold.sphere(10.0, 64))
        (wall,) = blanket_volumes(surface_of(trimesh.creation.box(BOX), 480_000.0), (10.0,), on_board=False)
        assert wall.volume_mm3 == pytest.approx(grown.volume() - frame.volume(), rel=2e-3)
        assert wall.volume_mm3 > grown.volume() - frame.volume()


class TestHollowVolume:
    def test_box(self) -> None:
        # exact: abc − (a−2w)(b−2w)(c−2w)
        wall = hollow_volume(surface_of(trimesh.creation.box(BOX), 480_000.0), 6.0, on_board=False, cell_mm=0.6)
        assert_holds(wall, 480_000 - 88 * 68 * 48)

    def test_box_open_below(self) -> None:
        # exact: abc − (a−2w)(b−2w)(c−w), for no wall stands on the board
        wall = hollow_volume(surface_of(standing_box(), 480_000.0), 6.0, on_board=True, cell_mm=0.6)
        assert_holds(wall, 480_000 - 88 * 68 * 54)

    def test_torus(self) -> None:
        # exact: 2π²R(r² − (r−w)²); 512 × 256 facets lie within 1e-4 of it
        mesh = trimesh.creation.torus(50, 20, major_sections=1024, minor_sections=512)
        wall = hollow_volume(surface_of(mesh, mesh.volume), 6.0, on_board=False, cell_mm=1.2)
        assert_holds(wall, 2 * math.pi**2 * 50 * (20**2 - 14**2), rel=1e-4)

    def test_ball(self) -> None:
        # exact: 4/3 π (R³ − (R−w)³) for a ball; that of the facets lies between those of their spheres in and about
        mesh = trimesh.creation.icosphere(subdivisions=6, radius=50)
        wall = hollow_volume(surface_of(mesh, mesh.volume), 6.0, on_board=False, cell_mm=1.2)
        inner = 50 - float(np.linalg.norm(mesh.triangles_center, axis=1).min())
        truth = 4 / 3 * math.pi * (50**3 - 44**3)
        assert truth * (1 - 2 * inner / 50) - wall.bound_mm3 <= wall.volume_mm3 <= truth + wall.bound_mm3
        assert wall.volume_mm3 == pytest.approx(truth, rel=1e-4)
