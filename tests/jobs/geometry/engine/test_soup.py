"""Welding and checking loose triangles, beside the plain way and another library."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from jobs.geometry.engine.soup import check_mesh, edge_table_fast, weld_fast, weld_stl
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_edges import edge_table
from jobs.geometry.mesh_weld import weld

BALL = trimesh.creation.icosphere(subdivisions=3, radius=40)
FACETS = BALL.export(file_type="stl")[84:]


class TestWeldFast:
    @settings(deadline=None)
    @given(arrays(np.float32, (30, 3), elements=st.sampled_from([0.0, -0.0, 1.0, 2.5, -1e-30])))
    def test_joins_the_same_points_as_the_plain_weld(self, points: np.ndarray) -> None:
        faces = np.arange(30).reshape(-1, 3)
        ours, plain = weld_fast(points, faces), weld(points, faces)
        assert len(ours[0]) == len(plain[0])
        assert (ours[0][ours[1]] == plain[0][plain[1]]).all()

    def test_keeps_faces_that_share_points_already(self) -> None:
        vertices, faces = weld_fast(np.array(BALL.vertices), np.array(BALL.faces))
        assert len(vertices) == len(BALL.vertices)
        assert (vertices[faces] == BALL.vertices[BALL.faces]).all()


class TestWeldStl:
    def test_reads_facets_as_another_library_does(self) -> None:
        # second opinion: trimesh's own reader of the same bytes
        vertices, faces, bad = weld_stl(FACETS)
        assert bad == 0
        assert len(vertices) == len(BALL.vertices)
        assert np.abs(vertices[faces] - BALL.vertices[BALL.faces]).max() < 1e-5

    def test_grows_its_room_for_facets_that_share_nothing(self) -> None:
        rows = np.zeros((5000, 25), dtype="<u2")
        rows[:, 6:24] = np.arange(45_000, dtype="<f4").view("<u2").reshape(5000, 18)
        vertices, faces, _ = weld_stl(rows.tobytes())
        assert len(vertices) == 15_000
        assert vertices[faces].reshape(-1).tolist() == list(range(45_000))

    def test_counts_corners_that_are_no_numbers(self) -> None:
        rows = np.frombuffer(FACETS, dtype="<u2").reshape(-1, 25).copy()
        rows[3, 6:8] = np.array([np.nan], "<f4").view("<u2")
        rows[9, 12:14] = np.array([np.inf], "<f4").view("<u2")
        assert weld_stl(rows.tobytes())[2] == 2

    def test_refuses_half_a_facet(self) -> None:
        with pytest.raises(GeometryError, match="cut short"):
            weld_stl(FACETS[:-7])


class TestCheckMesh:
    def test_agrees_with_another_library(self) -> None:
        # second opinion: trimesh
        both = trimesh.util.concatenate([BALL, trimesh.creation.box((9, 9, 9))])
        found = check_mesh(np.array(both.vertices), np.array(both.faces))
        assert found.area_mm2 == pytest.approx(both.area)
        assert found.volume_mm3 == pytest.approx(both.volume)
        assert found.edges == len(both.edges_unique)
        assert found.parts == both.body_count == 2
        assert (found.hole_edges, found.crowded_edges, found.flipped_edges) == (0, 0, 0)

    def test_counts_damage(self) -> None:
        faces = np.array(BALL.faces)
        hurt = np.vstack([faces[1:2, ::-1], faces[2:], faces[5:6]])
        found = check_mesh(np.array(BALL.vertices), hurt)
        plain = edge_table(hurt, len(BALL.vertices))
        assert found.hole_edges == len(plain.single) > 0
        assert found.flipped_edges == int(plain.flipped.sum()) > 0
        assert found.crowded_edges == plain.count - len(plain.pairs) - len(plain.single) == 3

    @settings(deadline=None)
    @given(arrays(np.int64, (12, 3), elements=st.integers(0, 6)))
    def test_edges_are_those_of_the_plain_table(self, faces: np.ndarray) -> None:
        whole = faces[(faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])]
        if len(whole) == 0:
            return
        ours, plain = edge_table_fast(whole, 7), edge_table(whole, 7)
        assert ours.count == plain.count
        assert sorted(ours.single) == sorted(plain.single)
        assert sorted(ours.crowded) == sorted(plain.crowded)
        assert sorted(map(sorted, ours.pairs.tolist())) == sorted(map(sorted, plain.pairs.tolist()))
        assert int(ours.flipped.sum()) == int(plain.flipped.sum())
