"""Parts of a region that lie apart: joined, reached or left."""

import numpy as np
import pytest
import trimesh

from jobs.geometry.study.face_graph import FaceGraph, face_graph
from jobs.geometry.study.islands import join_islands, reach_islands


@pytest.fixture(scope="module")
def ball() -> FaceGraph:
    mesh = trimesh.creation.icosphere(subdivisions=5, radius=60)
    return face_graph(mesh.vertices, mesh.faces)


def near(graph: FaceGraph, place: tuple[float, float, float], reach: float) -> np.ndarray:
    return np.linalg.norm(graph.middles - place, axis=1) < reach


class TestReach:
    def test_a_strip_joins_an_island_where_its_piece_sees_the_way(self, ball: FaceGraph) -> None:
        x = ball.middles[:, 0]
        island = near(ball, (-60, 0, 0), 15)
        piece = np.where(island | (x > 0), 0, 1)
        may = np.ones((len(piece), 2), bool)
        may[island] = (True, False)
        found = reach_islands(ball, piece, may)
        assert ball.parts(found)[1] == 2
        assert may[np.arange(len(found)), found].all()
        # the rest of the other side stays with the other piece
        assert ball.areas[(found == 1) & (x < 0)].sum() > 0.7 * ball.areas[x < 0].sum()

    def test_no_strip_over_what_its_piece_does_not_see(self, ball: FaceGraph) -> None:
        x = ball.middles[:, 0]
        island = near(ball, (-60, 0, 0), 15)
        piece = np.where(island | (x > 0), 0, 1)
        may = np.stack([island | (x > 0), ~island], axis=1)
        assert (reach_islands(ball, piece, may) == piece).all()

    def test_no_strip_that_would_cut_another_piece_in_two(self, ball: FaceGraph) -> None:
        # a narrow belt of piece 1 between piece 0's mainland and island, with ends that only piece 1 sees
        belt = np.abs(ball.middles[:, 0]) < 6
        ends = belt & (np.abs(ball.middles[:, 1]) > 30)
        piece = np.where(belt, 1, 0)
        may = np.ones((len(piece), 2), bool)
        may[ends] = (False, True)
        may[~belt] = (True, False)
        before = ball.parts(piece)[1]
        assert ball.parts(reach_islands(ball, piece, may))[1] <= before


class TestJoin:
    def test_specks_go_with_what_surrounds_them(self, ball: FaceGraph) -> None:
        x = ball.middles[:, 0]
        speck = near(ball, (-60, 0, 0), 2.0)
        assert speck.any()
        piece = np.where(speck | (x > 0), 0, 1)
        may = np.stack([speck | (x > 0), ~speck], axis=1)
        assert (join_islands(ball, piece, may)[speck] == 1).all()

    def test_what_hangs_together_stays(self, ball: FaceGraph) -> None:
        piece = np.where(ball.middles[:, 2] > 10, 0, 1)
        assert (join_islands(ball, piece, np.ones((len(piece), 2), bool)) == piece).all()

    def test_a_piece_without_a_region(self, ball: FaceGraph) -> None:
        piece = np.zeros(len(ball.faces), np.int64)
        may = np.ones((len(piece), 3), bool)
        assert (reach_islands(ball, join_islands(ball, piece, may), may) == 0).all()


def test_parts_agree_with_an_independent_count(ball: FaceGraph) -> None:
    # trimesh counts the connected parts of each piece's faces by itself
    piece = (np.floor(ball.middles[:, 2] / 12) % 2 + 2 * (ball.middles[:, 0] > 0)).astype(np.int64)
    mesh = trimesh.Trimesh(ball.vertices, ball.faces, process=False)
    expected = sum(
        len(trimesh.graph.connected_components(
            mesh.face_adjacency[(piece[mesh.face_adjacency] == k).all(axis=1)], nodes=np.flatnonzero(piece == k)
        ))
        for k in range(4)
    )  # fmt: skip
    assert ball.parts(piece)[1] == expected
