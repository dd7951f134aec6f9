"""Areas of sections against formulas of plane geometry, and cuts against trimesh and manifold3d."""

import math

import manifold3d
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.geometry.section.chunks import cut_cubes
from jobs.geometry.section.cut import cut_mesh
from jobs.geometry.section.layers import SectionLayers, section_layers
from jobs.geometry.section.plane import CutPlane
from jobs.geometry.section.regions import cleaned, signed_area
from jobs.geometry.study.workspace import Workspace
from jobs.geometry.tape_shapes import revolved
from tests.jobs.geometry.analytic import field_of, standing, to_ball, to_box, to_cylinder, to_turned, workspace_of

COATS = (1.0, 2.0, 2.5, 1.5)
WITHIN = 0.005


@pytest.fixture(scope="module")
def ball() -> Workspace:
    # R 40 with its middle at z = 50, coated all round: the field reaches below it.
    mesh = trimesh.creation.icosphere(subdivisions=5, radius=40)
    mesh.apply_translation((0, 0, 50))
    distance = field_of(to_ball(40, 50), half=(64, 64), heights=(-14, 114), step_mm=1.6)
    outside = field_of(to_ball(52, 50), half=(64, 64), heights=(-14, 114), step_mm=1.6)
    return workspace_of(mesh, distance, outside=outside, chunks=np.array([[0, 0, 98.0], [49, 0, 50], [0, 30, 50]], np.float32))


@pytest.fixture(scope="module")
def box() -> Workspace:
    mesh = standing(trimesh.creation.box((100, 80, 60)), open_base=True)
    return workspace_of(mesh, field_of(to_box(100, 80, 60), half=(72, 62), heights=(0, 82), step_mm=1.0))


@pytest.fixture(scope="module")
def cylinder() -> Workspace:
    mesh = standing(trimesh.creation.cylinder(radius=50, height=120, sections=512), open_base=True)
    return workspace_of(mesh, field_of(to_cylinder(50, 120), half=(75, 75), heights=(0, 145), step_mm=1.6))


def cut(workspace: Workspace, plane: CutPlane, **more: float) -> SectionLayers:
    return section_layers(workspace, plane, coats_mm=COATS, shell_mm=more.get("shell_mm", 6.0), chunk_edge_mm=10.0)


class TestBall:
    # A plane at the distance d from the middle of a ball of radius r cuts a disc of π (r² − d²) (published: Archimedes).
    @pytest.mark.parametrize("offset", [0.0, 11.0, -25.0])
    @pytest.mark.parametrize("azimuth", [0.0, 37.0])
    def test_upright(self, ball: Workspace, azimuth: float, offset: float) -> None:
        self._check(cut(ball, CutPlane.upright(azimuth_deg=azimuth, offset_mm=offset)), offset)

    @pytest.mark.parametrize("height", [50.0, 30.0])
    def test_level(self, ball: Workspace, height: float) -> None:
        self._check(cut(ball, CutPlane.level(height_mm=height)), height - 50)

    def test_aslant(self, ball: Workspace) -> None:
        plane = CutPlane(normal=(0.36, 0.48, 0.8), offset_mm=0.8 * 50 + 12)
        self._check(cut(ball, plane), 12.0)

    def test_beside_the_piece_only_the_coats_are_met(self, ball: Workspace) -> None:
        layers = cut(ball, CutPlane.upright(azimuth_deg=0, offset_mm=44))
        assert not layers.piece
        assert layers.coats[-1].area_mm2 == pytest.approx(math.pi * (47**2 - 44**2), rel=0.02)
        assert layers.coat_areas_mm2[0] == 0

    def test_beside_everything_nothing_is_met(self, ball: Workspace) -> None:
        layers = cut(ball, CutPlane.upright(azimuth_deg=0, offset_mm=80))
        assert layers.box is None
        assert sum(layers.coat_areas_mm2) == 0

    def test_chunks_are_squares_where_the_plane_is_square_to_them(self, ball: Workspace) -> None:
        layers = cut(ball, CutPlane.upright(azimuth_deg=0))
        assert len(layers.chunks) == 2
        assert layers.chunks_mm2 == pytest.approx(200.0)

    @staticmethod
    def _check(layers: SectionLayers, offset: float) -> None:
        def disc(radius: float) -> float:
            return math.pi * (radius**2 - offset**2)

        assert layers.piece.area_mm2 == pytest.approx(disc(40), rel=WITHIN)
        walls = np.cumsum(COATS)
        for region, wall in zip(layers.coats, walls, strict=True):
            assert region.area_mm2 == pytest.approx(disc(40 + wall), rel=WITHIN)
        for area, inner, outer in zip(layers.coat_areas_mm2, [0.0, *walls], walls, strict=False):
            assert area == pytest.approx(disc(40 + outer) - disc(40 + inner), rel=WITHIN)
        assert layers.fill_mm2 == pytest.approx(disc(52) - disc(47), rel=0.01)
        assert layers.shell_mm2 == pytest.approx(disc(58) - disc(52), rel=WITHIN)


class TestBoxOnABoard:
    # Parallel region of a rectangle above a line: bc + (2c + b) t + 2 · πt²/4 (published: Steiner, in the plane).
    def test_upright(self, box: Workspace) -> None:
        layers = cut(box, CutPlane.upright(azimuth_deg=0, offset_mm=7))
        assert layers.piece.area_mm2 == pytest.approx(80 * 60, rel=1e-6)
        for region, wall in zip(layers.coats, np.cumsum(COATS), strict=True):
            assert region.area_mm2 == pytest.approx(80 * 60 + (2 * 60 + 80) * wall + math.pi * wall**2 / 2, rel=WITHIN)
        assert layers.board_v == pytest.approx(0)
        assert layers.box is not None
        assert layers.box[2] == pytest.approx(0)
        assert layers.bridged_mm == pytest.approx(0)
        assert layers.filled is None
        assert layers.shell_mm2 is None

    def test_from_corner_to_corner(self, box: Workspace) -> None:
        azimuth = math.degrees(math.atan2(100, -80))
        layers = cut(box, CutPlane.upright(azimuth_deg=azimuth))
        assert layers.piece.area_mm2 == pytest.approx(math.hypot(100, 80) * 60, rel=1e-3)

    def test_through_a_face_the_piece_lies_behind_the_plane(self, box: Workspace) -> None:
        # Corners in the plane count as behind it: the top face itself is not cut, the coat over it is.
        layers = cut(box, CutPlane.level(height_mm=60))
        assert layers.piece.area_mm2 == 0
        assert layers.coats[0].area_mm2 == pytest.approx(100 * 80 + 2 * (100 + 80) + math.pi, rel=WITHIN)

    def test_below_the_board_is_nothing(self, box: Workspace) -> None:
        assert cut(box, CutPlane.level(height_mm=-3)).box is None


class TestCylinderOnABoard:
    @pytest.mark.parametrize("height", [1.0, 60.0, 119.0])
    def test_level(self, cylinder: Workspace, height: float) -> None:
        layers = cut(cylinder, CutPlane.level(height_mm=height))
        assert layers.piece.area_mm2 == pytest.approx(math.pi * 50**2, rel=WITHIN)
        for region, wall in zip(layers.coats, np.cumsum(COATS), strict=True):
            assert region.area_mm2 == pytest.approx(math.pi * (50 + wall) ** 2, rel=WITHIN)

    def test_above_the_top_the_coat_is_rounded_off(self, cylinder: Workspace) -> None:
        # At s above the top the wall t reaches √(t² − s²) beyond the rim (published: Pythagoras).
        layers = cut(cylinder, CutPlane.level(height_mm=124))
        assert layers.coats[-1].area_mm2 == pytest.approx(math.pi * (50 + math.sqrt(7**2 - 4**2)) ** 2, rel=WITHIN)

    def test_aslant_it_is_an_ellipse(self, cylinder: Workspace) -> None:
        # A plane that leans 45° cuts πR²/cos 45° (published: projection).
        plane = CutPlane(normal=(math.sqrt(0.5), 0.0, math.sqrt(0.5)), offset_mm=60 * math.sqrt(0.5))
        layers = cut(cylinder, plane)
        assert layers.piece.area_mm2 == pytest.approx(math.pi * 50**2 * math.sqrt(2), rel=WITHIN)
        assert layers.coats[-1].area_mm2 == pytest.approx(math.pi * 57**2 * math.sqrt(2), rel=WITHIN)

    @pytest.mark.parametrize(("azimuth", "lift", "offset"), [(0.0, 70.0, 0.0), (123.0, 60.0, 9.0), (200.0, -65.0, -14.0)])
    def test_leaning_it_is_an_ellipse_whose_middle_lies_on_the_axis(
        self, cylinder: Workspace, azimuth: float, lift: float, offset: float
    ) -> None:
        # π a b with b = R and a = R / sin(lift); its middle is where the plane meets the axis (published: conic sections).
        plane = CutPlane.leaning(azimuth_deg=azimuth, lift_deg=lift, offset_mm=offset, middle_mm=60.0)
        layers = cut(cylinder, plane)
        rise = math.sin(math.radians(lift))
        assert layers.piece.area_mm2 == pytest.approx(math.pi * 50 * 50 / abs(rise), rel=WITHIN)
        assert layers.coats[-1].area_mm2 == pytest.approx(math.pi * 57 * 57 / abs(rise), rel=WITHIN)
        assert layers.piece.box is not None
        left, right, low, high = layers.piece.box
        assert (right - left, high - low) == pytest.approx((100.0, 100.0 / abs(rise)), rel=WITHIN)
        middle = plane.spatial(np.array([[(left + right) / 2, (low + high) / 2]]))[0]
        assert middle == pytest.approx((0.0, 0.0, 60.0 + offset / rise), abs=0.2)
        # Up along the plane is up in space.
        assert plane.up[2] > 0

    def test_leaning_it_ends_on_the_board(self, cylinder: Workspace) -> None:
        # A plane through the axis at the board, 45° up: the half ellipse above the board, π a b / 2.
        plane = CutPlane.leaning(azimuth_deg=90, lift_deg=45, offset_mm=-60 * math.sqrt(0.5), middle_mm=60.0)
        layers = cut(cylinder, plane)
        assert layers.board_v == pytest.approx(0.0, abs=1e-9)
        assert layers.piece.area_mm2 == pytest.approx(math.pi * 50 * 50 * math.sqrt(2) / 2, rel=WITHIN)
        assert layers.box is not None
        assert layers.box[2] == pytest.approx(0.0, abs=1e-6)

    @pytest.mark.parametrize("lift", [90.0, -90.0])
    def test_straight_up_or_down_it_is_level(self, cylinder: Workspace, lift: float) -> None:
        plane = CutPlane.leaning(azimuth_deg=33, lift_deg=lift, offset_mm=10.0, middle_mm=60.0)
        layers = cut(cylinder, plane)
        assert layers.piece.area_mm2 == pytest.approx(math.pi * 50**2, rel=WITHIN)
        assert plane.spatial(np.zeros((1, 2)))[0][2] == pytest.approx(70.0 if lift > 0 else 50.0)


class TestTurnedBody:
    # Through the axis of a turned body the nearest point of every place lies in the plane of the section itself, so a coat
    # there is the profile's own offset (derivation); offset by another library, manifold3d, its mirror below the board.
    def test_each_coat_is_the_offset_of_the_profile(self) -> None:
        profile = [(60.0, 0.0), (60.0, 20.0), (30.0, 50.0), (70.0, 110.0), (25.0, 170.0), (0.0, 180.0)]
        vertices, faces = revolved(profile, sides=384)
        mesh = standing(trimesh.Trimesh(vertices, faces, process=False), open_base=True)
        layers = cut(workspace_of(mesh, field_of(to_turned(profile), half=(82, 82), heights=(0, 198), step_mm=3.0)),
                     CutPlane.upright(azimuth_deg=270))  # fmt: skip
        whole = [*profile, *((-r, z) for r, z in reversed(profile[:-1]))]
        mirrored = [*((r, -z) for r, z in reversed(profile)), *profile, *((-r, z) for r, z in reversed(profile[:-1]))]
        mirrored += [(-r, -z) for r, z in profile[:-1]]
        assert layers.piece.area_mm2 == pytest.approx(manifold3d.CrossSection([whole]).area(), rel=1e-3)
        above_board = manifold3d.CrossSection.square((400, 400)).translate((-200, 0))
        inner = manifold3d.CrossSection([whole]).area()
        for wall, region, alone in zip(np.cumsum(COATS), layers.coats, layers.coat_areas_mm2, strict=True):
            grown = manifold3d.CrossSection([mirrored]).offset(float(wall), manifold3d.JoinType.Round, 2.0, 256)
            outer = (grown ^ above_board).area()
            assert region.area_mm2 == pytest.approx(outer, rel=1e-3)
            assert alone == pytest.approx(outer - inner, rel=0.01)
            inner = outer


class TestCuts:
    @settings(max_examples=40, deadline=None)
    @given(
        normal=st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda n: math.hypot(*n) > 0.1), offset=st.floats(-45, 45),
        seed=st.integers(0, 5),
    )  # fmt: skip
    def test_areas_agree_with_the_segments_that_trimesh_finds(
        self, normal: tuple[float, float, float], offset: float, seed: int
    ) -> None:
        unit = tuple(part / math.hypot(*normal) for part in normal)
        mesh = _bumpy(seed)
        plane = CutPlane(normal=unit, offset_mm=offset)
        made = cut_mesh(mesh.vertices, np.asarray(mesh.faces), plane)
        segments = trimesh.intersections.mesh_plane(mesh, unit, np.array(unit) * offset)
        length = float(np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1).sum()) if len(segments) else 0.0
        ours = sum(float(np.linalg.norm(loop - np.roll(loop, 1, axis=0), axis=1).sum()) for loop in made.loops)
        assert ours == pytest.approx(length, rel=1e-6, abs=1e-3)
        assert made.bridged_mm == 0
        # The area by another library, which cuts level: the mesh is turned so that the plane is.
        turned = mesh.vertices @ np.column_stack([plane.across, plane.up, np.array(plane.normal)])
        solid = manifold3d.Manifold(manifold3d.Mesh64(np.ascontiguousarray(turned), np.asarray(mesh.faces, dtype=np.uint64)))
        area = solid.slice(offset).area()
        assert sum(signed_area(loop) for loop in made.loops) == pytest.approx(area, rel=1e-5, abs=1e-2)

    def test_corners_in_the_plane(self) -> None:
        mesh = trimesh.creation.icosphere(subdivisions=3, radius=40)
        for plane in (
            CutPlane.level(height_mm=0),
            CutPlane.upright(azimuth_deg=0),
            CutPlane(normal=(0.0, 1.0, 0.0), offset_mm=0.0),
        ):
            assert np.count_nonzero(plane.distances(mesh.vertices) == 0) > 4
            made = cut_mesh(mesh.vertices, np.asarray(mesh.faces), plane)
            assert len(made.loops) == 1
            assert signed_area(made.loops[0]) == pytest.approx(math.pi * 40**2, rel=0.02)

    def test_holes_are_bridged_and_told(self) -> None:
        mesh = trimesh.creation.icosphere(subdivisions=4, radius=40)
        keep = ~((mesh.triangles_center[:, 0] > 38) | (mesh.triangles_center[:, 0] < -36))
        made = cut_mesh(mesh.vertices, np.asarray(mesh.faces)[keep], CutPlane.level(height_mm=0.3))
        assert len(made.loops) == 1
        assert signed_area(made.loops[0]) == pytest.approx(math.pi * 40**2, rel=0.06)
        # Chords of a circle at 38 and at 36 mm from its middle: 2 √(R² − d²) (published: Pythagoras).
        assert made.bridged_mm == pytest.approx(2 * math.sqrt(40**2 - 38**2) + 2 * math.sqrt(40**2 - 36**2), rel=0.15)

    def test_turned_triangles_do_not_break_the_line(self) -> None:
        mesh = trimesh.creation.icosphere(subdivisions=4, radius=40)
        faces = np.array(mesh.faces)
        turned = np.random.default_rng(3).random(len(faces)) < 0.1
        faces[turned] = faces[turned][:, ::-1]
        made = cut_mesh(mesh.vertices, faces, CutPlane.level(height_mm=0.3))
        assert len(made.loops) == 1
        assert signed_area(made.loops[0]) == pytest.approx(math.pi * 40**2, rel=0.01)

    def test_parts_that_overlap_count_once(self) -> None:
        boxes = [trimesh.creation.box((40, 40, 40)), trimesh.creation.box((40, 40, 40))]
        boxes[1].apply_translation((20, 0, 0))
        mesh = trimesh.util.concatenate(boxes)
        made = cut_mesh(mesh.vertices, np.asarray(mesh.faces), CutPlane.level(height_mm=1))
        assert cleaned(made.loops).area_mm2 == pytest.approx(60 * 40)

    def test_boxes_that_share_an_edge(self) -> None:
        # Four triangles meet in that edge; each box keeps its own loop or both share one through the corner.
        boxes = [trimesh.creation.box((40, 40, 40)), trimesh.creation.box((40, 40, 40))]
        boxes[1].apply_translation((40, 40, 0))
        mesh = trimesh.util.concatenate(boxes)
        mesh.merge_vertices()
        made = cut_mesh(mesh.vertices, np.asarray(mesh.faces), CutPlane.level(height_mm=1))
        assert made.bridged_mm == 0
        assert cleaned(made.loops).area_mm2 == pytest.approx(2 * 40 * 40)

    def test_a_tube_is_cut_with_its_hole(self) -> None:
        tube = trimesh.creation.annulus(r_min=20, r_max=30, height=50, sections=256)
        made = cut_mesh(tube.vertices, np.asarray(tube.faces), CutPlane.level(height_mm=1))
        assert cleaned(made.loops).area_mm2 == pytest.approx(math.pi * (30**2 - 20**2), rel=1e-3)
        assert sorted(signed_area(loop) > 0 for loop in made.loops) == [False, True]


def test_a_cube_cut_through_its_middle_corner_to_corner_is_a_hexagon() -> None:
    # The plane through the middle of a cube across its diagonal cuts a regular hexagon of 3√3/4 · 2 · (s/√2)² (published).
    diagonal = math.sqrt(1 / 3)
    (outline,) = cut_cubes(np.zeros((1, 3)), 10.0, CutPlane(normal=(diagonal,) * 3, offset_mm=0.0))
    assert len(outline) == 6
    assert signed_area(outline) == pytest.approx(3 * math.sqrt(3) / 2 * (10 / math.sqrt(2)) ** 2)


def _bumpy(seed: int) -> trimesh.Trimesh:
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=30)
    bumps = np.random.default_rng(seed).normal(size=(4, 3))
    mesh.vertices *= (1 + 0.12 * np.sin(mesh.vertices @ bumps.T / 8).sum(axis=1))[:, None]
    return mesh
