"""Scrap, positions and gauge blocks against published formulas and brute force."""

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from jobs.geometry.study.bends import bends_of
from jobs.geometry.study.gauges import gauge_spots
from jobs.geometry.study.positions import find_positions
from jobs.geometry.study.results import GaugeKind
from jobs.geometry.study.scrap import scrap_room
from materials.science.packing import LOOSE_CUBES, SHAKEN_CUBES
from tests.jobs.geometry.study.fields import ball, box, field_of, nothing
from tests.scans import scan_path


class TestScrapRoom:
    @pytest.mark.parametrize(("edge", "cover"), [(10.0, 2.0), (15.0, 5.0), (20.0, 5.0), (30.0, 5.0)])
    @pytest.mark.parametrize("step", [1.3, 2.0, 3.0])
    def test_box_opened_by_a_ball(self, edge: float, cover: float, step: float):
        """Published: Steiner's formula for a box a·b·c thickened by r: abc + 2r(ab+bc+ca) + πr²(a+b+c) + 4πr³/3."""
        half = (45.0, 40.0, 30.0)
        low, high = (-52.3, -47.1, -37.2), (52.3, 47.1, 37.2)
        fields = field_of(nothing, low, high, step=step), field_of(box(half), low, high, step=step)
        found = scrap_room(*fields, wall_mm=10, chunk_edge_mm=edge, cover_mm=cover, on_board=False)
        a, b, c = (2 * (side - cover) - edge for side in half)
        radius = edge / 2
        exact = a * b * c + 2 * radius * (a * b + b * c + c * a) + np.pi * radius**2 * (a + b + c) + 4 / 3 * np.pi * radius**3
        assert found.room_mm3 == pytest.approx(exact, abs=found.room_bound_mm3)
        assert found.room_bound_mm3 < 0.04 * step * exact
        # As many cubes as stand in each direction with a sixth of an edge between them, at most one fewer where they just fit.
        fit = [int((2 * (side - cover) + edge / 6) / (edge * 7 / 6)) for side in half]
        assert np.prod([max(n - 1, 1) for n in fit]) <= found.laid <= np.prod(fit)

    @pytest.mark.parametrize("angle", [0.2, 0.5, 0.785])
    def test_a_turned_hollow_has_the_same_room(self, angle: float):
        """Steiner's formula again, for a box turned against the grid about two axes."""
        turn = trimesh.transformations.euler_matrix(angle, 0.0, angle)[:3, :3]
        half, edge, cover = (45.0, 40.0, 30.0), 16.0, 4.0

        def turned(points: np.ndarray) -> np.ndarray:
            return box(half)(points @ turn)

        low, high = (-72.0, -72.0, -72.0), (72.0, 72.0, 72.0)
        fields = field_of(nothing, low, high, step=2.0), field_of(turned, low, high, step=2.0)
        found = scrap_room(*fields, wall_mm=10, chunk_edge_mm=edge, cover_mm=cover, on_board=False)
        a, b, c = (2 * (side - cover) - edge for side in half)
        radius = edge / 2
        exact = a * b * c + 2 * radius * (a * b + b * c + c * a) + np.pi * radius**2 * (a + b + c) + 4 / 3 * np.pi * radius**3
        assert found.room_mm3 == pytest.approx(exact, abs=found.room_bound_mm3)
        assert found.room_bound_mm3 < 0.05 * exact

    @pytest.mark.parametrize(("radius", "edge", "cover"), [(50.0, 15.0, 5.0), (30.0, 20.0, 3.0)])
    def test_ball_shaped_hollow(self, radius: float, edge: float, cover: float):
        """A ball is opened by any smaller ball without loss: 4π(R − c)³/3."""
        low, high = (-radius - 8,) * 3, (radius + 8,) * 3
        fields = field_of(nothing, low, high, step=2.0), field_of(ball(radius), low, high, step=2.0)
        found = scrap_room(*fields, wall_mm=10, chunk_edge_mm=edge, cover_mm=cover, on_board=False)
        exact = 4 / 3 * np.pi * (radius - cover) ** 3
        assert found.room_mm3 == pytest.approx(exact, abs=found.room_bound_mm3)
        assert found.room_bound_mm3 < 0.01 * exact

    def test_brute_force_between_two_bodies(self):
        """scipy's k-d tree: sampled points within half an edge of sampled middles, for an L-shaped fill round a ball."""
        edge, cover, wall = 14.0, 4.0, 6.0

        def outside(points: np.ndarray) -> np.ndarray:  # never nearer than the truth inside; exact enough to compare
            return np.minimum(box((60.0, 25.0, 20.0))(points), box((25.0, 60.0, 20.0))(points))

        low, high = (-66.0, -66.0, -26.0), (66.0, 66.0, 26.0)
        fields = field_of(ball(12.0), low, high, step=1.5), field_of(outside, low, high, step=1.5)
        found = scrap_room(*fields, wall_mm=wall, chunk_edge_mm=edge, cover_mm=cover, on_board=False)
        rng = np.random.default_rng(7)
        points = rng.uniform(low, high, size=(400_000, 3))
        spare = np.minimum(ball(12.0)(points) - wall, -outside(points)) - cover
        middles, tried = points[spare >= edge / 2], points[spare > 0][:20_000]
        near, _ = cKDTree(middles).query(tried, distance_upper_bound=edge / 2)
        inside = spare > 0
        volume = float(np.prod(np.subtract(high, low)))
        share = np.isfinite(near).mean()
        brute = volume * inside.mean() * share
        noise = volume * np.sqrt(inside.mean() / len(points)) + volume * inside.mean() * np.sqrt(share * (1 - share) / len(tried))
        # Sampled middles leave a gap at the room's side of about their own spacing.
        assert brute * 0.99 < found.room_mm3 + found.room_bound_mm3 + 3 * noise
        assert found.room_mm3 - found.room_bound_mm3 - 3 * noise < brute * 1.03

    def test_cubes_laid_with_joints_fill_more_than_tipped_and_less_than_shaken_ones(self):
        """Published: Baker & Kudrolli, Phys. Rev. E 82:061304, 2010: cubes 0.54 tipped in, 0.67 shaken down."""
        low, high = (-160.0, -160.0, -160.0), (160.0, 160.0, 160.0)
        # Wide enough for 12 cubes of 20 mm and the joints between them, with 5 mm of cover, and a step of the grid to spare.
        half = (12 * 20 + 11 * 20 / 6) / 2 + 5 + 20 / 12
        fields = field_of(nothing, low, high, step=3.2), field_of(box((half, half, half)), low, high, step=3.2)
        found = scrap_room(*fields, wall_mm=10, chunk_edge_mm=20.0, cover_mm=5.0, on_board=False)
        # Of 12³ a few at edges and corners, where a field read between its nodes is too near.
        assert 0.97 * 12**3 < found.laid <= 12**3
        assert LOOSE_CUBES.value < found.laid_share < SHAKEN_CUBES.value


class TestPositions:
    @pytest.mark.parametrize(("count", "radius"), [(4, 70.53), (5, 63.43), (6, 54.74), (7, 51.03), (8, 48.14)])
    def test_caps_covering_a_sphere(self, count: int, radius: float):
        """From memory: least radius of 4 to 8 caps that cover a sphere. With 1 % left out, no more are needed there."""
        sphere = trimesh.creation.icosphere(subdivisions=5, radius=80.0)
        found = find_positions(sphere.vertices, sphere.faces, slope_limit_deg=radius + 0.5, on_board=False)
        assert len(found.positions) <= count
        # Fewer caps cannot cover 99 % once they are together smaller than that: area of a cap, 2π(1 − cos).
        share = len(found.positions) * (1 - np.cos(np.radians(radius + 0.5))) / 2
        assert share >= 0.99

    @pytest.mark.parametrize(("limit", "count"), [(44.0, 6), (45.5, 3), (54.5, 3), (55.0, 2), (80.0, 2)])
    @pytest.mark.parametrize("turned", [False, True])
    def test_cube(self, limit: float, count: int, turned: bool):
        """Elementary: an edge's middle leans 45° from two faces, a corner arccos(1/√3) = 54.74° from three."""
        cube = trimesh.creation.box(extents=(50.0, 50.0, 50.0))
        if turned:
            cube.apply_transform(trimesh.transformations.rotation_matrix(0.7, (1.0, 2.0, 3.0)))
        found = find_positions(cube.vertices, cube.faces, slope_limit_deg=limit, on_board=False)
        assert len(found.positions) == count
        assert found.left_out_mm2 == 0.0


class TestBends:
    def test_torus(self):
        """Published (do Carmo, Differential Geometry, 1976): H = (R + 2r cos v) ⁄ (2r (R + r cos v)) on a torus R, r."""
        major, minor, felt = 120.0, 40.0, 10.0
        torus = trimesh.creation.torus(major, minor, major_sections=256, minor_sections=128)
        found = bends_of(torus.vertices, np.asarray(torus.faces), radius_mm=felt)
        cosine = (np.linalg.norm(found.points[:, :2], axis=1) - major) / minor
        exact = (major + 2 * minor * cosine) / (2 * minor * (major + minor * cosine))
        error = found.bend / found.radius_mm - exact
        assert np.abs(np.median(error)) < 0.02 / minor
        assert np.quantile(np.abs(error), 0.95) < 0.1 / minor


@pytest.fixture(scope="module")
def scan() -> trimesh.Trimesh:
    mesh = trimesh.load(scan_path("bunny.bin.stl"))
    assert isinstance(mesh, trimesh.Trimesh)
    mesh.apply_scale(500 / mesh.extents.max())
    return mesh


@pytest.mark.scans
class TestOnAScan:
    @pytest.mark.parametrize(("limit", "count"), [(50.0, 7), (60.0, 5)])
    def test_positions_checked_face_by_face(self, scan: trimesh.Trimesh, limit: float, count: int):
        """Counts: measured before on several scans, with 1 % of the area left out; cover: trimesh's normals and areas."""
        found = find_positions(scan.vertices, np.asarray(scan.faces), slope_limit_deg=limit, on_board=False)
        assert len(found.positions) <= count
        ups = np.array([[position.up.x, position.up.y, position.up.z] for position in found.positions])
        cosines = scan.face_normals @ ups.T
        left_out = scan.area_faces[cosines.max(axis=1) < np.cos(np.radians(limit))].sum()
        assert left_out == pytest.approx(found.left_out_mm2, abs=0.01 * scan.area)
        assert left_out < 0.02 * scan.area
        by_face = np.bincount(cosines.argmax(axis=1), scan.area_faces, len(ups))
        assert [position.area_mm2 for position in found.positions] == pytest.approx(by_face.tolist(), abs=0.02 * scan.area)

    def test_a_turned_scan_needs_as_many_positions(self, scan: trimesh.Trimesh):
        counts = []
        for angle in (0.0, 0.9, 2.1):
            turn = trimesh.transformations.rotation_matrix(angle, (0.3, 0.5, 0.8))[:3, :3]
            found = find_positions(scan.vertices @ turn.T, np.asarray(scan.faces), slope_limit_deg=55.0, on_board=False)
            counts.append(len(found.positions))
        assert max(counts) - min(counts) <= 1

    def test_gauge_blocks_stand_on_it_and_look_out(self, scan: trimesh.Trimesh):
        spots = gauge_spots(scan.vertices, np.asarray(scan.faces), wall_mm=8.0)
        assert len(spots) == int(np.ceil(scan.area / 1e5))
        assert {spot.kind for spot in spots} == set(GaugeKind)
        points = np.array([spot.point for spot in spots])
        middles = cKDTree(scan.triangles_center)
        away, face = middles.query(points)
        assert away.max() < 2 * scan.edges_unique_length.max()
        outward = np.array([[spot.outward.x, spot.outward.y, spot.outward.z] for spot in spots])
        assert np.einsum("ij,ij->i", outward, scan.face_normals[face]).min() > 0.3
        # The wall's outside over each of them is in the open: nothing of the piece comes nearer than half a block.
        assert middles.query(points + 8.0 * outward)[0].min() > 4.0
