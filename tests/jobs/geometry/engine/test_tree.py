"""Distances of single points from a mesh, beside libigl."""

from collections.abc import Callable
from typing import Any

import igl
import numpy as np
import pytest

from jobs.geometry.engine.tree import build_tree
from tests.jobs.geometry.engine.test_packet import bumpy_ball, slivers

POINTS = np.random.default_rng(11).uniform(-70, 70, (500, 3))


class TestDistances:
    @pytest.mark.parametrize("body", [bumpy_ball, slivers])
    def test_are_those_that_libigl_finds(self, body: Callable[[], tuple[Any, Any]]) -> None:
        vertices, faces = body()
        found, nearest = build_tree(vertices, faces).distances(POINTS)
        expected = np.sqrt(igl.point_mesh_squared_distance(POINTS, vertices, faces)[0])
        assert found == pytest.approx(expected, abs=5e-5)
        for point, face, distance in zip(POINTS[:50], nearest, expected, strict=False):
            alone = igl.point_mesh_squared_distance(point[None], vertices, faces[[face]])[0]
            assert np.sqrt(alone[0]) == pytest.approx(distance, abs=5e-5)

    def test_are_negative_inside(self) -> None:
        vertices, faces = bumpy_ball()
        found, _ = build_tree(vertices, faces).distances(POINTS, signed=True)
        # the winding number of the same mesh by libigl
        inside = igl.winding_number(vertices, faces, POINTS) > 0.5
        assert inside.any()
        assert not inside.all()
        assert ((found < 0) == inside).all()
