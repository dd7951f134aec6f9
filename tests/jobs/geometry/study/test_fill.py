"""Fill by its laws: what is convex needs none, a finer look stays within the bound, a parting counts side by side."""

import math

import numpy as np
import pytest
import trimesh

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depths import depth_maps
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.fill import CoatedSurface, fill_of
from tests.jobs.geometry.study.solids import coated, coated_mesh

EAST, WEST, NORTH, UP, DOWN = direction(0, 0), direction(180, 0), direction(90, 0), direction(0, 90), direction(0, -90)


def fill(solid: CoatedSurface, *pulls: Direction, parting: PartingPlane | None = None, pixel: float = 1.0) -> tuple[float, float]:
    return fill_of(solid, depth_maps(solid.vertices, solid.faces, pulls, pixel_mm=pixel), parting=parting)


class TestFillOf:
    @pytest.mark.parametrize("pulls", [(EAST, WEST), (UP, DOWN), (direction(25, 40), direction(205, -40))])
    def test_what_is_convex_needs_none_between_opposite_pulls(self, pulls: tuple[Direction, ...]) -> None:
        volume, bound = fill(coated("block"), *pulls)
        assert volume <= bound < 1e-3 * coated("block").volume_mm3

    def test_block_between_pulls_at_right_angles(self) -> None:
        # Between east and north the south-west corner is filled. exact: its four rounded edges' worth of (1 − π/4) t² along
        # one upright edge, and what the two ends' roundings leave: t³ (1 − π/4) · 2 − (t³ − …); bounded here from both sides.
        volume, bound = fill(coated("block"), EAST, NORTH)
        t, height = 8.0, 30.0
        corner = (1 - math.pi / 4) * t**2
        assert corner * height - bound < volume < corner * (height + 2 * t) + bound

    def test_more_pulls_fill_no_more(self) -> None:
        for name in ("cup", "spool", "two_balls"):
            solid = coated(name)
            before, bound = fill(solid, EAST, WEST)
            for more in (NORTH, direction(20, 30)):
                after, its_bound = fill(solid, EAST, WEST, more)
                assert after <= before + bound + its_bound

    def test_scale(self) -> None:
        # volumes go with the cube of the size
        mesh = trimesh.creation.torus(30, 8, major_sections=48, minor_sections=24)
        small, _ = fill(coated_mesh(mesh, wall=4.0, step=1.5), EAST, WEST)
        mesh.apply_scale(2.0)
        large, bound = fill(coated_mesh(mesh, wall=8.0, step=3.0), EAST, WEST, pixel=2.0)
        assert large == pytest.approx(8 * small, abs=2 * bound)

    def test_turning_piece_and_pulls_together_changes_nothing_beyond_the_bound(self) -> None:
        mesh = trimesh.creation.torus(30, 8, major_sections=48, minor_sections=24)
        plain, bound = fill(coated_mesh(mesh), EAST, WEST, UP)
        turn = trimesh.transformations.random_rotation_matrix(np.array([0.3, 0.6, 0.2]))
        mesh.apply_transform(turn)
        ways = [turn[:3, :3] @ (way.x, way.y, way.z) for way in (EAST, WEST, UP)]
        pulls = [Direction(x=float(x), y=float(y), z=float(z)) for x, y, z in ways]
        again, other_bound = fill(coated_mesh(mesh), *pulls)
        assert again == pytest.approx(plain, abs=bound + other_bound)

    def test_on_a_board_one_piece_lifts_off(self) -> None:
        assert fill(coated("block", on_board=True), UP)[0] == pytest.approx(0.0, abs=1.0)
        # A ball on a stalk: under the ball all is filled down to the board.
        with pytest.raises(GeometryError, match="never end"):
            fill(coated("block"), UP)

    def test_under_an_overhang_the_fill_ends_on_the_board(self) -> None:
        ball = trimesh.creation.icosphere(subdivisions=4, radius=20)
        ball.apply_translation((0, 0, 40))
        solid = coated_mesh(ball, on_board=True)
        volume, bound = fill(solid, UP)
        # exact: a cylinder of ρ = 28 up to the ball's middle, without the half ball; facets take 3e-3 of the ball
        assert volume == pytest.approx(math.pi * 28**2 * 40 - 2 / 3 * math.pi * 28**3, rel=4e-3)
        assert bound < 0.01 * volume

    def test_parting_along_the_axis_of_a_spool_is_as_good_as_free_pulls(self) -> None:
        volume, bound = fill(coated("spool"), EAST, WEST, parting=PartingPlane(azimuth_deg=0.0))
        assert volume == pytest.approx(0.0, abs=bound)

    def test_parting_off_the_middle_needs_fill(self) -> None:
        # exact: on a ball of radius ρ parted at s > 0 from its middle, the piece beyond s leaves freely; the other, which
        # reaches past the middle, needs the cylinder of ρ from 0 to s without the ball's layer: π s³ / 3
        ball = trimesh.creation.icosphere(subdivisions=5, radius=30)
        solid = coated_mesh(ball)
        parting = PartingPlane(azimuth_deg=0.0, offset_mm=15.0)
        volume, bound = fill(solid, EAST, WEST, parting=parting)
        assert volume == pytest.approx(math.pi * 15**3 / 3, abs=max(bound, 60.0))
        assert bound < 600.0

    def test_a_pull_that_leads_back_through_the_parting_is_refused(self) -> None:
        with pytest.raises(GeometryError, match="other side"):
            fill(coated("block"), WEST, EAST, parting=PartingPlane(azimuth_deg=0.0))

    def test_a_parting_wants_two_pulls(self) -> None:
        with pytest.raises(GeometryError, match="exactly two"):
            fill(coated("block"), WEST, parting=PartingPlane(azimuth_deg=0.0))
