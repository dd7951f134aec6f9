"""How far the blanket is stretched over the widest part, and whether the rubber bears it."""

from typing import Any

import pytest

from jobs.planning.advice.stretch import plan_stretch, stretch_remarks
from jobs.planning.errors import BadBrief
from tests.jobs.planning.builders import brief, given, rubber


def remarks(opening: float | None, widest: float | None, **changes: Any) -> list[tuple[str, str]]:
    made = brief(
        widest_girth_mm=None if widest is None else given(widest, "mm"),
        opening_girth_mm=None if opening is None else given(opening, "mm"),
        **{"rubber": rubber(elongation_percent=240.0)} | changes,
    )  # fmt: skip
    return [(remark.key, remark.tone) for remark in stretch_remarks(made, plan_stretch(made))]


class TestStretch:
    @pytest.mark.parametrize(("opening", "widest", "percent"), [(300, 600, 100), (400, 500, 25), (200, 500, 150), (500, 400, 0)])
    def test_widest_over_opening(self, opening: float, widest: float, percent: float) -> None:
        found = plan_stretch(brief(opening_girth_mm=given(opening, "mm"), widest_girth_mm=given(widest, "mm")))
        assert found is not None
        assert found.value == pytest.approx(percent)

    @pytest.mark.parametrize(("wall", "said"), [(8, "radius of 10 mm (0.39 in) by 40 %."), (30, "the blanket further.")])
    def test_says_what_bending_adds(self, wall: float, said: str) -> None:
        # Calculated: 8 mm round 10 mm, t / (2 R); a wall of 30 mm is not bent that sharply.
        girths = {"opening_girth_mm": given(300, "mm"), "widest_girth_mm": given(400, "mm")}
        found = plan_stretch(brief(wall_mm=given(wall, "mm"), **girths))
        assert found is not None
        assert found.note.endswith(said)

    def test_is_not_known_until_both_are_typed(self) -> None:
        assert plan_stretch(brief()) is None
        assert remarks(300, None) == [("stretch_half", "look")]
        assert remarks(None, None) == []

    def test_a_girth_of_nought_is_refused(self) -> None:
        with pytest.raises(BadBrief, match="more than nought"):
            plan_stretch(brief(opening_girth_mm=given(0, "mm"), widest_girth_mm=given(500, "mm")))

    # Elongation 240 %: 80 % pull after pull, 120 % a few times (common practice).
    @pytest.mark.parametrize(
        ("widest", "expected"),
        [(530, []), (550, [("stretch_run", "look")]), (650, [("stretch_run", "look")]), (670, [("stretch", "stop")])],
    )
    def test_is_held_against_the_elongation(self, widest: float, expected: list[tuple[str, str]]) -> None:
        assert remarks(300, widest) == expected

    def test_an_unknown_elongation_is_said(self) -> None:
        assert remarks(300, 400, rubber=rubber()) == [("stretch_unknown", "look")]
        assert remarks(400, 300, rubber=rubber()) == []
