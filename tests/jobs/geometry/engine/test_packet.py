"""Closest triangles of several points at once, beside libigl, which looks for each apart."""

from typing import Any

import igl
import numpy as np
import pytest
import trimesh

from jobs.geometry.engine.kernel_packet import LANE_ROWS, LANES, closest_together
from jobs.geometry.engine.tree import DistanceTree, build_tree

DRAWS = np.random.default_rng(7)


def bumpy_ball() -> tuple[Any, Any]:
    ball = trimesh.creation.icosphere(subdivisions=5, radius=50)
    points = ball.vertices * (1 + 0.02 * DRAWS.standard_normal((len(ball.vertices), 1)))
    return points, ball.faces


def slivers() -> tuple[Any, Any]:
    """Triangles without area, with hardly any, and a few large ones across all."""
    starts = DRAWS.uniform(-60, 60, (400, 3))
    ways = DRAWS.uniform(-20, 20, (400, 3))
    thin = np.stack([starts, starts + ways, starts + 0.5 * ways + DRAWS.uniform(-1e-5, 1e-5, (400, 3))], axis=1)
    thin[:100, 2] = thin[:100, 1]
    thin[100:120, 1] = thin[100:120, 2] = thin[100:120, 0]
    large = DRAWS.uniform(-60, 60, (10, 3, 3))
    corners = np.concatenate([thin, large])
    return corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)


def together(tree: DistanceTree, points: Any, hints: Any, limit_mm: float) -> tuple[Any, Any, Any]:
    n = len(points)
    best, hits, feet = np.empty(n), np.empty(n, np.int32), np.empty((n, 3))
    triangles, bounds, _, depth, boxed = tree.arrays()
    stack, lanes = np.empty(2 * depth + 4, np.int64), np.empty(LANE_ROWS * LANES, np.float32)
    closest_together(triangles, bounds, depth, boxed, stack, lanes, points, hints, limit_mm**2, best, hits, feet)
    return np.sqrt(best), hits, feet


class TestClosestTogether:
    @pytest.mark.parametrize("body", [bumpy_ball, slivers])
    @pytest.mark.parametrize("spread_mm", [0.5, 5.0, 120.0])
    @pytest.mark.parametrize("count", [1, 8, LANES])
    def test_are_those_that_libigl_finds(self, body: Any, spread_mm: float, count: int) -> None:
        vertices, faces = body()
        tree = build_tree(vertices, faces)
        for _ in range(12):
            points = DRAWS.uniform(-70, 70, 3) + DRAWS.uniform(-spread_mm, spread_mm, (count, 3))
            hints = DRAWS.integers(0, len(faces), count).astype(np.int32)
            found, hits, feet = together(tree, points - tree.middle, hints, 1e6)
            expected = np.sqrt(igl.point_mesh_squared_distance(points, vertices, faces)[0])
            assert found == pytest.approx(expected, abs=5e-5)
            assert np.linalg.norm(feet + tree.middle - points, axis=1) == pytest.approx(expected, abs=5e-5)
            # the triangle named is one that lies so near
            for point, hit, distance in zip(points, hits, expected, strict=True):
                alone = igl.point_mesh_squared_distance(point[None], vertices, faces[[tree.order[hit]]])[0]
                assert np.sqrt(alone[0]) == pytest.approx(distance, abs=5e-5)

    def test_are_none_beyond_the_limit(self) -> None:
        vertices, faces = bumpy_ball()
        tree = build_tree(vertices, faces)
        points = np.array([(0.0, 0.0, 80.0), (0.0, 0.0, 300.0)])
        found, hits, _ = together(tree, points, np.zeros(2, np.int32), 100.0)
        assert hits[0] >= 0
        assert found[0] == pytest.approx(30, abs=4)
        assert hits[1] == -1

    def test_are_found_far_from_the_origin(self) -> None:
        vertices, faces = bumpy_ball()
        here, there = build_tree(vertices, faces), build_tree(vertices + 5_000.0, faces)
        points = DRAWS.uniform(-60, 60, (8, 3))
        hints = np.zeros(8, np.int32)
        near, far = (together(tree, points + at - tree.middle, hints, 1e6)[0] for tree, at in ((here, 0.0), (there, 5_000.0)))
        assert far == pytest.approx(near, abs=5e-4)
