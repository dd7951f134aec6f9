import numpy as np
import pytest
import trimesh

from jobs.geometry.study.facing import facing_of
from jobs.geometry.study.positions import even_directions, find_positions
from jobs.geometry.study.results import Positions


def positions_of(mesh: trimesh.Trimesh, limit: float, *, on_board: bool = False) -> Positions:
    return find_positions(mesh.vertices, mesh.faces, slope_limit_deg=limit, on_board=on_board)


def relief() -> trimesh.Trimesh:
    """A plate with low waves, without sides or base."""
    side = np.linspace(0, 200, 41)
    x, y = np.meshgrid(side, side, indexing="ij")
    points = np.stack([x, y, 5 * np.sin(x / 15) * np.cos(y / 20)], axis=-1).reshape(-1, 3)
    corner = (np.arange(40)[:, None] * 41 + np.arange(40)).ravel()
    faces = np.concatenate(
        [np.stack([corner, corner + 41, corner + 42], axis=1), np.stack([corner, corner + 42, corner + 1], axis=1)]
    )
    return trimesh.Trimesh(points, faces, process=False)


class TestFacing:
    def test_area_by_direction(self):
        facing = facing_of(*_arrays(trimesh.creation.box(extents=(2.0, 3.0, 5.0))))
        found = {
            tuple(np.round(normal).astype(int).tolist()): area for normal, area in zip(facing.normals, facing.areas, strict=True)
        }
        assert found == pytest.approx(
            {(1, 0, 0): 15, (-1, 0, 0): 15, (0, 1, 0): 10, (0, -1, 0): 10, (0, 0, 1): 6, (0, 0, -1): 6}
        )  # fmt: skip

    def test_a_large_mesh_is_sampled_by_area(self):
        fine = trimesh.creation.icosphere(subdivisions=7)
        plate = trimesh.creation.box(extents=(10.0, 10.0, 0.5))
        facing = facing_of(*_arrays(trimesh.util.concatenate([fine, plate])))
        up = facing.areas[facing.normals[:, 2] > 0.9995].sum()
        assert facing.areas.sum() == pytest.approx(fine.area + plate.area, rel=1e-9)
        assert up == pytest.approx(100.0, rel=5e-3)

    def test_faces_without_surface_do_no_harm(self):
        vertices = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [2, 0, 0]], dtype=np.float32)
        facing = facing_of(vertices, np.array([[0, 1, 2], [0, 1, 3], [1, 1, 1]]))
        assert facing.areas.tolist() == [0.5]


class TestFindPositions:
    def test_a_flat_relief_lies_as_it_is(self):
        found = positions_of(relief(), 50.0)
        assert [position.up.lift_deg for position in found.positions] == [90.0]
        assert found.positions[0].area_mm2 == pytest.approx(relief().area, rel=0.01)

    @pytest.mark.parametrize("limit", [45.0, 55.0, 65.0])
    def test_every_patch_is_held_or_said_to_be_left_out(self, limit: float):
        mesh = trimesh.creation.torus(60.0, 20.0)
        found = positions_of(mesh, limit)
        ups = np.array([[position.up.x, position.up.y, position.up.z] for position in found.positions])
        cosines = mesh.face_normals @ ups.T
        held = cosines.max(axis=1) >= np.cos(np.radians(limit))
        assert mesh.area_faces[~held].sum() == pytest.approx(found.left_out_mm2, abs=0.015 * mesh.area)
        assert found.left_out_mm2 <= 0.01 * mesh.area
        assert sum(position.area_mm2 for position in found.positions) + found.left_out_mm2 == pytest.approx(mesh.area)
        by_level = np.bincount(cosines.argmax(axis=1), mesh.area_faces, len(ups))
        assert [position.area_mm2 for position in found.positions] == pytest.approx(by_level.tolist(), abs=0.02 * mesh.area)

    def test_most_area_first(self):
        areas = [position.area_mm2 for position in positions_of(trimesh.creation.cone(radius=60, height=150), 50.0).positions]
        assert areas == sorted(areas, reverse=True)
        assert len(areas) > 2

    def test_a_wider_limit_never_needs_more(self):
        mesh = trimesh.creation.torus(60.0, 20.0)
        counts = [len(positions_of(mesh, limit).positions) for limit in (35.0, 45.0, 55.0, 65.0, 75.0)]
        assert counts == sorted(counts, reverse=True)
        assert counts[0] > counts[-1]

    def test_on_a_board_nothing_hangs_below(self):
        ball = trimesh.creation.icosphere(subdivisions=4, radius=50.0)
        found = positions_of(ball, 50.0, on_board=True)
        assert min(position.up.z for position in found.positions) >= -0.5 - 1e-9
        # Reached is what faces no lower than 50° under the lowest way up, 30° below the level: all but a cap of 10°.
        cap = 2 * np.pi * 50.0**2 * (1 - np.cos(np.radians(10.0)))
        assert cap * 0.8 < found.left_out_mm2 < cap + 0.012 * ball.area

    def test_what_faces_straight_down_on_a_board_has_no_position(self):
        plate = trimesh.Trimesh([[0, 0, 0], [90, 0, 0], [0, 90, 0]], [[0, 2, 1]], process=False)
        found = positions_of(plate, 50.0, on_board=True)
        assert found.positions == ()
        assert found.left_out_mm2 == pytest.approx(plate.area)

    def test_the_same_twice(self):
        mesh = trimesh.creation.torus(60.0, 20.0)
        assert positions_of(mesh, 50.0) == positions_of(mesh, 50.0)

    def test_directions_can_be_set_with_a_plain_level(self):
        for position in positions_of(trimesh.creation.box(extents=(30, 40, 50)), 60.0).positions:
            assert position.up.lift_deg == pytest.approx(round(position.up.lift_deg), abs=1e-6)
            assert position.up.azimuth_deg == pytest.approx(round(position.up.azimuth_deg), abs=1e-6)


class TestEvenDirections:
    def test_spread(self):
        found = even_directions(600)
        assert np.linalg.norm(found, axis=1) == pytest.approx(np.ones(600))
        cosines = found @ found.T - 2 * np.eye(600)
        # 600 equal caps would be 4.7° wide each; neighbours stand at least that far apart.
        assert np.degrees(np.arccos(cosines.max())) > 4.7


def _arrays(mesh: trimesh.Trimesh) -> tuple[np.ndarray, np.ndarray]:
    return np.asarray(mesh.vertices, np.float32), np.asarray(mesh.faces, np.int32)
