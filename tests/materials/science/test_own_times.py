"""What own timings say, and what they are not allowed to say."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from materials.science.errors import ImpossibleTimings, TooFewTimings
from materials.science.own_behaviour import OwnPoint, own_held, own_time
from materials.science.own_times import OwnTiming, fit_energy, middle_of
from tests.materials.science.test_behaviour import rubber

STATED = {"pot_life_min": 41.0, "reference_temp_c": 21.0, "lowest_cure_temp_c": 15.0}


def points(*pairs: tuple[float, float]) -> list[OwnPoint]:
    return [OwnPoint(temperature_c=celsius, value=minutes, told=f"cup {place}") for place, (celsius, minutes) in enumerate(pairs)]


class TestFitEnergy:
    def test_refuses_a_cure_that_warmth_slows(self) -> None:
        with pytest.raises(ImpossibleTimings, match="slowed by warmth"):
            fit_energy([OwnTiming(temperature_c=18, minutes=30), OwnTiming(temperature_c=25, minutes=35)])

    def test_refuses_temperatures_too_near_together(self) -> None:
        with pytest.raises(TooFewTimings, match="3 °C"):
            fit_energy([OwnTiming(temperature_c=20, minutes=40), OwnTiming(temperature_c=22.9, minutes=33)])

    @pytest.mark.parametrize("wrong", [(4.9, 40), (60.1, 5), (20, 0), (20, -3), (20, math.nan), (math.nan, 20)])
    def test_refuses_what_cannot_be_a_timing(self, wrong: tuple[float, float]) -> None:
        with pytest.raises(ImpossibleTimings):
            fit_energy([OwnTiming(temperature_c=30, minutes=20), OwnTiming(temperature_c=wrong[0], minutes=wrong[1])])

    def test_gives_no_error_for_a_line_through_two(self) -> None:
        fit = fit_energy([OwnTiming(temperature_c=18, minutes=50), OwnTiming(temperature_c=25, minutes=35)])
        assert (fit.energy_error_kj_mol, fit.scatter) == (None, None)

    @settings(max_examples=60)
    @given(
        st.lists(st.tuples(st.floats(5, 60), st.floats(0.5, 5000)), min_size=2, max_size=8),
        st.floats(0.1, 50),
    )
    def test_does_not_hang_on_the_unit_of_time(self, pairs: list[tuple[float, float]], factor: float) -> None:
        timings = [OwnTiming(temperature_c=c, minutes=m) for c, m in pairs]
        try:
            fit = fit_energy(timings)
        except (TooFewTimings, ImpossibleTimings):
            assume(False)
        other = fit_energy([OwnTiming(temperature_c=one.temperature_c, minutes=one.minutes * factor) for one in timings])
        assert fit.energy_kj_mol > 0
        assert other.energy_kj_mol == pytest.approx(fit.energy_kj_mol, rel=1e-6, abs=1e-6)


class TestMiddleOf:
    def test_is_not_moved_by_one_wild_value(self) -> None:
        assert middle_of([38, 40, 42, 41, 400]).value == pytest.approx(41)

    def test_marks_nothing_among_three(self) -> None:
        assert middle_of([38, 40, 400]).odd == ()

    def test_refuses_nothing_and_noughts(self) -> None:
        with pytest.raises(TooFewTimings):
            middle_of([])
        with pytest.raises(ImpossibleTimings):
            middle_of([4, 0])


class TestOwnTime:
    def test_at_one_temperature_is_moved_by_the_law_in_use(self) -> None:
        own = own_time(rubber(**STATED, q10=2.0), "pot_life_min", points((31, 20)))
        # Published rule: every 10 degC halves the time.
        assert own.value is not None
        assert own.value.value == pytest.approx(40)
        assert own.energy is None
        assert "3 °C" in own.said

    def test_at_several_temperatures_is_moved_by_its_own_energy(self) -> None:
        # Calculated: 30 min at 23 degC with 55 kJ/mol.
        cups = points((23, 30), (30, 17.91), (18, 44.03), (15, 55.78))
        own = own_time(rubber(**{**STATED, "reference_temp_c": 23.0}, q10=3.0), "pot_life_min", cups)
        assert own.energy_counts
        assert own.value is not None
        assert own.value.value == pytest.approx(30, rel=2e-3)
        assert own.apart is not None
        assert own.apart.value == pytest.approx(100 * (30 / 41 - 1), abs=0.2)

    def test_with_timings_that_contradict_a_cure_says_so_and_keeps_to_the_law_in_use(self) -> None:
        own = own_time(rubber(**STATED), "pot_life_min", points((18, 30), (21, 32), (28, 34)))
        assert own.energy is None
        assert not own.energy_counts
        assert "slowed by warmth" in own.said

    def test_that_scatters_does_not_plan_by_its_energy(self) -> None:
        own = own_time(rubber(**STATED), "pot_life_min", points((18, 40), (21, 55), (25, 30), (28, 38)))
        assert own.energy is not None
        assert not own.energy_counts
        assert "scatter too much" in own.said

    def test_leaves_out_what_was_timed_below_the_stall(self) -> None:
        own = own_time(rubber(**STATED), "pot_life_min", points((12, 300), (21, 40)))
        assert own.counts == (False, True)
        assert own.value is not None
        assert own.value.value == pytest.approx(40)

    def test_of_nothing_that_counts_is_no_value(self) -> None:
        own = own_time(rubber(**STATED), "pot_life_min", points((12, 300)))
        assert own.value is None
        assert "None of these timings" in own.said

    def test_without_a_reference_temperature_says_where_to_add_it(self) -> None:
        own = own_time(rubber(pot_life_min=40), "pot_life_min", points((21, 40)))
        assert own.value is None
        assert "no reference temperature" in own.said

    def test_marks_the_cup_that_lies_far_off(self) -> None:
        own = own_time(rubber(**STATED), "pot_life_min", points((12, 90), (21, 40), (21, 41), (21, 39), (21, 80)))
        assert own.odd == (False, False, False, False, True)

    def test_of_one_cup_is_no_surer_than_the_value_in_use(self) -> None:
        material = rubber(**STATED)
        wide = replace(material.need("pot_life_min"), low=20.5, high=61.5)
        own = own_time(
            replace(material, properties={**material.properties, "pot_life_min": wide}), "pot_life_min", points((21, 30))
        )
        assert own.value is not None
        # Calculated: half and one and a half of 30 min, as of the 41 in use.
        assert (own.value.low, own.value.high) == (pytest.approx(15), pytest.approx(45))

    def test_of_a_few_cups_spans_all_of_them(self) -> None:
        own = own_time(rubber(**STATED), "pot_life_min", points((21, 38), (21, 38), (21, 38), (21, 46)))
        assert own.value is not None
        assert (own.value.low, own.value.value, own.value.high) == (
            pytest.approx(38), pytest.approx(38), pytest.approx(46),
        )  # fmt: skip

    def test_opens_to_every_cup_and_every_key_is_its_own(self) -> None:
        own = own_time(rubber(**STATED), "pot_life_min", points((18, 50), (21, 40), (28, 25)))
        assert own.value is not None
        told = {item.label for item in own.value.given}
        assert {"cup 0", "cup 1", "cup 2"} <= told


class TestOwnHeld:
    def test_brings_cards_at_a_slope_upright(self) -> None:
        cards = [
            OwnPoint(temperature_c=21, value=6.0, told="card", slope_deg=30.0),
            OwnPoint(temperature_c=21, value=3.2, told="card"),
        ]
        own = own_held(rubber(held_thickness_mm=4), cards)
        assert own.value is not None
        # Exact: 6 x sin 30 deg is 3; the middle of 3 and 3.2 on a scale of ratios.
        assert own.value.value == pytest.approx(math.sqrt(3 * 3.2))
        assert (own.value.low, own.value.high) == (pytest.approx(3), pytest.approx(3.2))
