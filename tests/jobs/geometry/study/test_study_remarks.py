from dataclasses import replace

import pytest

from jobs.geometry.study.directions import direction
from jobs.geometry.study.remarks import gauges_said, positions_said, study_remarks
from jobs.geometry.study.results import Division, GaugeKind, GaugeSpot, Position, Positions, ScrapRoom, ShellPiece, Study

TOP = Position(up=direction(0, 90), area_mm2=300_000.0)
LEFT = Position(up=direction(180, 30), area_mm2=200_000.0)


def way(rank: int, litres: float, *, bound: float = 0.01, pinned: bool = False) -> Division:
    piece = ShellPiece(number=1, pull=direction(0, 0), pinned=pinned, area_mm2=1.0, reach_mm=1.0, size_mm=(1.0, 1.0, 1.0))
    return Division(
        rank=rank, pieces=(piece, replace(piece, number=2, pull=direction(180, 0))), partings=(), parting_mm=1500.0,
        fill_mm3=litres * 1e6, fill_bound_mm3=bound * 1e6, outside_mm2=1.0, order=(1, 2), blocked=(),
    )  # fmt: skip


def spot(kind: GaugeKind) -> GaugeSpot:
    return GaugeSpot(kind=kind, point=(0.0, 0.0, 0.0), outward=direction(0, 90), why="Flat.")


def study(
    *ways: Division, scrap: ScrapRoom | None = None, left_out: float = 0.0, gauges: tuple[GaugeSpot, ...] = (), taken: int = 0
) -> Study:
    return Study(
        wall_mm=8.0, cell_mm=2.0, divisions=ways, taken=ways[taken] if ways else None, scrap=scrap,
        positions=Positions(slope_limit_deg=50.0, positions=(TOP, LEFT), left_out_mm2=left_out), gauges=gauges,
    )  # fmt: skip


def keys(found: Study) -> list[str]:
    return [remark.key for remark in study_remarks(found)]


class TestStudyRemarks:
    def test_nothing_to_look_at(self):
        assert keys(study(way(0, 1.0), way(1, 3.0))) == []
        assert keys(study()) == []

    @pytest.mark.parametrize(("left_out", "said"), [(5_000.0, False), (7_600.0, False), (9_000.0, True)])
    def test_area_that_faces_up_nowhere(self, left_out: float, said: bool):
        found = study_remarks(study(left_out=left_out))
        assert [remark.key for remark in found] == (["positions_left_out"] if said else [])
        if said:
            assert found[0].figures[0].value == pytest.approx(0.009)
            assert found[0].figures[0].unit == "m2"

    def test_a_next_way_nearly_as_good(self):
        (remark,) = study_remarks(study(way(0, 1.0), way(1, 1.2)))
        assert remark.key == "shell_ways"
        assert "little more fill" in remark.text
        assert [(figure.label, figure.value) for figure in remark.figures if figure.unit == "L"] == [
            ("Best way: fill", pytest.approx(1.0)), ("Next best way: fill", pytest.approx(1.2)),
        ]  # fmt: skip
        assert len({figure.key for figure in remark.figures}) == 4

    def test_a_next_way_that_cannot_be_told_apart(self):
        (remark,) = study_remarks(study(way(0, 0.0), way(1, 0.015)))
        assert "no more fill, as far as can be told" in remark.text

    def test_ways_are_not_compared_with_fixed_pulls_or_when_another_was_taken(self):
        assert keys(study(way(0, 1.0, pinned=True), way(1, 1.1))) == []
        assert keys(study(way(0, 1.0), way(1, 1.1, pinned=True))) == []
        assert keys(study(way(0, 1.0), way(1, 1.1), taken=1)) == []

    def test_no_room_for_chunks(self):
        none = ScrapRoom(chunk_edge_mm=20.0, cover_mm=5.0, room_mm3=0.0, places=())
        assert keys(study(way(0, 0.5), scrap=none)) == ["scrap_no_room"]
        assert keys(study(way(0, 0.5), scrap=replace(none, room_mm3=1e5))) == []
        assert keys(study(way(0, 0.02), scrap=none)) == []

    def test_few_gauge_blocks(self):
        assert keys(study(gauges=(spot(GaugeKind.FLAT),) * 2)) == ["gauges_few"]
        assert keys(study(gauges=(spot(GaugeKind.FLAT),) * 3)) == []


class TestSentences:
    def test_positions(self):
        found = study().positions
        assert positions_said(found) == ("Hold it in 2 positions, each time with this part up: its top; its left, 30° up.")
        assert positions_said(replace(found, positions=(TOP,))) == "Hold it with its top up."
        assert positions_said(replace(found, positions=())) == ""

    def test_gauges(self):
        found = (*[spot(GaugeKind.FLAT)] * 2, spot(GaugeKind.THIN))
        assert gauges_said(found) == (
            "Bury 3 gauge blocks as tall as the wall: 2 where it is flat (for the mean wall), 1 where it gets thin "
            "(at edges, overhangs and the tops of upright sides)."
        )
        assert gauges_said(()) == ""
        assert gauges_said(found[:1]).startswith("Bury 1 gauge block as tall")
