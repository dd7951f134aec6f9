"""Divisions as a whole: figures that must agree with each other, and how they change with the body."""

import math

import numpy as np
import pytest

from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.divide import Divided, divide
from tests.jobs.geometry.study import pieces_bodies as bodies
from tests.jobs.geometry.study.pieces_bodies import DOWN, EAST, NORTH, THREE, UP, WEST, divided

HAND = (NORTH, direction(270, 0))
SETS = [HAND, (*HAND, EAST), (NORTH, direction(270, 0), EAST, UP)]


@pytest.fixture(scope="module")
def hands() -> list[Divided]:
    coat = bodies.coated(bodies.hand(), 6.0, on_board=True, step_mm=3.0)
    return [divided(coat, pulls) for pulls in SETS]


class TestFigures:
    def test_areas_add_up_to_the_outside(self, hands: list[Divided]) -> None:
        for found in hands:
            assert sum(piece.area_mm2 for piece in found.division.pieces) == pytest.approx(found.division.outside_mm2)

    def test_every_triangle_goes_to_a_piece_that_sees_it(self, hands: list[Divided]) -> None:
        for found in hands:
            corners = found.vertices[found.faces].astype(float)
            middles = corners.mean(axis=1)
            normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            areas = np.linalg.norm(normals, axis=1) / 2
            seen = found.solid.sight.seen(middles, normals / np.maximum(2 * areas, 1e-12)[:, None])
            pulls = found.solid.sight.pulls
            by_number = [int(np.argmax(pulls @ (p.pull.x, p.pull.y, p.pull.z))) for p in found.division.pieces]
            blind = ~seen[np.arange(len(seen)), np.array(by_number)[found.piece - 1]]
            assert areas[blind].sum() < 2e-3 * found.division.outside_mm2
            assert found.division.unseen_mm2 < 1e-3 * found.division.outside_mm2

    def test_pieces_hang_together_and_come_off(self, hands: list[Divided]) -> None:
        for found, pulls in zip(hands, SETS, strict=True):
            assert found.parts == (1,) * len(pulls)
            assert found.division.order == tuple(range(1, len(pulls) + 1))
            assert [piece.number for piece in found.division.pieces] == list(range(1, len(pulls) + 1))

    def test_numbers_on_triangles_are_those_of_the_pieces(self, hands: list[Divided]) -> None:
        for found in hands:
            corners = found.vertices[found.faces].astype(float)
            areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
            for piece in found.division.pieces:
                mine = found.piece == piece.number
                assert areas[mine].sum() == pytest.approx(piece.area_mm2, rel=1e-6)
                points = corners[mine].reshape(-1, 3)
                assert np.ptp(points, axis=0) == pytest.approx(piece.size_mm, abs=1e-3)
                assert np.ptp(points @ (piece.pull.x, piece.pull.y, piece.pull.z)) == pytest.approx(piece.reach_mm, abs=1e-3)

    def test_partings_lie_on_the_outside_between_their_pieces(self, hands: list[Divided]) -> None:
        from scipy.spatial import cKDTree

        for found in hands:
            trees = {
                p.number: cKDTree(found.vertices[found.faces[found.piece == p.number]].mean(axis=1))
                for p in found.division.pieces
            }
            for line in found.division.partings:
                assert len(line.points) <= 400
                assert line.between[0] < line.between[1]
                for number in line.between:
                    gap, _ = trees[number].query(np.array(line.points))
                    assert np.percentile(gap, 95) < 3.0
            assert found.division.parting_mm == pytest.approx(sum(line.length_mm for line in found.division.partings))


class TestChanges:
    @pytest.mark.parametrize("factor", [0.5, 3.0])
    def test_area_and_fill_grow_with_the_square_and_the_cube(self, factor: float) -> None:
        mesh, large = bodies.cup(), bodies.cup()
        large.apply_scale(factor)
        coat, large_coat = bodies.coated(mesh, 8.0, step_mm=4.0), bodies.coated(large, 8.0 * factor, step_mm=4.0 * factor)
        one, other = divided(coat, (EAST, WEST)), divided(large_coat, (EAST, WEST), shell_mm=6.0 * factor)
        assert other.division.outside_mm2 == pytest.approx(factor**2 * one.division.outside_mm2, rel=2e-3)
        assert other.division.parting_mm == pytest.approx(factor * one.division.parting_mm, rel=0.01)
        filled, large_filled = one.solid.volume_mm3 - coat.volume_mm3, other.solid.volume_mm3 - large_coat.volume_mm3
        assert large_filled == pytest.approx(factor**3 * filled, rel=2e-3)

    @pytest.mark.parametrize(("azimuth_deg", "offset_mm"), [(0.0, 0.0), (0.0, 7.0), (35.0, -12.0), (90.0, 4.0)])
    def test_a_fixed_parting_holds_every_line(self, azimuth_deg: float, offset_mm: float) -> None:
        coat = bodies.coated(bodies.block(), 8.0, on_board=True, step_mm=3.0)
        pulls = (direction(azimuth_deg, 0), direction(azimuth_deg + 180, 0))
        found = divided(coat, pulls, parting=PartingPlane(azimuth_deg=azimuth_deg, offset_mm=offset_mm))
        around = math.radians(azimuth_deg)
        for line in found.division.partings:
            heights = np.array(line.points) @ (math.cos(around), math.sin(around), 0.0)
            assert np.abs(heights - offset_mm).max() < 0.1
        (line,) = found.division.partings
        assert not line.closed
        assert sorted((line.points[0][2], line.points[-1][2])) == pytest.approx([0, 0], abs=1e-6)

    def test_a_block_parted_across_has_the_length_of_its_section(self) -> None:
        coat = bodies.coated(bodies.block(), 10.0, on_board=True, step_mm=2.0)
        found = divided(coat, (EAST, WEST), parting=PartingPlane(azimuth_deg=0.0))
        # exact: twice the height, the width, and a quarter circle at each upper edge
        assert found.division.parting_mm == pytest.approx(2 * 60 + 80 + math.pi * 10, rel=0.01)
        first, second = found.division.pieces
        assert first.area_mm2 == pytest.approx(second.area_mm2, rel=0.02)

    def test_a_torus_is_parted_inside_and_outside(self) -> None:
        import trimesh

        coat = bodies.coated(trimesh.creation.torus(60, 20, major_sections=96, minor_sections=48), 8.0, step_mm=2.5)
        found = divided(coat, (UP, DOWN))
        # exact: circles of radius 60 ± 28; the area of a torus is 4π² R r
        assert [line.closed for line in found.division.partings] == [True, True]
        lengths = [line.length_mm for line in found.division.partings]
        assert lengths == pytest.approx([2 * math.pi * 88, 2 * math.pi * 32], rel=0.01)
        assert found.division.outside_mm2 == pytest.approx(4 * math.pi**2 * 60 * 28, rel=5e-3)

    def test_pinned_pulls_are_marked(self) -> None:
        coat = bodies.coated(bodies.block(), 8.0, on_board=True, step_mm=4.0)
        from jobs.geometry.study.depths import depth_maps

        maps = depth_maps(coat.vertices, coat.faces, THREE, pixel_mm=2.0)
        found = divide(
            coat, maps, pulls=THREE, pinned=(THREE[1],), shell_mm=6.0, on_board=True, rank=1, fill=(5.0, 0.5)
        )  # fmt: skip
        assert {piece.pull: piece.pinned for piece in found.division.pieces} == {pull: pull == THREE[1] for pull in THREE}
        assert (found.division.rank, found.division.fill_mm3, found.division.fill_bound_mm3) == (1, 5.0, 0.5)

    def test_two_alike_pulls_leave_one_piece_without_a_region(self) -> None:
        coat = bodies.coated(bodies.block(), 8.0, on_board=True, step_mm=4.0)
        found = divided(coat, (UP, UP))
        assert sorted(piece.area_mm2 for piece in found.division.pieces)[0] == 0.0
        assert found.division.partings == ()

    def test_a_map_too_few_is_a_mistake_of_the_caller(self) -> None:
        coat = bodies.coated(bodies.block(), 8.0, on_board=True, step_mm=5.0)
        with pytest.raises(ValueError, match="one depth map"):
            divide(coat, (), pulls=(UP,), shell_mm=6.0, on_board=True, fill=(0.0, 0.0))

    def test_slanting_pulls_still_cover_all(self) -> None:
        coat = bodies.coated(bodies.block(), 8.0, on_board=True, step_mm=4.0)
        pulls: tuple[Direction, ...] = (direction(10, 25), direction(170, 35), DOWN)[:2]
        found = divided(coat, pulls)
        assert found.division.unseen_mm2 < 2e-3 * found.division.outside_mm2
        assert found.parts == (1, 1)

    def test_sharp_edges_of_fill_are_seen(self) -> None:
        # two level pulls at right angles fill a ball to a body with a sharp upright edge, rounded only where the ball is
        coat = bodies.coated(bodies.ball(), 10.0, step_mm=3.0)
        found = divided(coat, (EAST, NORTH))
        # exact: three quarters stay round, the one away from both becomes square: ∫ (r² + ¾π r²) dz with r² = R² − z²
        assert found.solid.volume_mm3 == pytest.approx((1 + 0.75 * math.pi) * 4 / 3 * 60**3, rel=5e-3)
        assert found.division.unseen_mm2 < 1e-3 * found.division.outside_mm2
        assert found.parts == (1, 1)
