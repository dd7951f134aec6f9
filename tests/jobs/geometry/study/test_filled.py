"""The filled solid's surface, and the distances to it."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from jobs.geometry.engine.soup import check_mesh
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depths import depth_maps
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.fill import CoatedSurface
from jobs.geometry.study.filled import outside_field
from jobs.geometry.study.filled_solid import FilledSolid, filled_solid
from tests.jobs.geometry.study import pieces_bodies as bodies
from tests.jobs.geometry.study.pieces_bodies import DOWN, EAST, NORTH, THREE, UP, WEST


def filled(coat: CoatedSurface, pulls: tuple[Direction, ...], parting: PartingPlane | None = None) -> FilledSolid:
    maps = depth_maps(coat.vertices, coat.faces, pulls, pixel_mm=coat.field.step_mm / 2)
    return filled_solid(coat, maps, parting=parting)


class TestSurface:
    def test_closed_in_the_air(self) -> None:
        solid = filled(bodies.coated(bodies.cup(), 8.0, step_mm=4.0), (EAST, WEST))
        check = check_mesh(solid.vertices.astype(float), solid.faces)
        assert (check.hole_edges, check.crowded_edges, check.flipped_edges, check.parts) == (0, 0, 0, 1)

    def test_open_at_the_board_only(self) -> None:
        solid = filled(bodies.coated(bodies.hand(), 6.0, on_board=True, step_mm=3.0), (EAST, WEST, UP))
        check = check_mesh(solid.vertices.astype(float), solid.faces)
        assert (check.crowded_edges, check.flipped_edges) == (0, 0)
        assert check.hole_edges > 0
        counted = np.unique(np.sort(solid.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)), axis=0, return_counts=True)
        assert np.abs(solid.vertices[counted[0][counted[1] == 1]][:, :, 2]).max() < 1e-6

    @pytest.mark.parametrize("pulls", [(UP, DOWN), (EAST, WEST), THREE, (EAST, WEST, UP, NORTH)])
    def test_it_holds_the_coat_and_shares_what_a_pull_sees(self, pulls: tuple[Direction, ...]) -> None:
        coat = bodies.coated(bodies.hand(), 6.0, step_mm=3.0)
        solid = filled(coat, pulls)
        # nowhere inside the coat, by the distances to the piece
        assert coat.field.at(solid.vertices).min() > coat.wall_mm - 0.02 * coat.field.step_mm
        assert solid.volume_mm3 >= coat.volume_mm3

    def test_more_pulls_never_need_more(self) -> None:
        coat = bodies.coated(bodies.hand(), 6.0, step_mm=3.0)
        volumes = [filled(coat, (EAST, WEST, UP, NORTH)[:count]).volume_mm3 for count in (2, 3, 4)]
        assert volumes == sorted(volumes, reverse=True)

    @pytest.mark.parametrize("seed", range(2))
    def test_pixels_agree_with_what_was_filled(self, seed: int) -> None:
        # the depth maps themselves, read at random points away from their own and the grid's rounding
        coat = bodies.coated(bodies.cup(), 8.0, step_mm=4.0)
        pulls = (EAST, direction(170, 20), NORTH)
        maps = depth_maps(coat.vertices, coat.faces, pulls, pixel_mm=0.5)
        solid = filled_solid(coat, maps)
        field = solid.sight.field
        nodes = np.random.default_rng(seed).integers(1, np.array(solid.sides.shape) - 1, (20_000, 3))
        points = field.origin + field.step_mm * nodes
        hidden = np.min([depth.hidden(points) for depth in maps], axis=0) > 0
        differs = hidden != (solid.sides[tuple(nodes.T)] < 0)
        assert differs.mean() < 2e-3
        gap, _ = cKDTree(solid.vertices).query(points[differs])
        assert (gap < 1.5 * field.step_mm).all()

    def test_fill_without_an_end_is_refused(self) -> None:
        coat = bodies.coated(bodies.cup(), 8.0, step_mm=4.0)
        for pulls in ((EAST,), (EAST, EAST), (EAST, direction(2, 0))):
            with pytest.raises(GeometryError, match="no end"):
                filled(coat, pulls)

    def test_fill_beyond_the_grid_of_the_coat(self) -> None:
        # two slanting ways down meet under the ball: the fill reaches far below it
        coat = bodies.coated(bodies.ball(20), 4.0, step_mm=2.0)
        solid = filled(coat, (direction(0, 30), direction(180, 30)))
        # exact: tangents at 30° from the ball's sides meet at r / cos 30° below the middle
        assert solid.vertices[:, 2].min() == pytest.approx(-24 / np.cos(np.radians(30)), abs=1.0)

    def test_a_parting_is_for_two(self) -> None:
        with pytest.raises(GeometryError, match="two pieces"):
            filled(bodies.coated(bodies.block(), 8.0, step_mm=5.0), THREE, PartingPlane(azimuth_deg=0))

    def test_no_pull(self) -> None:
        with pytest.raises(GeometryError, match="at least one pull"):
            filled(bodies.coated(bodies.block(), 8.0, step_mm=5.0), ())


class TestOutsideField:
    @pytest.mark.parametrize("pulls", [(EAST, WEST), (UP, DOWN)])
    def test_against_the_whole_surface(self, pulls: tuple[Direction, ...]) -> None:
        coat = bodies.coated(bodies.cup(), 8.0, step_mm=4.0)
        maps = depth_maps(coat.vertices, coat.faces, pulls, pixel_mm=1.0)
        solid = filled_solid(coat, maps)
        quick = outside_field(coat, maps, None, coat.field, solid=solid, high_mm=2.0)
        copied = type(coat.field)(
            values=coat.field.values, origin=coat.field.origin, step_mm=4.0, low_mm=0.0, high_mm=coat.field.high_mm
        )  # fmt: skip
        whole = outside_field(coat, maps, None, copied, solid=solid, high_mm=2.0)
        assert ((quick.values < 0) == (whole.values < 0)).mean() > 1 - 1e-4
        told = (np.abs(whole.values) < 2.0) & ((whole.values > 0) | (coat.field.values > coat.wall_mm))
        assert np.abs(quick.values - whole.values)[told].max() < 0.25 * 4.0

    def test_a_ball_needs_no_fill(self) -> None:
        coat = bodies.coated(bodies.ball(40), 8.0, step_mm=3.0)
        maps = depth_maps(coat.vertices, coat.faces, (UP, DOWN), pixel_mm=1.0)
        field = outside_field(coat, maps, None, coat.field)
        points = np.array([(0, 0, 48.0), (49.5, 0, 0), (0, 47.0, 0)])
        # exact: distance from the middle less 48
        assert field.at(points) == pytest.approx([0, 1.5, -1.0], abs=0.15)
