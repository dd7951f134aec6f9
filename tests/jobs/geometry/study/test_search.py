"""The search for pulls: finds what needs nothing, keeps what a person fixed, never does worse with more pieces."""

import itertools

import pytest
import trimesh

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.candidates import angle_deg, candidate_pulls
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.fill import CoatedSurface, rough_fill
from jobs.geometry.study.search import find_pulls
from jobs.geometry.study.views import look_around, rubber_mm3
from tests.jobs.geometry.study.solids import coated, coated_mesh, cup

NAMES = ("cup", "spool", "two_balls", "block")


def share(solid: CoatedSurface, pulls: tuple[Direction, ...]) -> float:
    return rough_fill(solid, pulls, pixel_mm=1.0) / rubber_mm3(solid)


class TestCandidates:
    def test_each_has_its_opposite_and_none_comes_twice(self) -> None:
        solid = coated("block")
        pulls = candidate_pulls(solid.vertices, solid.faces, on_board=False)
        assert 170 < len(pulls) < 200
        for pull in pulls:
            assert min(angle_deg(pull, Direction(x=-p.x, y=-p.y, z=-p.z)) for p in pulls) < 1.1
            assert sorted(angle_deg(pull, other) for other in pulls)[1] >= 1.0

    def test_on_a_board_none_goes_down(self) -> None:
        solid = coated("cup", on_board=True)
        pulls = candidate_pulls(solid.vertices, solid.faces, on_board=True)
        assert min(pull.z for pull in pulls) > -1e-9
        assert any(pull.lift_deg > 89.9 for pull in pulls)


class TestFindPulls:
    @pytest.mark.parametrize("name", NAMES)
    @pytest.mark.parametrize("pieces", [2, 3, 4])
    def test_finds_pulls_without_fill(self, name: str, pieces: int) -> None:
        # exact: the cup along its axis, spool, balls and block from the side need none
        best, *rest = find_pulls(coated(name), pieces=pieces)
        assert len(best) == pieces
        assert len(set(best)) == pieces
        assert share(coated(name), best) < 2e-3
        for other in rest:
            assert any(min(angle_deg(pull, kept) for kept in best) > 20.0 for pull in other)

    def test_two_opposite_level_pulls_are_preferred(self) -> None:
        one, other = find_pulls(coated("spool"), pieces=2)[0]
        assert angle_deg(one, other) == pytest.approx(180.0, abs=0.1)
        assert abs(one.lift_deg) < 0.1

    def test_more_pieces_never_need_more(self) -> None:
        mesh = trimesh.creation.torus(30, 8, major_sections=48, minor_sections=24)
        mesh.apply_transform(trimesh.transformations.rotation_matrix(0.7, (1, 0.3, 0.2)))
        blocks = [trimesh.creation.box((12, 70, 12)), mesh]
        solid = coated_mesh(trimesh.util.concatenate(blocks))
        fills = [share(solid, find_pulls(solid, pieces=pieces)[0]) for pieces in (2, 3, 4, 5)]
        for fewer, more in itertools.pairwise(fills):
            assert more <= fewer + 2e-3

    def test_pinned_pulls_are_kept_as_they_are(self) -> None:
        pinned = direction(17.3, 4.2)
        for pieces in (2, 3):
            for pulls in find_pulls(coated("spool"), pieces=pieces, pinned=(pinned,)):
                assert pulls[0] == pinned
                assert len(pulls) == pieces
        best, *_ = find_pulls(coated("spool"), pieces=2, pinned=(pinned,))
        assert angle_deg(best[1], pinned) > 150.0
        both = (pinned, direction(200, 10))
        assert find_pulls(coated("spool"), pieces=2, pinned=both) == [both]
        three, *_ = find_pulls(coated("spool"), pieces=3, pinned=both)
        assert three[:2] == both

    def test_on_a_board(self) -> None:
        solid = coated("cup", on_board=True)
        for pieces in (1, 2, 3):
            for pulls in find_pulls(solid, pieces=pieces, on_board=True):
                assert all(pull.z > -1e-9 for pull in pulls)
        assert share(solid, find_pulls(solid, pieces=1)[0]) < 1e-3

    @pytest.mark.parametrize(("pieces", "pinned", "said"), [(9, 0, "2 to 8"), (1, 0, "on a board"), (2, 3, "3 pulls are fixed")])
    def test_what_cannot_be_sought(self, pieces: int, pinned: int, said: str) -> None:
        with pytest.raises(GeometryError, match=said):
            find_pulls(coated("block"), pieces=pieces, pinned=[direction(30.0 * n, 0) for n in range(pinned)])
        with pytest.raises(GeometryError, match="on the board"):
            find_pulls(coated("block"), pieces=2, on_board=True)

    def test_rubber(self) -> None:
        mesh = cup()
        assert rubber_mm3(coated("cup")) == pytest.approx(coated("cup").volume_mm3 - mesh.volume, rel=5e-3)
        assert look_around(coated("cup")) is look_around(coated("cup"))
