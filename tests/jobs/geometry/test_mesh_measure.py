"""Meshes: what must hold for every piece, and what each fault does."""

import math
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_brief import UP_AXES, MeshBrief
from jobs.geometry.mesh_measure import measure_mesh
from jobs.geometry.mesh_takeoff import takeoff_from_mesh
from jobs.geometry.mesh_weld import weld
from jobs.geometry.raw_mesh import checked_mesh
from jobs.geometry.takeoff import Fault, Takeoff
from tests.jobs.geometry.builders import box_mesh

lengths = st.floats(10, 500)
# Without types of its own.
TURNS: Any = trimesh.transformations
BALL = trimesh.creation.icosphere(subdivisions=2, radius=50)


def takeoff_of(vertices: Any, faces: Any, **brief: Any) -> Takeoff:
    return takeoff_from_mesh(checked_mesh(np.asarray(vertices), np.asarray(faces, dtype=np.int64)), MeshBrief(**brief))


def faults_of(vertices: Any, faces: Any, **brief: Any) -> dict[str, Fault]:
    return {fault.name: fault for fault in takeoff_of(vertices, faces, **brief).faults}


class TestMeasureMesh:
    @given(lengths, lengths, lengths, st.floats(0.1, 8))
    @settings(max_examples=30, deadline=None)
    def test_scales_as_s_squared_and_cubed(self, a: float, b: float, c: float, scale: float) -> None:
        small = measure_mesh(*box_mesh(a, b, c), stands_on_board=True)
        vertices, faces = box_mesh(a, b, c)
        large = measure_mesh(vertices * scale, faces, stands_on_board=True)
        assert large.area_mm2 == pytest.approx(small.area_mm2 * scale**2, rel=1e-9)
        assert large.volume_mm3 == pytest.approx(small.volume_mm3 * scale**3, rel=1e-9)
        assert large.bend_mm == pytest.approx(small.bend_mm * scale, rel=1e-9)
        assert large.parts.cube == small.parts.cube

    @given(st.tuples(*[st.floats(-1, 1)] * 4).filter(lambda q: sum(x * x for x in q) > 0.1), lengths)
    @settings(max_examples=30, deadline=None)
    def test_a_turn_and_a_move_change_nothing(self, quaternion: tuple[float, ...], move: float) -> None:
        turn = TURNS.quaternion_matrix(np.array(quaternion) / math.sqrt(sum(x * x for x in quaternion)))
        mesh = trimesh.creation.torus(100, 30, major_sections=24, minor_sections=12)
        before = measure_mesh(mesh.vertices, mesh.faces, stands_on_board=False)
        after = measure_mesh(mesh.vertices @ turn[:3, :3].T + move, mesh.faces, stands_on_board=False)
        assert after.area_mm2 == pytest.approx(before.area_mm2, rel=1e-9)
        assert after.volume_mm3 == pytest.approx(before.volume_mm3, rel=1e-9)
        assert after.bend_mm == pytest.approx(before.bend_mm, rel=1e-9)

    @given(st.floats(0, 2 * math.pi))
    @settings(max_examples=20, deadline=None)
    def test_a_turn_on_the_board_changes_nothing(self, angle: float) -> None:
        turn = TURNS.rotation_matrix(angle, (0, 0, 1))[:3, :3]
        vertices, faces = box_mesh()
        before = measure_mesh(vertices, faces, stands_on_board=True)
        after = measure_mesh(vertices @ turn.T, faces, stands_on_board=True)
        assert after.area_mm2 == pytest.approx(before.area_mm2, rel=1e-9)
        assert after.bend_mm == pytest.approx(before.bend_mm, rel=1e-9)
        assert after.footprint_mm2 == pytest.approx(before.footprint_mm2, rel=1e-9)

    def test_closed_box_bends_inside_by_its_edges(self) -> None:
        # exact: an inner wall w leaves (a−2w)(b−2w)(c−2w), whose w² term is 4 (a + b + c).
        assert measure_mesh(*box_mesh(), stands_on_board=False).inner_bend_mm == pytest.approx(4 * 240)

    def test_standing_box_bends_inside_by_its_edges(self) -> None:
        # exact: (a−2w)(b−2w)(c−w) has the w² term 2 (a + b) + 4 c.
        assert measure_mesh(*box_mesh(), stands_on_board=True).inner_bend_mm == pytest.approx(2 * 180 + 4 * 60)

    def test_faces_turned_inward_are_turned_and_said(self) -> None:
        vertices, faces = box_mesh()
        found = faults_of(vertices, faces[:, ::-1])
        assert "none" in found["faces looking inward"].cost
        assert takeoff_of(vertices, faces[:, ::-1]).mean_curvature == takeoff_of(vertices, faces).mean_curvature

    def test_two_pieces_side_by_side_add_up(self) -> None:
        vertices, faces = box_mesh()
        both = np.concatenate([vertices, vertices + np.array([300, 0, 0])])
        pair = measure_mesh(both, np.concatenate([faces, faces + 8]), stands_on_board=False)
        one = measure_mesh(vertices, faces, stands_on_board=False)
        assert pair.bend_mm == pytest.approx(2 * one.bend_mm)
        assert pair.parts.count == 2
        assert pair.parts.cube == pytest.approx(2 * one.parts.cube)


class TestFaults:
    def test_a_clean_box_has_none(self) -> None:
        assert faults_of(*box_mesh()) == {}

    def test_a_hole_is_counted_and_costed(self) -> None:
        found = faults_of(BALL.vertices, BALL.faces[1:], stands_on_board=False)
        assert found["edges of holes"].count == 3
        missing = BALL.area_faces[0] / BALL.area * 100
        stated = float(found["edges of holes"].cost.split("at most ")[1].split(" %")[0])
        assert stated >= missing

    def test_a_hole_leaves_the_corner_share_of_a_ball(self) -> None:
        assert takeoff_of(BALL.vertices, BALL.faces[1:], stands_on_board=False).sphere_part == pytest.approx(4 * math.pi / 3)

    def test_faces_that_disagree_are_turned_and_counted(self) -> None:
        faces = BALL.faces.copy()
        faces[::9] = faces[::9, ::-1]
        hurt, whole = (takeoff_of(BALL.vertices, each, stands_on_board=False) for each in (faces, BALL.faces))
        assert {fault.name: fault.count for fault in hurt.faults} == {
            "faces that disagreed with their neighbours": len(faces[::9])
        }
        assert hurt.volume.value == pytest.approx(whole.volume.value, rel=1e-12)
        assert hurt.mean_curvature.value == pytest.approx(whole.mean_curvature.value, rel=1e-12)

    def test_a_surface_of_one_side_keeps_its_disagreeing_edges(self) -> None:
        # A Möbius strip beside a box: no way to turn its faces makes them agree.
        around = np.arange(24)
        angle = around / 12 * math.pi
        rims = [np.stack([(30 + s * 5 * np.cos(angle / 2)) * np.cos(angle), (30 + s * 5 * np.cos(angle / 2)) * np.sin(angle),
                          s * 5 * np.sin(angle / 2)], axis=1) for s in (1, -1)]  # fmt: skip
        after = np.roll(around, -1)
        low, high = around, around + 24
        low_after, high_after = np.where(after == 0, 24, after), np.where(after == 0, 0, after + 24)
        strip = np.concatenate([np.stack([low, low_after, high_after], axis=1), np.stack([low, high_after, high], axis=1)])
        vertices, faces = box_mesh()
        found = faults_of(
            np.concatenate([vertices, *(rim + np.array([300, 0, 50]) for rim in rims)]), np.concatenate([faces, strip + 8])
        )
        assert found["edges whose faces disagree on which side is out"].count == 1
        assert "faces that disagreed with their neighbours" not in found

    def test_a_fin_shares_an_edge_of_three(self) -> None:
        vertices, faces = box_mesh()
        vertices = np.concatenate([vertices, [[-40, -40, 30]]])
        found = faults_of(vertices, np.concatenate([faces, [(0, 1, 8)]]), stands_on_board=False)
        assert found["edges shared by three or more faces"].count == 1

    def test_collapsed_faces_cost_nothing(self) -> None:
        vertices, faces = box_mesh()
        found = faults_of(vertices, np.concatenate([faces, [(0, 0, 1), (2, 3, 3)]]))
        assert found["faces without any surface"].count == 2
        assert "none" in found["faces without any surface"].cost

    def test_specks_are_counted(self) -> None:
        vertices, faces = box_mesh()
        speck = box_mesh(0.5, 0.5, 0.5)[0] + [200, 0, 5]
        both = takeoff_of(np.concatenate([vertices, speck]), np.concatenate([faces, faces + 8]))
        assert {fault.name: fault.count for fault in both.faults} == {"specks floating beside the piece": 1}
        assert both.sphere_part == pytest.approx(2 * math.pi / 3)

    def test_an_inner_wall_is_pointed_out(self) -> None:
        vertices, faces = box_mesh()
        inner = vertices * 0.5 + [25, 20, 15]
        hollow = takeoff_of(np.concatenate([vertices, inner]), np.concatenate([faces, faces[:, ::-1] + 8]))
        assert "inner_surface" in {remark.key for remark in hollow.remarks}

    def test_many_tunnels_count_as_flaws(self) -> None:
        # Forty rings glued into one surface would swing the t³ term; a grid of holes through a slab has χ = 2 − 2 · 40.
        slab = perforated_slab(8, 5)
        takeoff = takeoff_of(slab.vertices, slab.faces, stands_on_board=False)
        assert slab.euler_number == 2 - 2 * 40
        assert {fault.name: fault.count for fault in takeoff.faults} == {"tunnels through the surface": 40}
        assert takeoff.sphere_part == pytest.approx(4 * math.pi / 3)


def perforated_slab(columns: int, rows: int) -> trimesh.Trimesh:
    """Return a slab of unit blocks (10 mm) with `columns` × `rows` square holes."""
    wide, deep = 2 * columns + 1, 2 * rows + 1
    filled = np.ones((wide, deep, 1), dtype=bool)
    filled[1::2, 1::2] = False
    quads = []
    steps = {(1, 0, 0): 0, (0, 1, 0): 1, (0, 0, 1): 2}
    padded = np.pad(filled, 1)
    for x, y, z in np.argwhere(filled):
        for step, axis in steps.items():
            for sign in (1, -1):
                neighbour = np.array([x, y, z]) + 1 + sign * np.array(step)
                if not padded[tuple(neighbour)]:
                    corner = np.array([x, y, z], dtype=float)
                    corner[axis] += sign > 0
                    u, v = (np.eye(3)[(axis + 1) % 3], np.eye(3)[(axis + 2) % 3])
                    quad = [corner, corner + u, corner + u + v, corner + v]
                    quads.append(quad if sign > 0 else quad[::-1])
    points = np.array(quads).reshape(-1, 3) * 10
    index = np.arange(len(points)).reshape(-1, 4)
    return trimesh.Trimesh(points, np.concatenate([index[:, [0, 1, 2]], index[:, [0, 2, 3]]]), process=True)


class TestTakeoffFromMesh:
    def test_a_ball_on_a_board_says_that_it_has_no_flat_base(self) -> None:
        takeoff = takeoff_of(BALL.vertices, BALL.faces)
        assert "no_flat_base" in {remark.key for remark in takeoff.remarks}
        assert takeoff.area.value * 1e6 == pytest.approx(BALL.area)

    @pytest.mark.parametrize("axis", UP_AXES)
    def test_the_chosen_axis_points_up(self, axis: str) -> None:
        place = "xyz".index(axis[-1])
        extents = (30.0, 50.0, 70.0)
        vertices, faces = box_mesh(*extents)
        takeoff = takeoff_of(vertices, faces, up_axis=axis)
        others = [extent for i, extent in enumerate(extents) if i != place]
        assert takeoff.box_mm[2] == extents[place]
        assert takeoff.footprint_area.value * 1e6 == pytest.approx(others[0] * others[1])
        assert "faces looking inward" not in {fault.name for fault in takeoff.faults}

    def test_minus_z_stands_a_cone_on_its_head(self) -> None:
        cone = trimesh.creation.cone(50, 120, sections=64)
        assert takeoff_of(cone.vertices, cone.faces).footprint_area.value > 0
        assert takeoff_of(cone.vertices, cone.faces, up_axis="-z").footprint_area.value == 0

    @pytest.mark.parametrize(("unit", "factor"), [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4)])
    def test_the_unit_scales_the_box(self, unit: str, factor: float) -> None:
        vertices, faces = box_mesh(1.5, 1.0, 2.0)
        assert takeoff_of(vertices, faces, unit=unit).box_mm == pytest.approx((1.5 * factor, factor, 2 * factor))

    def test_a_unit_that_makes_it_30_m_is_refused(self) -> None:
        vertices, faces = box_mesh(30, 30, 30)
        with pytest.raises(GeometryError, match="Choose another unit"):
            takeoff_of(vertices, faces, unit="m")

    def test_a_flat_sheet_is_refused(self) -> None:
        with pytest.raises(GeometryError, match="no volume"):
            takeoff_of([(0, 0, 0), (100, 0, 0), (0, 100, 0)], [(0, 1, 2)], stands_on_board=False)

    def test_a_mesh_flat_on_the_board_is_refused(self) -> None:
        with pytest.raises(GeometryError, match=r"which side is up|no volume"):
            takeoff_of([(0, 0, 0), (100, 0, 0), (0, 100, 0)], [(0, 2, 1)])

    def test_a_flange_goes_round_the_rim(self) -> None:
        takeoff = takeoff_of(*box_mesh(), flange_width_mm=40)
        assert takeoff.flange_area.value * 1e6 == pytest.approx(360 * 40 + math.pi * 40**2)

    def test_the_section_of_a_box_is_its_rectangle(self) -> None:
        outline = takeoff_of(*box_mesh()).outline
        assert outline is not None
        corners = {(round(x, 6), round(z, 6)) for x, z in outline.points}
        assert corners == {(-50, 0), (-50, 60), (50, 0), (50, 60)}

    def test_a_low_plinth_beside_the_board_is_coated(self) -> None:
        # Its sides are lower than what counts as lying on the board, yet they do not look down.
        profile = [(0, 0), (50, 0), (50, 0.1), (30, 0.1), (30, 100), (0, 100)]
        mesh = trimesh.creation.revolve(profile, sections=64)
        takeoff = takeoff_of(mesh.vertices, mesh.faces)
        base = mesh.area_faces[mesh.face_normals[:, 2] < -0.99].sum()
        assert takeoff.area.value * 1e6 == pytest.approx(mesh.area - base, rel=1e-9)

    def test_the_section_shows_the_larger_of_two_loops(self) -> None:
        vertices, faces = box_mesh()
        small = box_mesh(20, 80, 20)[0] + np.array([130, 0, 0])
        outline = takeoff_of(np.concatenate([vertices, small]), np.concatenate([faces, faces + 8])).outline
        assert outline is not None
        across = [x for x, _ in outline.points]
        assert max(across) - min(across) == pytest.approx(100)

    def test_the_section_of_a_ball_is_its_circle(self) -> None:
        outline = takeoff_of(BALL.vertices, BALL.faces, stands_on_board=False).outline
        assert outline is not None
        radii = [math.hypot(x, z - 50) for x, z in outline.points]
        assert 47 < min(radii) <= max(radii) < 50.001

    def test_unknown_unit_and_axis_are_refused(self) -> None:
        with pytest.raises(GeometryError, match="as the unit"):
            MeshBrief(unit="furlong")
        with pytest.raises(GeometryError, match="points up"):
            MeshBrief(up_axis="w")


class TestWeld:
    def test_joins_equal_points_and_minus_zero(self) -> None:
        vertices = np.array([(0.0, 0, 0), (1, 0, 0), (-0.0, 0, 0), (1, 0, 0), (1, 1, 0)], dtype=np.float32)
        points, faces = weld(vertices, np.array([(0, 1, 4), (2, 3, 4)]))
        assert len(points) == 3
        assert faces[0].tolist() == faces[1].tolist()

    def test_keeps_every_triangle_in_place(self) -> None:
        corners = np.asarray(BALL.triangles, dtype=np.float32).reshape(-1, 3)
        points, faces = weld(corners, np.arange(len(corners)).reshape(-1, 3))
        assert len(points) == len(BALL.vertices)
        assert (points[faces].reshape(-1, 3) == corners).all()

    def test_falls_back_to_coordinates_when_hashes_collide(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("jobs.geometry.mesh_weld._hashes", lambda points: np.zeros(len(points), dtype=np.uint64))
        corners = np.asarray(BALL.triangles).reshape(-1, 3)
        points, faces = weld(corners, np.arange(len(corners)).reshape(-1, 3))
        assert len(points) == len(BALL.vertices)
        assert (points[faces].reshape(-1, 3) == corners).all()
