"""Shell pieces against exact areas, volumes and lengths, and against independent libraries."""

import math
from typing import Any

import manifold3d
import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depths import depth_maps
from jobs.geometry.study.divide import Divided
from jobs.geometry.study.fill import CoatedSurface, fill_of
from tests.jobs.geometry.study import pieces_bodies as bodies
from tests.jobs.geometry.study.pieces_bodies import DOWN, EAST, NORTH, SOUTH, THREE, UP, WEST, ball, coated, cup, divided


def filled_in(found: Divided, coat_mm3: float) -> float:
    return found.solid.volume_mm3 - coat_mm3


@pytest.fixture(scope="module")
def cup_coat() -> CoatedSurface:
    return coated(cup(), 8.0, step_mm=2.5)


@pytest.fixture(scope="module")
def spool_coat() -> CoatedSurface:
    return coated(bodies.spool(), 8.0, step_mm=2.5)


@pytest.fixture(scope="module")
def cup_sideways(cup_coat: CoatedSurface) -> Divided:
    return divided(cup_coat, (EAST, WEST))


class TestFill:
    """The solid that is filled, less the coat, is the fill: every answer is exact by integration."""

    def test_cup_from_its_side(self, cup_coat: CoatedSurface, cup_sideways: Divided) -> None:
        # exact: π(Ri−t)²(H−f−t) + π(Ri²t − πRit²/2 + 2t³/3) for 60/45/100, floor 20, t = 8
        assert filled_in(cup_sideways, cup_coat.volume_mm3) == pytest.approx(347_414, rel=2e-3)
        assert cup_sideways.parts == (1, 1)

    def test_cup_along_its_axis(self, cup_coat: CoatedSurface) -> None:
        found = divided(cup_coat, (UP, DOWN))
        assert filled_in(found, cup_coat.volume_mm3) == pytest.approx(0.0, abs=1e-4 * cup_coat.volume_mm3)

    def test_spool(self, spool_coat: CoatedSurface) -> None:
        # known answer: groove to radius 30 between z 45 and 75, t = 8, along the axis 151 292, from the side 0
        assert filled_in(divided(spool_coat, (UP, DOWN)), spool_coat.volume_mm3) == pytest.approx(151_292, rel=2e-3)
        assert filled_in(divided(spool_coat, (NORTH, SOUTH)), spool_coat.volume_mm3) == pytest.approx(0.0, abs=20.0)

    def test_two_balls(self) -> None:
        # exact: πρ²c − (4/3)πρ³ with ρ = 38, c = 100, less the balls' facets
        coat_of = coated(bodies.two_balls(), 8.0, step_mm=2.0)
        assert filled_in(divided(coat_of, (UP, DOWN)), coat_of.volume_mm3) == pytest.approx(223_799, rel=3e-3)

    def test_ball_over_a_plane_beside_its_middle(self) -> None:
        # exact: between x = 0 and 30 the far piece must pass a cylinder: π ∫ x² dx
        coat_of = coated(ball(), 10.0, step_mm=2.0)
        found = divided(coat_of, (EAST, WEST), parting=PartingPlane(azimuth_deg=0, offset_mm=30))
        assert filled_in(found, coat_of.volume_mm3) == pytest.approx(math.pi * 30**3 / 3, rel=0.02)


class TestBall:
    def test_area_halves_and_equator(self) -> None:
        found = divided(coated(ball(), 10.0, step_mm=2.0), (UP, DOWN))
        # exact: 4π(R + t)²; half each; 2π(R + t)
        assert found.division.outside_mm2 == pytest.approx(4 * math.pi * 60**2, rel=2e-3)
        for piece in found.division.pieces:
            assert piece.area_mm2 == pytest.approx(2 * math.pi * 60**2, rel=0.02)
            assert piece.reach_mm == pytest.approx(60, abs=2.0)
        (line,) = found.division.partings
        assert line.closed
        assert line.length_mm == pytest.approx(2 * math.pi * 60, rel=0.01)
        assert len(line.points) <= 400

    def test_three_pieces_meet_at_the_poles(self) -> None:
        found = divided(coated(ball(), 10.0, step_mm=2.0), THREE)
        # exact by symmetry: a third each; each line half a great circle
        assert len(found.division.partings) == 3
        for piece, line in zip(found.division.pieces, found.division.partings, strict=True):
            assert piece.area_mm2 == pytest.approx(4 / 3 * math.pi * 60**2, rel=0.03)
            assert line.length_mm == pytest.approx(math.pi * 60, rel=0.02)

    @pytest.mark.parametrize("seed", range(2))
    def test_a_turned_cup_has_the_same_figures(self, seed: int) -> None:
        turn = Rotation.random(random_state=seed).as_matrix()
        mesh = cup()
        straight = divided(coated(mesh, 8.0, step_mm=3.0), (UP, DOWN)).division
        mesh.vertices = mesh.vertices @ turn.T
        way = turn @ (0.0, 0.0, 1.0)
        pulls = tuple(type(UP)(x=float(s * way[0]), y=float(s * way[1]), z=float(s * way[2])) for s in (1, -1))
        turned = divided(coated(mesh, 8.0, step_mm=3.0), pulls).division
        assert turned.outside_mm2 == pytest.approx(straight.outside_mm2, rel=3e-3)
        assert turned.parting_mm == pytest.approx(straight.parting_mm, rel=0.02)


class TestSecondOpinions:
    """trimesh, Embree and manifold3d read the filled outside by themselves."""

    @pytest.mark.parametrize("pulls", [(NORTH, SOUTH), (NORTH, SOUTH, EAST), (*THREE, UP)])
    def test_rays_from_every_piece_leave_along_its_pull(self, pulls: Any) -> None:
        found = divided(coated(bodies.hand(), 6.0, on_board=True, step_mm=3.0), pulls)
        mesh = trimesh.Trimesh(found.vertices.astype(float), found.faces, process=False)
        starts = mesh.triangles_center + 0.6 * mesh.vertex_normals[mesh.faces].mean(axis=1)
        for piece in found.division.pieces:
            mine = found.piece == piece.number
            ways = np.tile((piece.pull.x, piece.pull.y, piece.pull.z), (int(mine.sum()), 1))
            struck = mesh.ray.intersects_any(starts[mine], ways)
            assert mesh.area_faces[mine][struck].sum() < 0.01 * found.division.outside_mm2

    def test_the_solid_is_sound_and_of_the_same_volume(self, cup_sideways: Divided) -> None:
        found = cup_sideways
        solid = manifold3d.Manifold(
            manifold3d.Mesh(vert_properties=found.vertices, tri_verts=found.faces.astype(np.uint32))
        )  # fmt: skip
        assert solid.status() == manifold3d.Error.NoError
        assert solid.volume() == pytest.approx(found.solid.volume_mm3, rel=1e-5)
        assert solid.surface_area() == pytest.approx(found.division.outside_mm2, rel=1e-5)

    def test_sweeping_the_coat_fills_the_same(self) -> None:
        # manifold3d: hulls of each convex part and its shifted self are swept parts; two swept unions meet in the filled solid
        coat_of = coated(bodies.two_balls(), 8.0, step_mm=2.0)
        found = divided(coat_of, (UP, DOWN))
        parts = manifold3d.Manifold(
            manifold3d.Mesh(vert_properties=coat_of.vertices, tri_verts=coat_of.faces.astype(np.uint32))
        ).decompose()  # fmt: skip

        def swept(shift: float) -> Any:
            return manifold3d.Manifold.batch_boolean(
                [manifold3d.Manifold.batch_hull([part, part.translate((0, 0, shift))]) for part in parts], manifold3d.OpType.Add
            )

        expected = (swept(-400.0) ^ swept(400.0)).volume()
        assert found.solid.volume_mm3 == pytest.approx(expected, rel=1e-3)

    @pytest.mark.parametrize("pulls", [(EAST, WEST), (UP, DOWN), THREE])
    def test_columns_of_pixels_find_as_much_fill(self, pulls: Any, spool_coat: CoatedSurface) -> None:
        # the other way of measuring fill here: depth maps, column by column
        coat_of = spool_coat
        maps = depth_maps(coat_of.vertices, coat_of.faces, pulls, pixel_mm=1.5)
        fill, bound = fill_of(coat_of, maps)
        found = divided(coat_of, pulls)
        assert filled_in(found, coat_of.volume_mm3) == pytest.approx(fill, abs=bound + 1e-3 * coat_of.volume_mm3)

    def test_the_section_of_a_filled_cup_is_a_disc(self, cup_sideways: Divided) -> None:
        # exact: at half height that of the coated cylinder, radius 68
        mesh = trimesh.Trimesh(cup_sideways.vertices.astype(float), cup_sideways.faces, process=False)
        section = mesh.section(plane_origin=(0, 0, 60), plane_normal=(0, 0, 1))
        assert section.length == pytest.approx(2 * math.pi * 68, rel=3e-3)
