import math

import numpy as np
import pytest
import trimesh

from jobs.geometry.study.bends import Bends, bends_of
from jobs.geometry.study.gauges import gauge_spots
from jobs.geometry.study.results import GaugeKind, GaugeSpot


def spots_on(mesh: trimesh.Trimesh, *, wall: float = 10.0, on_board: bool = False) -> tuple[GaugeSpot, ...]:
    return gauge_spots(np.asarray(mesh.vertices, np.float32), np.asarray(mesh.faces), wall_mm=wall, on_board=on_board)


def points(spots: tuple[GaugeSpot, ...], *kinds: GaugeKind) -> np.ndarray:
    return np.array([spot.point for spot in spots if not kinds or spot.kind in kinds])


def standing_box() -> trimesh.Trimesh:
    box = trimesh.creation.box(extents=(500.0, 400.0, 600.0))
    box.apply_translation((0.0, 0.0, 300.0))
    return box


def closest(found: np.ndarray) -> float:
    return float((np.linalg.norm(found[:, None] - found[None], axis=-1) + 1e9 * np.eye(len(found))).min())


class TestBends:
    def bends(self, mesh: trimesh.Trimesh, radius: float) -> Bends:
        return bends_of(mesh.vertices, np.asarray(mesh.faces), radius_mm=radius)

    @pytest.mark.parametrize("radius", [50.0, 120.0])
    def test_of_a_ball_is_one_over_its_radius(self, radius: float):
        found = self.bends(trimesh.creation.icosphere(subdivisions=5, radius=radius), 15.0)
        assert np.median(found.bend) == pytest.approx(15.0 / radius, rel=0.03)
        assert np.quantile(found.bend, [0.02, 0.98]) == pytest.approx(np.full(2, 15.0 / radius), rel=0.15)
        assert found.free.min() > 0.99

    def test_of_a_cylinder_is_half_of_one_over_its_radius(self):
        found = self.bends(trimesh.creation.cylinder(radius=80.0, height=600.0, sections=256), 15.0)
        side = np.abs(found.points[:, 2]) < 270
        assert np.median(found.bend[side]) == pytest.approx(0.5 * 15.0 / 80.0, rel=0.05)

    def test_of_a_hollow_is_negative(self):
        ball = trimesh.creation.icosphere(subdivisions=5, radius=50.0)
        ball.invert()
        assert self.bends(ball, 15.0).bend.max() < -0.2

    def test_of_a_right_angled_edge(self):
        found = self.bends(standing_box(), 15.0)
        across = np.abs(np.abs(found.points[:, 0]) - 250.0)
        along = np.abs(np.abs(found.points[:, 1]) - 200.0)
        edge = (across < 1.0) & (along < 1.0) & (np.abs(found.points[:, 2] - 300) < 250)
        assert np.median(found.bend[edge]) == pytest.approx(1.2, rel=0.1)
        assert np.median(found.unlike[edge]) == pytest.approx(1 - math.sqrt(0.5), abs=0.03)
        assert np.median(found.bend) == pytest.approx(0.0, abs=1e-6)

    def test_sees_a_cleft(self):
        left, right = (trimesh.creation.box(extents=(100.0, 100.0, 100.0)) for _ in range(2))
        left.apply_translation((-54.0, 0, 0))
        right.apply_translation((54.0, 0, 0))
        found = self.bends(trimesh.util.concatenate([left, right]), 15.0)
        inner = (np.abs(found.points[:, 0]) < 4.1) & (np.abs(found.points[:, 1:]).max(axis=1) < 20)
        assert found.free[inner].max() < 0.6 < found.free[np.abs(found.points[:, 0]) > 103].min()


class TestGaugeSpots:
    @pytest.mark.parametrize(("radius", "count"), [(50.0, 3), (178.0, 4), (300.0, 12), (900.0, 24)])
    def test_one_for_each_tenth_of_a_square_metre(self, radius: float, count: int):
        assert len(spots_on(trimesh.creation.icosphere(subdivisions=5, radius=radius))) == count

    def test_on_a_ball_they_are_spread(self):
        radius = 300.0
        found = points(spots_on(trimesh.creation.icosphere(subdivisions=5, radius=radius)))
        assert np.linalg.norm(found, axis=1) == pytest.approx(np.full(12, radius), rel=2e-3)
        # Twelve points as far apart as can be, an icosahedron's corners, stand 1.05 radii apart.
        assert closest(found) > 0.5 * radius
        flat = points(spots_on(trimesh.creation.icosphere(subdivisions=5, radius=radius)), GaugeKind.FLAT)
        assert closest(flat) > 1.0 * radius

    def test_on_a_box_flat_in_the_middles_and_thin_on_edges(self):
        spots = spots_on(standing_box(), on_board=True)
        half = np.array([250.0, 200.0, 300.0])
        for spot in spots:
            below = half - np.abs(np.array(spot.point) - [0, 0, 300])
            if spot.kind is GaugeKind.FLAT:
                assert np.sort(below)[1] > 100
            elif spot.why.startswith("Sharp"):
                assert np.sort(below)[1] < 15
        assert {spot.kind for spot in spots} == {GaugeKind.FLAT, GaugeKind.THIN}
        assert sum(spot.why.startswith("Sharp") for spot in spots) >= 3
        assert points(spots)[:, 2].min() > 20.0

    def test_crown_of_a_dome(self):
        spots = spots_on(trimesh.creation.icosphere(subdivisions=5, radius=60.0))
        crown = [spot for spot in spots if spot.kind is GaugeKind.CROWN]
        assert crown
        assert all(spot.outward.lift_deg > 30 for spot in crown)

    def test_a_cones_tip_is_a_point(self):
        spots = spots_on(trimesh.creation.cone(radius=60, height=150, sections=64), wall=8.0, on_board=True)
        assert any(spot.kind is GaugeKind.THIN and spot.point[2] > 135 for spot in spots)

    def test_noise_and_holes_make_no_edges(self):
        ball = trimesh.creation.icosphere(subdivisions=6, radius=200.0)
        rng = np.random.default_rng(3)
        ball.vertices += rng.normal(scale=0.3, size=ball.vertices.shape)
        ball.update_faces(rng.random(len(ball.faces)) > 0.1)
        spots = spots_on(ball)
        assert len(spots) == 5
        assert not any(spot.why.startswith("Sharp") for spot in spots)

    def test_none_in_a_cleft(self):
        left, right = (trimesh.creation.box(extents=(300.0, 300.0, 300.0)) for _ in range(2))
        left.apply_translation((-155.0, 0, 0))
        right.apply_translation((155.0, 0, 0))
        for x, y, z in points(spots_on(trimesh.util.concatenate([left, right]))):
            assert abs(x) > 6 or max(abs(y), abs(z)) > 130

    def test_a_piece_too_small_takes_fewer(self):
        assert 1 <= len(spots_on(trimesh.creation.icosphere(subdivisions=3, radius=9.0))) < 3

    def test_the_same_twice_and_each_with_its_reason(self):
        spots = spots_on(standing_box())
        assert spots == spots_on(standing_box())
        assert all(spot.why.endswith(".") for spot in spots)
        assert closest(points(spots)) >= 20.0
