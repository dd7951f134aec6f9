import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PartingPlane, StudyBrief
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.results import (
    Division,
    GaugeKind,
    GaugeSpot,
    Parting,
    Position,
    Positions,
    ScrapRoom,
    ShellPiece,
    Study,
)
from jobs.geometry.study.store import brief_from_json, brief_to_json, study_from_json, study_to_json
from jobs.geometry.walls import MeasuredWalls, Rung
from studio.figures import Remark

NUMBERS = st.floats(min_value=-1e9, max_value=1e9, allow_nan=False)
SIZES = st.floats(min_value=0, max_value=1e12, allow_nan=False)
POINTS = st.tuples(NUMBERS, NUMBERS, NUMBERS)
COUNTS = st.integers(min_value=0, max_value=60)
PAIRS = st.tuples(COUNTS, COUNTS)


@st.composite
def ways(draw) -> Direction:
    return direction(draw(st.floats(min_value=0, max_value=360)), draw(st.floats(min_value=-90, max_value=90)))


def some(of, most: int = 3):
    return st.lists(of, max_size=most).map(tuple)


WALL = Rung(thickness_mm=5.0, volume_mm3=1e6, bound_mm3=10.0, area_mm2=2e5)
PIECES = st.builds(ShellPiece, number=COUNTS, pull=ways(), pinned=st.booleans(), area_mm2=SIZES, reach_mm=SIZES, size_mm=POINTS)
PARTINGS = st.builds(Parting, between=PAIRS, points=some(POINTS), closed=st.booleans(), length_mm=SIZES)
DIVISIONS = st.builds(
    Division, rank=COUNTS, pieces=some(PIECES), partings=some(PARTINGS), parting_mm=SIZES, fill_mm3=SIZES, fill_bound_mm3=SIZES,
    outside_mm2=SIZES, order=some(COUNTS), blocked=some(PAIRS), unseen_mm2=SIZES,
)  # fmt: skip


@st.composite
def studies(draw) -> Study:
    divisions = draw(some(DIVISIONS))
    taken = draw(st.one_of(st.none(), DIVISIONS, *([st.sampled_from(divisions)] if divisions else [])))
    return Study(
        wall_mm=draw(SIZES),
        cell_mm=draw(SIZES),
        divisions=divisions,
        taken=taken,
        scrap=draw(
            st.none() | st.builds(
                ScrapRoom, chunk_edge_mm=SIZES, cover_mm=SIZES, room_mm3=SIZES, room_bound_mm3=SIZES, laid=COUNTS,
                places=some(POINTS),
            )
        ),
        positions=Positions(
            slope_limit_deg=draw(SIZES), left_out_mm2=draw(SIZES),
            positions=draw(some(st.builds(Position, up=ways(), area_mm2=SIZES))),
        ),
        gauges=draw(some(st.builds(GaugeSpot, kind=st.sampled_from(GaugeKind), point=POINTS, outward=ways(), why=st.text()))),
        walls=draw(st.none() | st.builds(MeasuredWalls, blanket=st.just((WALL,)), casting=st.just(()), solid_from_mm=SIZES)),
        remarks=draw(some(st.builds(Remark, key=st.text(), text=st.text()))),
    )  # fmt: skip


class TestStudy:
    @settings(max_examples=60, deadline=None)
    @given(study=studies())
    def test_comes_back_exactly_through_text(self, study: Study) -> None:
        assert study_from_json(json.loads(json.dumps(study_to_json(study), allow_nan=False))) == study

    @settings(max_examples=30, deadline=None)
    @given(study=studies())
    def test_keeps_every_number_that_a_plan_reads_when_lines_are_left_out(self, study: Study) -> None:
        light = study_from_json(json.loads(json.dumps(study_to_json(study, drawn=False))))
        assert [one.fill_mm3 for one in light.divisions] == [one.fill_mm3 for one in study.divisions]
        assert [one.parting_mm for one in light.divisions] == [one.parting_mm for one in study.divisions]
        assert [one.pieces for one in light.divisions] == [one.pieces for one in study.divisions]
        assert light.positions == study.positions
        assert light.gauges == study.gauges
        assert not any(line.points for one in light.divisions for line in one.partings)

    @pytest.mark.parametrize("change", [{"form": 99}, {"positions": None}, {"divisions": [{}]}, {"gauges": [[1]]}])
    def test_is_refused_with_a_sentence_when_damaged(self, change: dict) -> None:
        whole = study_to_json(
            Study(
                wall_mm=10, cell_mm=1, divisions=(), taken=None, scrap=None, gauges=(),
                positions=Positions(slope_limit_deg=50, positions=(), left_out_mm2=0),
            )
        )  # fmt: skip
        assert study_from_json(whole).wall_mm == 10
        with pytest.raises(GeometryError, match="studied again"):
            study_from_json({**whole, **change})


class TestBrief:
    @given(
        brief=st.builds(
            StudyBrief, wall_mm=st.floats(min_value=0.5, max_value=200), on_board=st.just(False), pieces=st.just(2),
            pulls=some(ways(), 2), rank=COUNTS, slope_limit_deg=st.floats(min_value=10, max_value=89),
            parting=st.none() | st.builds(PartingPlane, azimuth_deg=NUMBERS, offset_mm=NUMBERS),
        )
    )  # fmt: skip
    def test_comes_back_exactly_through_text(self, brief: StudyBrief) -> None:
        assert brief_from_json(json.loads(json.dumps(brief_to_json(brief)))) == brief

    def test_is_refused_out_of_range_in_its_own_words(self) -> None:
        told = brief_to_json(StudyBrief(wall_mm=10, on_board=True))
        with pytest.raises(GeometryError, match="wall of rubber"):
            brief_from_json({**told, "wall_mm": 900})
        with pytest.raises(GeometryError, match="studied again"):
            brief_from_json({"wall_mm": 10})
