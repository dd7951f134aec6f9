"""The parting strip: its rubber, its mixes, its pins, and where it is none."""

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.brief import Making
from jobs.planning.errors import BadBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import Component, StripPlan
from tests.jobs.planning.builders import brief, given, rubber


def strip_of(**changes: object) -> StripPlan:
    """Return the parting strip of a plan."""
    strip = make_plan(brief(**changes)).strip
    assert strip is not None
    return strip


class TestRubber:
    def test_is_length_times_section_times_density(self) -> None:
        # Calculated: 1.2 m × 20 mm × 8 mm × 1100 kg/m3 = 211.2 g; the bed of glue 1.2 m × 20 mm × 1 mm = 26.4 g.
        strip = strip_of()
        assert (strip.width.value, strip.height.value) == (20, 8)
        assert strip.net_mass.value == pytest.approx(211.2)
        assert strip.glue_mass is not None
        assert strip.glue_mass.value == pytest.approx(26.4)

    @settings(max_examples=30, deadline=None)
    @drawn(st.floats(0.1, 20), st.floats(5, 60), st.floats(2, 30), st.floats(16, 34))
    def test_mixes_hold_it_and_what_stays_in_the_cup(
        self, length: float, width: float, height: float, temperature: float
    ) -> None:
        strip = strip_of(
            seam_length_m=given(length, "m"), strip_width_mm=given(width, "mm"), strip_height_mm=given(height, "mm"),
            temperature_c=given(temperature, "degC"),
        )  # fmt: skip
        assert strip.net_mass.value == pytest.approx(length * width * height * 1.1)
        for mixes, mixed, net in (
            (strip.mixes, strip.mixed_mass, strip.net_mass),
            (strip.glue_mixes, strip.glue_mixed, strip.glue_mass),
        ):
            assert mixed is not None
            assert net is not None
            assert sum(mix.mass.value for mix in mixes) == pytest.approx(mixed.value)
            assert mixed.value * (1 - 0.075) == pytest.approx(net.value)

    def test_a_warm_day_or_a_long_strip_wants_more_cups(self) -> None:
        assert len(strip_of().mixes) == 1
        assert len(strip_of(seam_length_m=given(6, "m")).mixes) == 3
        assert len(strip_of(seam_length_m=given(6, "m"), temperature_c=given(30, "degC")).mixes) == 5

    def test_is_neither_thickened_nor_tinted(self) -> None:
        parts = {part.component for mix in strip_of().mixes for part in mix.parts}
        assert parts == {Component.A, Component.B}

    def test_joins_the_needs_and_the_totals(self) -> None:
        strip, plan, bare = strip_of(), make_plan(brief()), make_plan(brief(seam_length_m=None))
        assert strip.glue_mixed is not None
        mixed = strip.mixed_mass.value + strip.glue_mixed.value
        assert plan.rubber_fresh.value - bare.rubber_fresh.value == pytest.approx(mixed)
        assert plan.mixes_count.value - bare.mixes_count.value == 2

        def rubber_to_buy(needs: object) -> float:
            return sum(need.mass.value for need in needs if need.material_key == "rubber")  # type: ignore[attr-defined]

        assert rubber_to_buy(plan.needs) - rubber_to_buy(bare.needs) == pytest.approx(mixed)
        assert any("parting strip" in need.reason for need in plan.needs)


class TestPins:
    @pytest.mark.parametrize(("length", "pins"), [(1.2, 25), (0.05, 2), (0.051, 3)])
    def test_stand_along_it_and_at_both_ends(self, length: float, pins: int) -> None:
        assert strip_of(seam_length_m=given(length, "m")).pins.value == pins

    def test_a_spacing_of_nought_is_refused(self) -> None:
        with pytest.raises(BadBrief, match="pins"):
            strip_of(rates={"strip_pin_spacing_mm": given(0, "mm", "Between the pins of a parting strip")})


class TestCure:
    def test_is_that_of_its_rubber(self) -> None:
        assert strip_of(rubber=rubber(demold_min=300.0)).cure.value == pytest.approx(300)


class TestNone:
    @pytest.mark.parametrize("changes", [{"seam_length_m": None}, {"seam_length_m": given(0, "m")}, {"shell": None},
                                         {"making": Making.POURED}, {"making": Making.BLOCK}])  # fmt: skip
    def test_where_no_shell_pieces_meet_on_a_brushed_blanket(self, changes: dict[str, object]) -> None:
        plan = make_plan(brief(**changes))
        assert plan.strip is None
        assert not {"strip_pour", "parting_strip"} & {task.key for task in plan.tasks}

    @pytest.mark.parametrize("side", ["strip_width_mm", "strip_height_mm"])
    @pytest.mark.parametrize("size", [0.0, -1.0, 201.0, float("nan")])
    def test_impossible_sides_are_refused(self, side: str, size: float) -> None:
        with pytest.raises(BadBrief):
            make_plan(brief(**{side: given(size, "mm")}))
