"""Layers of analytic bodies: depth, slope, fill and shell pieces are known by plain geometry."""

import numpy as np
import pytest
import trimesh

from jobs.geometry.study.layers import LAYER_NAMES, heat_layers
from jobs.geometry.study.picture import Light, light_mesh
from tests.jobs.geometry.study.bodies import CUP, FLOOR, HEIGHT, INNER, OUTER, cup_distance, field_of, filled_cup_distance

WALL = 8.0
Layers = dict[str, np.ndarray]


@pytest.fixture(scope="module")
def cup() -> Light:
    body = trimesh.creation.revolve(CUP, sections=128)
    return light_mesh(body.vertices, body.faces)


@pytest.fixture(scope="module")
def layers(cup: Light) -> Layers:
    filled = trimesh.creation.cylinder(OUTER + WALL, HEIGHT + WALL, sections=128).subdivide_to_size(6.0)
    filled.apply_translation((0, 0, (HEIGHT + WALL) / 2))
    piece = np.where(filled.triangles_center[:, 0] > 0, 1, 2)
    return heat_layers(
        *cup, distance=field_of(cup_distance, -80, 120, step=2.5, floor=0.0), wall_mm=WALL, on_board=True,
        outside=field_of(lambda points: filled_cup_distance(points, WALL), -80, 120, step=2.5, floor=0.0),
        outside_vertices=filled.vertices, outside_faces=filled.faces, outside_piece=piece,
    )  # fmt: skip


class TestDepth:
    def test_of_a_cups_floor_is_the_hollows_own(self, cup: Light, layers: Layers) -> None:
        vertices, _ = cup
        floor = (np.abs(vertices[:, 2] - FLOOR) < 1e-3) & (np.hypot(vertices[:, 0], vertices[:, 1]) < INNER - 2)
        assert floor.sum() > 100
        assert layers["depth"][floor] == pytest.approx(HEIGHT - FLOOR, abs=1.0)

    def test_of_a_cups_inner_wall_grows_downward(self, cup: Light, layers: Layers) -> None:
        vertices, _ = cup
        inner = (np.abs(np.hypot(vertices[:, 0], vertices[:, 1]) - INNER) < 0.1) & (vertices[:, 2] > FLOOR + 3)
        assert inner.sum() > 100
        assert layers["depth"][inner] == pytest.approx(HEIGHT - vertices[inner, 2], abs=2.2)

    def test_of_the_outside_is_nothing(self, cup: Light, layers: Layers) -> None:
        vertices, _ = cup
        outer = np.hypot(vertices[:, 0], vertices[:, 1]) > OUTER - 0.1
        assert layers["depth"][outer].max() < 0.5

    def test_of_a_ball_is_nothing(self) -> None:
        ball = trimesh.creation.icosphere(subdivisions=4, radius=100)
        field = field_of(lambda points: np.linalg.norm(points, axis=-1) - 100, -112, 112, step=8)
        found = heat_layers(*light_mesh(ball.vertices, ball.faces), distance=field, wall_mm=WALL, on_board=False)
        assert found["depth"].max() < 0.6

    def test_goes_around_what_stands_in_the_way(self) -> None:
        # A slot in a box that ends 10 before its far side, open at the three others.
        body = _slotted_box()
        vertices, faces = light_mesh(body.vertices, body.faces)
        depth = heat_layers(vertices, faces, distance=field_of(_slotted, -60, 110, step=2.0), wall_mm=2, on_board=False)["depth"]
        end = (np.abs(vertices[:, 0] + 40) < 0.1) & (np.abs(vertices[:, 1]) < 5) & (np.abs(vertices[:, 2] - 45) < 3)
        assert end.any()
        # Straight to the nearest side of the wrapping it is 10 through the wall; through the air it is 50 to either side.
        assert depth[end] == pytest.approx(50 - np.abs(vertices[end, 1]), abs=2)


def _slotted(points: np.ndarray) -> np.ndarray:
    slot = np.maximum(np.maximum(-40 - points[..., 0], points[..., 0] - 99), np.abs(points[..., 2] - 45) - 5)
    return np.maximum(_box(points - (0, 0, 50), (50, 50, 50)), -slot)


def _box(points: np.ndarray, half: tuple[float, float, float]) -> np.ndarray:
    return (np.abs(points) - half).max(axis=-1)


def _slotted_box() -> trimesh.Geometry:
    upper = trimesh.creation.box((100, 100, 50))
    upper.apply_translation((0, 0, 75))
    lower = trimesh.creation.box((100, 100, 40))
    lower.apply_translation((0, 0, 20))
    back = trimesh.creation.box((10, 100, 10))
    back.apply_translation((-45, 0, 45))
    return trimesh.util.concatenate([upper, lower, back])


class TestSlope:
    def test_of_a_cone_is_its_flanks_angle(self) -> None:
        cone = trimesh.creation.cone(50, 120, sections=128)
        vertices, faces = light_mesh(cone.vertices, cone.faces)
        field = field_of(lambda points: np.linalg.norm(points, axis=-1), -60, 130, step=10)
        slope = heat_layers(vertices, faces, distance=field, wall_mm=WALL, on_board=False)["slope"]
        flank = (vertices[:, 2] > 1) & (vertices[:, 2] < 110)
        assert slope[flank] == pytest.approx(np.degrees(np.arctan2(120, 50)), abs=0.1)

    def test_runs_from_up_to_down(self, cup: Light, layers: Layers) -> None:
        vertices, _ = cup
        assert layers["slope"][np.abs(vertices[:, 2] - HEIGHT) < 1e-3].min() == pytest.approx(0, abs=0.1)
        assert layers["slope"].max() == pytest.approx(180, abs=0.1)


class TestFill:
    def test_lies_over_a_filled_hollow_and_nowhere_else(self, cup: Light, layers: Layers) -> None:
        vertices, _ = cup
        radius = np.hypot(vertices[:, 0], vertices[:, 1])
        floor = (np.abs(vertices[:, 2] - FLOOR) < 1e-3) & (radius < INNER - WALL - 2)
        assert layers["fill"][floor] == pytest.approx(HEIGHT - FLOOR, abs=1.5)
        inner = (np.abs(radius - INNER) < 0.1) & (vertices[:, 2] > FLOOR + WALL) & (vertices[:, 2] < HEIGHT - 5)
        # Through the fill up to the brim's coat, not through the cup's own wall.
        assert layers["fill"][inner] == pytest.approx(HEIGHT + WALL - vertices[inner, 2], abs=3)
        outer = (radius > OUTER - 0.1) & (vertices[:, 2] > 5) & (vertices[:, 2] < 90)
        assert layers["fill"][outer].max() < 0.3

    def test_is_nothing_without_a_filled_outside(self, cup: Light) -> None:
        found = heat_layers(
            *cup, distance=field_of(cup_distance, -80, 120, step=8.0, floor=0.0), wall_mm=WALL, on_board=True
        )  # fmt: skip
        assert set(found) == set(LAYER_NAMES)
        assert not found["fill"].any()
        assert not found["piece"].any()


class TestPiece:
    def test_is_that_of_the_shell_above(self, cup: Light, layers: Layers) -> None:
        vertices, _ = cup
        outer = np.hypot(vertices[:, 0], vertices[:, 1]) > OUTER - 0.1
        assert (layers["piece"][outer & (vertices[:, 0] > 6)] == 1).all()
        assert (layers["piece"][outer & (vertices[:, 0] < -6)] == 2).all()
