"""Depth maps of known surfaces."""

import math

import numpy as np
import pytest
import trimesh

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.depths import depth_map, depth_maps
from jobs.geometry.study.directions import direction


class TestDepthMaps:
    @pytest.mark.parametrize(("azimuth", "lift"), [(0, 0), (90, 0), (33, 20), (200, -70), (0, 90)])
    def test_ball(self, azimuth: float, lift: float) -> None:
        mesh = trimesh.creation.icosphere(subdivisions=5, radius=20)
        seen = depth_map(mesh.vertices, mesh.faces, direction(azimuth, lift), pixel_mm=0.5)
        rows, columns = np.indices(seen.highest.shape)
        u, v = seen.corner[0] + columns * seen.pixel_mm, seen.corner[1] + rows * seen.pixel_mm
        inside = np.hypot(u, v) < 18.0
        # exact: √(R² − u² − v²); facets lie within 1e-3 R of the ball
        assert seen.highest[inside] == pytest.approx(np.sqrt(400 - u[inside] ** 2 - v[inside] ** 2), abs=0.1)
        assert np.all(np.isneginf(seen.highest[np.hypot(u, v) > 20.0]))
        # exact: half a ball, 2/3 π R³; Gauss' circle problem leaves a few pixels at the rim, where the height is nought
        volume = seen.highest[np.isfinite(seen.highest)].sum(dtype=float) * 0.25
        assert volume == pytest.approx(2 / 3 * math.pi * 20**3, rel=2e-3)

    def test_the_nearer_of_two_is_seen_and_the_other_hidden(self) -> None:
        low, high = trimesh.creation.box((10, 10, 2)), trimesh.creation.box((4, 4, 2))
        high.apply_translation((0, 0, 20))
        both = trimesh.util.concatenate([low, high])
        seen = depth_map(both.vertices, both.faces, direction(0, 90), pixel_mm=0.25)
        hidden = seen.hidden(np.array([(0, 0, 1.0), (4, 4, 1.0), (0, 0, 25.0), (4, 4, 0.5), (9, 9, 0)]))
        assert hidden == pytest.approx([20.0, 0.0, -4.0, 0.5, -np.inf], abs=1e-5)

    def test_many_are_the_same_as_one_by_one(self) -> None:
        mesh = trimesh.creation.torus(20, 5)
        pulls = [direction(azimuth, lift) for azimuth in (0, 77) for lift in (-30, 0, 45)]
        for seen in depth_maps(mesh.vertices, mesh.faces, pulls, pixel_mm=1.0):
            alone = depth_map(mesh.vertices, mesh.faces, seen.pull, pixel_mm=1.0)
            assert np.array_equal(alone.highest, seen.highest)
            assert np.cross(*seen.across) == pytest.approx([seen.pull.x, seen.pull.y, seen.pull.z])
        assert depth_maps(mesh.vertices, mesh.faces, (), pixel_mm=1.0) == ()

    @pytest.mark.parametrize("pixel", [0.0, -1.0, math.nan, 1e-5])
    def test_pixels_that_are_none_or_too_many(self, pixel: float) -> None:
        mesh = trimesh.creation.box((100, 100, 100))
        with pytest.raises(GeometryError, match="pixel"):
            depth_map(mesh.vertices, mesh.faces, direction(0, 0), pixel_mm=pixel)
