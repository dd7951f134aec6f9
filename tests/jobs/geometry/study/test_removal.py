"""The order in which pieces come off, on surfaces whose regions are given."""

from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.study.directions import direction
from jobs.geometry.study.face_graph import FaceGraph, face_graph
from jobs.geometry.study.removal import blocked_pairs, removal_order
from tests.jobs.geometry.study.pieces_bodies import DOWN, EAST, NORTH, THREE, UP, WEST

EVEN = np.full(4, 0.25)


def graph_of(mesh: Any, edge_mm: float = 3.0) -> FaceGraph:
    vertices, faces = trimesh.remesh.subdivide_to_size(mesh.vertices, mesh.faces, edge_mm)
    whole = trimesh.Trimesh(vertices, faces)
    return face_graph(whole.vertices, whole.faces)


def post() -> Any:
    """A box 60 × 60 × 120 on z = 0."""
    mesh = trimesh.creation.box((60, 60, 120))
    mesh.apply_translation((0, 0, 60))
    return mesh


class TestBlocked:
    @pytest.mark.parametrize("shell_mm", [3.0, 8.0])
    def test_halves_of_a_ball_come_off_in_any_order(self, shell_mm: float) -> None:
        graph = face_graph(*_ball())
        assert blocked_pairs(graph, np.where(graph.middles[:, 2] > 0, 0, 1), (UP, DOWN), shell_mm) == ()

    def test_thirds_of_a_cylinder_come_off_in_any_order(self) -> None:
        mesh = trimesh.creation.cylinder(radius=40, height=100, sections=96)
        graph = graph_of(mesh)
        around = np.degrees(np.arctan2(graph.middles[:, 1], graph.middles[:, 0]))
        piece = (np.round(around / 120) % 3).astype(np.int64)
        assert blocked_pairs(graph, piece, THREE, 6.0) == ()

    def test_a_cap_in_the_way_of_the_skirt_goes_first(self) -> None:
        graph = graph_of(post())
        # The skirt is pulled up too: all along its walls the cap's shell hangs over it.
        piece = np.where(graph.middles[:, 2] > 80, 0, 1)
        pairs = blocked_pairs(graph, piece, (UP, UP), 6.0)
        assert pairs == ((1, 0),)
        assert removal_order(pairs, np.array([0.8, 0.3]), np.array([0.4, 0.6])) == (0, 1)

    def test_a_low_piece_that_is_pulled_up_waits_even_for_a_small_one(self) -> None:
        graph = graph_of(post())
        piece = np.where((graph.middles[:, 2] > 90) & (graph.normals[:, 0] > 0.7), 0, 1)
        # Piece 0 is a plate high on one side, pulled sideways; the rest goes up past it.
        assert blocked_pairs(graph, piece, (EAST, UP), 6.0) == ((1, 0),)

    def test_interlocked_pieces_have_no_order(self) -> None:
        graph = graph_of(post())
        x, z = graph.middles[:, 0], graph.middles[:, 2]
        # On the eastern half the low piece is 0, on the western half 1; both are pulled up.
        piece = np.where((x > 0) == (z < 60), 0, 1)
        pairs = blocked_pairs(graph, piece, (UP, UP), 6.0)
        assert set(pairs) == {(0, 1), (1, 0)}
        assert removal_order(pairs, EVEN[:2], EVEN[:2]) == ()

    def test_a_piece_without_a_region_blocks_nothing(self) -> None:
        graph = graph_of(post(), 8.0)
        piece = np.where(graph.middles[:, 0] > 0, 0, 1)
        assert blocked_pairs(graph, piece, (EAST, WEST, NORTH), 6.0) == ()

    def test_a_thin_shell_and_none_at_all(self) -> None:
        graph = graph_of(post(), 8.0)
        piece = np.where(graph.middles[:, 0] > 0, 0, 1)
        for shell_mm in (0.0, 0.1):
            assert blocked_pairs(graph, piece, (EAST, WEST), shell_mm) == ()

    def test_a_slanting_pull_over_a_neighbour(self) -> None:
        graph = graph_of(post())
        piece = np.where(graph.middles[:, 2] < 60, 0, 1)
        steep = direction(0, 80)
        assert (0, 1) in blocked_pairs(graph, piece, (steep, UP), 6.0)
        assert (1, 0) not in blocked_pairs(graph, piece, (steep, UP), 6.0)


class TestOrder:
    def test_the_highest_then_the_largest_then_the_first(self) -> None:
        assert removal_order((), np.array([0.2, 0.8, 0.2, 0.2]), np.array([0.2, 0.1, 0.5, 0.2])) == (1, 2, 0, 3)

    def test_what_blocks_goes_before_what_is_higher(self) -> None:
        assert removal_order(((1, 0), (0, 2)), np.array([0.5, 0.9, 0.1]), EVEN[:3]) == (2, 0, 1)

    def test_a_ring_of_three(self) -> None:
        assert removal_order(((0, 1), (1, 2), (2, 0)), EVEN[:3], EVEN[:3]) == ()

    def test_rounding_decides_nothing(self) -> None:
        assert removal_order((), np.array([0.5, 0.5000001]), np.array([0.5000001, 0.5])) == (0, 1)


def _ball() -> tuple[Any, Any]:
    mesh = trimesh.creation.icosphere(subdivisions=5, radius=60)
    return mesh.vertices, mesh.faces
