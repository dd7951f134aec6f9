"""Lines between regions: joined up, smooth, and as long as they should be."""

import math
from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.study.face_graph import face_graph
from jobs.geometry.study.partings import MOST_POINTS, border_lines


def tube(edge_mm: float = 2.0) -> Any:
    """An open tube of radius 40, z from 0 to 100."""
    around, up = round(2 * math.pi * 40 / edge_mm), round(100 / edge_mm)
    turn, height = np.meshgrid(np.arange(around) * 2 * math.pi / around, np.linspace(0, 100, up + 1), indexing="ij")
    points = np.stack([40 * np.cos(turn), 40 * np.sin(turn), height], axis=-1).reshape(-1, 3)
    i, j = (index.reshape(-1) for index in np.meshgrid(np.arange(around), np.arange(up), indexing="ij"))
    corner = np.stack([i, (i + 1) % around, (i + 1) % around, i]) * (up + 1) + np.stack([j, j, j + 1, j + 1])
    faces = np.concatenate([corner[[0, 1, 2]].T, corner[[0, 2, 3]].T])
    return face_graph(points, faces)


class TestLines:
    @pytest.mark.parametrize("lean", [0.0, 0.15, 0.6])
    def test_a_ring_round_a_tube_however_it_leans(self, lean: float) -> None:
        graph = tube()
        (line,) = border_lines(graph, np.where(graph.middles[:, 2] - 50 > lean * graph.middles[:, 0], 0, 1))
        # exact: an ellipse with half axes 40 and 40 √(1 + lean²); published: Ramanujan 1914
        a, b = 40.0, 40.0 * math.hypot(1, lean)
        ellipse = math.pi * (3 * (a + b) - math.sqrt((3 * a + b) * (a + 3 * b)))
        assert line.closed
        assert line.between == (0, 1)
        assert line.length_mm == pytest.approx(ellipse, rel=0.01)
        assert np.abs(line.points[:, 2] - 50 - lean * line.points[:, 0]).max() < 2.0

    def test_lines_along_a_tube_end_at_its_rims(self) -> None:
        graph = tube()
        lines = border_lines(graph, np.where(graph.middles[:, 0] > 0, 0, 1))
        assert [line.closed for line in lines] == [False, False]
        for line in lines:
            assert line.length_mm == pytest.approx(100, rel=0.01)
            assert sorted((line.points[0, 2], line.points[-1, 2])) == pytest.approx([0, 100], abs=1e-6)

    def test_three_pieces_meet_in_points(self) -> None:
        graph = tube()
        x, z = graph.middles[:, 0], graph.middles[:, 2]
        lines = border_lines(graph, np.where(z > 60, 0, np.where(x > 0, 1, 2)))
        assert sorted(line.between for line in lines) == [(0, 1), (0, 2), (1, 2), (1, 2)]
        ends = {tuple(np.round(line.points[end], 6)) for line in lines for end in (0, -1)}
        # two points where three meet, two at the lower rim
        assert len(ends) == 4
        assert sum(line.length_mm for line in lines) == pytest.approx(2 * math.pi * 40 + 2 * 60, rel=0.015)

    def test_a_plane_holds_the_line(self) -> None:
        graph = tube()
        normal, offset = np.array([0.0, 0.0, 1.0]), 47.3
        (line,) = border_lines(graph, np.where(graph.middles[:, 2] > offset, 0, 1), plane=(normal, offset))
        assert np.abs(line.points[:, 2] - offset).max() < 1e-9
        assert line.length_mm == pytest.approx(2 * math.pi * 40, rel=2e-3)

    def test_a_small_ring_keeps_its_size(self) -> None:
        mesh = trimesh.creation.icosphere(subdivisions=5, radius=60)
        graph = face_graph(mesh.vertices, mesh.faces)
        (line,) = border_lines(graph, np.where(graph.middles[:, 2] > 59, 0, 1))
        assert line.length_mm == pytest.approx(2 * math.pi * math.sqrt(60**2 - 59**2), rel=0.06)

    def test_no_border_no_line(self) -> None:
        graph = tube(8.0)
        assert border_lines(graph, np.zeros(len(graph.faces), np.int64)) == []

    def test_points_are_few_and_even(self) -> None:
        graph = tube(1.0)
        (line,) = border_lines(graph, np.where(graph.middles[:, 2] > 50, 0, 1))
        assert len(line.points) <= MOST_POINTS
        steps = np.linalg.norm(np.diff(line.points, axis=0), axis=1)
        assert steps.max() < 1.2 * steps.mean()
