import numpy as np
import pytest

from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.results import ScrapRoom
from jobs.geometry.study.scrap import chunk_sizes, scrap_room
from tests.jobs.geometry.study.fields import Distance, ball, box, field_of, nothing


def hollow(
    distance: Distance, size: float, *, step: float = 2.0, floor: float | None = None
) -> tuple[DistanceField, DistanceField]:
    low, high = (-size, -size, -size if floor is None else floor), (size, size, size)
    return field_of(nothing, low, high, step=step), field_of(distance, low, high, step=step)


def room_in(
    fields: tuple[DistanceField, DistanceField],
    *,
    edge: float = 15.0,
    cover: float = 5.0,
    on_board: bool = False,
    wall: float = 10.0,
) -> ScrapRoom:
    return scrap_room(*fields, wall_mm=wall, chunk_edge_mm=edge, cover_mm=cover, on_board=on_board)


def corners(found: ScrapRoom) -> np.ndarray:
    signs = np.array(np.meshgrid(*[[-1, 1]] * 3)).reshape(3, -1).T
    return (np.array(found.places)[:, None, :] + found.chunk_edge_mm / 2 * signs).reshape(-1, 3)


class TestRoom:
    def test_shrinks_with_chunk_and_cover(self):
        fields = hollow(ball(45.0), 52.0)
        by_edge = [room_in(fields, edge=edge).room_mm3 for edge in (12.0, 24.0, 48.0)]
        by_cover = [room_in(fields, cover=cover).room_mm3 for cover in (0.0, 8.0, 16.0)]
        assert by_cover == sorted(by_cover, reverse=True)
        assert by_cover[0] > 1.5 * by_cover[-1]
        # In a ball of 45 less 5, chunks up to 80 mm reach everything: the room is the same within its bound.
        assert max(by_edge) - min(by_edge) < 0.02 * max(by_edge)
        boxed = hollow(box((45.0, 30.0, 25.0)), 52.0)
        by_edge = [room_in(boxed, edge=edge).room_mm3 for edge in (12.0, 24.0, 38.0)]
        assert by_edge == sorted(by_edge, reverse=True)
        assert room_in(boxed, edge=42.0).room_mm3 == 0.0

    def test_is_less_than_the_fill(self):
        found = room_in(hollow(box((20.0, 15.0, 12.0)), 24.0, step=1.5), edge=3.0, cover=0.0)
        assert 0.95 * 8 * 20 * 15 * 12 < found.room_mm3 < 8 * 20 * 15 * 12

    def test_nothing_fits_in_a_narrow_gap(self):
        found = room_in(hollow(box((40.0, 40.0, 12.0)), 46.0))
        assert (found.room_mm3, found.places, found.laid, found.laid_share) == (0.0, (), 0, 0.0)

    def test_keeps_the_cover_from_the_coats_too(self):
        low, high = (-66.0, -66.0, -66.0), (66.0, 66.0, 66.0)
        piece, outside = field_of(ball(20.0), low, high, step=2.0), field_of(ball(60.0), low, high, step=2.0)
        found = room_in((piece, outside), wall=8.0)
        assert found.room_mm3 == pytest.approx(4 / 3 * np.pi * (55.0**3 - 33.0**3), abs=found.room_bound_mm3)
        assert found.room_bound_mm3 < 0.02 * found.room_mm3
        away = np.linalg.norm(corners(found), axis=1)
        assert away.max() <= 55.15
        assert np.linalg.norm(np.maximum(np.abs(np.array(found.places)) - 7.5, 0.0), axis=1).min() >= 32.85

    def test_reads_fields_that_are_exact_on_a_narrow_band_alone(self):
        low, high = (-66.0, -66.0, -66.0), (66.0, 66.0, 66.0)
        whole = room_in((field_of(ball(20.0), low, high, step=2.0), field_of(ball(60.0), low, high, step=2.0)), wall=8.0)
        band = room_in(
            (field_of(ball(20.0), low, high, step=2.0, exact_to=12.0), field_of(ball(60.0), low, high, step=2.0, exact_to=5.0)),
            wall=8.0,
        )
        assert band.room_mm3 == pytest.approx(whole.room_mm3, abs=band.room_bound_mm3)
        assert whole.room_bound_mm3 < band.room_bound_mm3 < 0.05 * whole.room_mm3
        assert band.laid == pytest.approx(whole.laid, rel=0.1)

    def test_fields_may_lie_on_different_grids(self):
        piece = field_of(ball(20.0), (-70.0, -75.0, -70.0), (70.0, 70.0, 75.0), step=1.7)
        outside = field_of(ball(60.0), (-66.0, -66.0, -66.0), (66.0, 66.0, 66.0), step=2.3)
        found = room_in((piece, outside), wall=8.0)
        assert found.room_mm3 == pytest.approx(4 / 3 * np.pi * (55.0**3 - 33.0**3), abs=found.room_bound_mm3)

    def test_the_board_is_no_side_to_keep_away_from(self):
        fields = hollow(box((40.0, 30.0, 40.0)), 46.0, floor=0.0)
        found = room_in(fields, on_board=True)
        # A slab of 35 mm above the board, its top 5 mm under the fill's; corners rounded below as above.
        a, b, c, radius = 55.0, 35.0, 20.0, 7.5
        exact = a * b * c + 2 * radius * (a * b + b * c + c * a) + np.pi * radius**2 * (a + b + c) + 4 / 3 * np.pi * radius**3
        assert found.room_mm3 == pytest.approx(exact, abs=found.room_bound_mm3)
        assert min(place[2] for place in found.places) == pytest.approx(7.5)

    def test_two_hollows_count_each_once(self):
        def pair(points: np.ndarray) -> np.ndarray:
            return np.minimum(box((25.0, 25.0, 25.0), (-40.0, 0, 0))(points), box((25.0, 25.0, 25.0), (40.0, 0, 0))(points))

        low, high = (-72.0, -32.0, -32.0), (72.0, 32.0, 32.0)
        both = room_in((field_of(nothing, low, high, step=2.0), field_of(pair, low, high, step=2.0)))
        one = room_in(hollow(box((25.0, 25.0, 25.0)), 32.0))
        assert both.room_mm3 == pytest.approx(2 * one.room_mm3, rel=5e-3)
        assert both.laid == 2 * one.laid

    def test_dust_of_chunks_is_bracketed_and_not_laid(self):
        fields = hollow(box((40.0, 30.0, 25.0)), 46.0)
        found = scrap_room(*fields, wall_mm=10, chunk_edge_mm=3.0, cover_mm=5.0, on_board=False, most_nodes=15_000)
        a, b, c, radius = 67.0, 47.0, 37.0, 1.5
        exact = a * b * c + 2 * radius * (a * b + b * c + c * a) + np.pi * radius**2 * (a + b + c) + 4 / 3 * np.pi * radius**3
        assert found.room_mm3 == pytest.approx(exact, abs=found.room_bound_mm3)
        assert (found.laid, found.places) == (0, ())


class TestLaidByHand:
    def test_chunks_keep_apart_and_inside(self):
        found = room_in(hollow(ball(45.0), 52.0))
        places = np.array(found.places)
        assert found.laid == len(places) > 10
        assert np.linalg.norm(corners(found), axis=1).max() <= 40.15
        apart = np.abs(places[:, None] - places[None]).max(axis=-1) + 1e9 * np.eye(len(places))
        assert apart.min() >= 15.0 * (1 + 1 / 6) - 1e-6

    def test_sizes_are_compared_on_one_fill(self):
        rows = chunk_sizes(
            *hollow(box((45.0, 30.0, 25.0)), 52.0), wall_mm=10, cover_mm=5.0, edges_mm=(10, 20, 30, 60), on_board=False
        )
        assert [row.chunk_edge_mm for row in rows] == [10, 20, 30, 60]
        rooms = [row.room_mm3 for row in rows]
        assert rooms == sorted(rooms, reverse=True)
        assert rows[-1].laid == 0 < rows[0].laid
