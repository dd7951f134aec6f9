"""The wall that is advised: practice, softness, evenness of coats, and what carries itself between keys."""

from dataclasses import replace
from typing import Any

import pytest

from jobs.geometry.study.results import GaugeKind
from jobs.planning.advice.wall import advise_wall, wall_remarks
from jobs.planning.brief import Making
from jobs.planning.errors import BadBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import WallAdvice
from jobs.planning.rubber.laying import plan_laying
from jobs.planning.shape import ShapeBrief
from studio.workrates import default_rates
from tests.jobs.planning.builders import box_takeoff, brief, given, rubber
from tests.jobs.planning.test_gauges_plan import spot


def advice(**changes: Any) -> WallAdvice:
    made = brief(**changes)
    found = advise_wall(made, plan_laying(made).coats)
    assert found is not None
    return found


def said(**changes: Any) -> set[str]:
    made = brief(**changes)
    return {remark.key for remark in wall_remarks(made, advise_wall(made, plan_laying(made).coats))}


class TestAdvised:
    def test_small_general_and_large(self) -> None:
        # Published and common practice: about 6 mm, 8 to 10 mm, 10 to 12 mm.
        least = [advice(takeoff=box_takeoff(0.1, 0.1, height)).advised.low for height in (0.25, 0.5, 1.8)]
        assert least == pytest.approx([6, 8, 10])

    def test_softer_rubber_wants_a_fifth_to_a_third_more(self) -> None:
        firm, soft = advice(), advice(rubber=rubber(hardness_shore_a=15))
        assert 1.2 <= (soft.advised.low or 0) / (firm.advised.low or 1) <= 1.3
        assert any("Softer than 20 Shore A" in reason.text for reason in soft.reasons)

    def test_more_coats_need_less_mean(self) -> None:
        few, many = advice(build_coats=1).mean.value, advice(build_coats=8).mean.value
        assert 8 < many < few

    def test_a_poured_wall_is_even(self) -> None:
        assert advice(making=Making.POURED).mean.value == 8

    def test_soft_rubber_between_far_keys_wants_more(self) -> None:
        weak = rubber(modulus_100_mpa=0.05, hardness_shore_a=20)
        near, far = (advice(rubber=weak, key_spacing_mm=given(apart, "mm")) for apart in (75, 130))
        assert far.advised.value > near.advised.value
        assert any("key to key" in reason.text for reason in far.reasons)

    def test_of_a_block_nothing_is_said(self) -> None:
        assert make_plan(brief(making=Making.BLOCK)).wall_advice is None

    def test_of_a_piece_beyond_practice_nothing_is_made_up(self) -> None:
        made = brief(takeoff=box_takeoff(0.5, 0.5, 4.5))
        assert advise_wall(made, plan_laying(made).coats) is None
        assert said(takeoff=box_takeoff(0.5, 0.5, 4.5)) == {"wall_unknown"}

    def test_coats_of_no_evenness_are_refused(self) -> None:
        with pytest.raises(BadBrief, match="uneven"):
            advice(rates={**default_rates(), "coat_cv_percent": given(60, "%")})


class TestRemark:
    def test_a_thin_wall_is_pointed_out_and_stays_the_persons(self) -> None:
        assert said(wall_mm=given(6, "mm")) == {"wall_thin"}
        made = make_plan(brief(wall_mm=given(6, "mm")))
        assert sum(coat.thickness.value for coat in made.coats) == pytest.approx(6)

    def test_a_wall_as_advised_is_not(self) -> None:
        assert said() == set()

    def test_tones_follow_the_wall(self) -> None:
        assert {reason.tone for reason in advice(wall_mm=given(14, "mm")).reasons} == {"good"}
        assert {reason.tone for reason in advice(wall_mm=given(3, "mm"), key_spacing_mm=given(0, "mm")).reasons} == {"look"}


class TestThicker:
    def test_at_edges_always(self) -> None:
        assert any("Edges" in reason.text for reason in advice(seam_length_m=None).thicker_at)
        assert len(advice(seam_length_m=None).thicker_at) == 1

    def test_at_the_places_of_the_study(self) -> None:
        spots = (spot(GaugeKind.THIN), spot(GaugeKind.THIN), spot(GaugeKind.CROWN), spot(GaugeKind.FLAT))
        text = " ".join(reason.text for reason in advice(shape=ShapeBrief(gauges=spots)).thicker_at)
        assert "2 spots where" in text
        assert "1 crown where" in text

    def test_at_flanges(self) -> None:
        on_board = replace(box_takeoff(), stands_on_board=True)
        keys = [figure.key for reason in advice(takeoff=on_board).thicker_at for figure in reason.figures]
        assert keys == ["wall_base_flange", "wall_parting_flange"]

    def test_not_in_a_pour(self) -> None:
        assert advice(making=Making.POURED).thicker_at == ()
