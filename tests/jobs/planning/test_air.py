"""How air gets out of the rubber at the face."""

from typing import Any

import pytest

from jobs.planning.advice.air import air_remarks, plan_air
from jobs.planning.brief import Deairing, Making
from jobs.planning.plan import make_plan
from jobs.planning.results import AirPlan, MoldPlan
from jobs.planning.rubber.laying import plan_laying
from jobs.planning.rubber.mix_minutes import air_minutes_per_mix
from materials.science.errors import PotLifeTooShort, ScienceError
from studio.workrates import default_rates
from tests.jobs.planning.builders import brief, given, rubber

THIN = rubber(viscosity_pa_s=20.0)


def air(**changes: Any) -> AirPlan:
    made = brief(**{"rubber": THIN} | changes)
    return plan_air(made, plan_laying(made).coats)


def said(**changes: Any) -> dict[str, str]:
    made = brief(**{"rubber": THIN} | changes)
    coats = plan_laying(made).coats
    return {remark.key: remark.tone for remark in air_remarks(plan_air(made, coats), coats)}


def rates(**values: float) -> dict[str, Any]:
    return {"rates": {**default_rates(), **{key: given(value) for key, value in values.items()}}}


class TestBrushed:
    def test_takes_a_thin_first_coat(self) -> None:
        found = air()
        assert (found.way, found.suggested) == (Deairing.THIN, Deairing.THIN)
        assert found.smallest_leaving is not None
        assert found.foam is None
        assert found.minutes is None

    def test_thinner_lets_smaller_bubbles_out(self) -> None:
        thick, thin = air(print_coat_mm=given(1, "mm")).smallest_leaving, air(print_coat_mm=given(0.25, "mm")).smallest_leaving
        assert thick is not None
        assert thin is not None
        assert thin.value == pytest.approx(thick.value / 2)

    def test_a_coat_that_clears_lets_bubbles_of_that_size_out(self) -> None:
        # The two figures are inverse: a coat as thick as clears lets out bubbles of 0.4 mm and no smaller.
        clears = air().clears
        assert clears is not None
        found = air(print_coat_mm=given(clears.value, "mm")).smallest_leaving
        assert found is not None
        assert found.value == pytest.approx(0.4)

    def test_a_thick_print_coat_is_pointed_out(self) -> None:
        assert said(print_coat_mm=given(1.2, "mm")) == {"print_thick": "look"}
        assert said() == {}

    def test_thickened_holds_its_bubbles(self) -> None:
        found = air(thicken_print_coat=True)
        assert found.smallest_leaving is None
        assert found.reasons[0].tone == "stop"
        assert found.reasons[0].figures[0].value > 10
        assert "print_thickened" in said(thicken_print_coat=True)

    def test_without_viscosity_nothing_is_claimed(self) -> None:
        found = air(rubber=rubber())
        assert found.smallest_leaving is None
        assert found.clears is None

    def test_bubbles_that_show_are_said(self) -> None:
        found = air(rubber=rubber(viscosity_pa_s=200.0, pot_life_min=10.0))
        assert found.smallest_leaving is not None
        assert found.smallest_leaving.value > 0.4
        assert any(reason.tone == "look" for reason in found.reasons)


class TestVacuum:
    def test_foam_and_container_of_the_largest_mix(self) -> None:
        # 3.1 kPa of 101.325 kPa: air grows 32.69 times; 5 % of it foams to 2.584 times; the container is 4 times the mix.
        found = air(deairing=Deairing.VACUUM)
        assert found.foam is not None
        assert found.container is not None
        assert found.foam.value == pytest.approx(0.95 + 0.05 * 101.325 / 3.1)
        first = plan_laying(brief(rubber=THIN, deairing=Deairing.VACUUM)).coats[0]
        assert found.container.value == pytest.approx(4 * max(mix.mass.value for mix in first.mixes) / 1100)

    def test_counts_the_mixes_that_are_not_thickened(self) -> None:
        found = air(deairing=Deairing.VACUUM)
        first = plan_laying(brief(rubber=THIN, deairing=Deairing.VACUUM)).coats[0]
        assert found.minutes is not None
        assert found.minutes.value == 5 * len(first.mixes)

    def test_too_weak_a_pump_stops(self) -> None:
        assert "stop" in said(deairing=Deairing.VACUUM, **rates(vacuum_abs_kpa=9.9)).values()
        assert "stop" not in said(deairing=Deairing.VACUUM).values()

    def test_the_gauge_reads_less_in_the_mountains(self) -> None:
        def gauge(altitude_m: float) -> float:
            found = air(deairing=Deairing.VACUUM, **rates(altitude_m=altitude_m))
            return next(f.value for r in found.reasons for f in r.figures if f.key == "vacuum_gauge")

        assert gauge(1500) == pytest.approx(84.559677 - 3.1, abs=1e-4)  # published: standard atmosphere 1976
        assert gauge(1500) < gauge(0)

    def test_a_quick_rubber_sets_in_the_chamber(self) -> None:
        # 0.85 x 10 min is less than 4 of mixing and 5 of vacuum; of 0.85 x 20 min they take more than half.
        with pytest.raises(PotLifeTooShort):
            air(deairing=Deairing.VACUUM, rubber=rubber(viscosity_pa_s=20.0, pot_life_min=10.0))
        quick = air(deairing=Deairing.VACUUM, rubber=rubber(viscosity_pa_s=20.0, pot_life_min=20.0))
        assert any("mixes get small" in reason.text for reason in quick.reasons)
        assert not any("mixes get small" in reason.text for reason in air(deairing=Deairing.VACUUM).reasons)

    def test_a_thickened_print_coat_is_not_freed(self) -> None:
        assert "stop" in said(deairing=Deairing.VACUUM, thicken_print_coat=True).values()

    def test_an_impossible_pressure_is_named_only_where_it_counts(self) -> None:
        with pytest.raises(ScienceError):
            air(deairing=Deairing.VACUUM, **rates(vacuum_abs_kpa=150))
        assert air(**rates(vacuum_abs_kpa=150)).way is Deairing.THIN


class TestMinutesPerMix:
    def test_only_under_vacuum(self) -> None:
        assert air_minutes_per_mix(brief()) is None
        found = air_minutes_per_mix(brief(deairing=Deairing.VACUUM))
        assert found is not None
        assert found.value == 5

    def test_take_hands_and_pot_life_of_the_print_coat_alone(self) -> None:
        plain, drawn = (plan_laying(brief(rubber=THIN, deairing=way)).coats for way in (None, Deairing.VACUUM))
        # 0.85 x 30 min less 4 of mixing, and less 5 more under vacuum.
        assert drawn[0].mix_cap.value / plain[0].mix_cap.value == pytest.approx((25.5 - 9) / (25.5 - 4))
        more = drawn[0].minutes.value - plain[0].minutes.value
        assert more == pytest.approx(5 * len(drawn[0].mixes) + 6 * (len(drawn[0].mixes) - len(plain[0].mixes)))
        assert [coat.minutes.value for coat in drawn[1:]] == [coat.minutes.value for coat in plain[1:]]


class TestPours:
    @pytest.mark.parametrize("making", [Making.POURED, Making.BLOCK])
    def test_take_vacuum_for_thick_rubber_and_a_high_stream_for_thin(self, making: Making) -> None:
        thick, thin = (make_plan(brief(making=making, rubber=rubber(viscosity_pa_s=pa_s))).air for pa_s in (30.0, 5.0))
        assert thick is not None
        assert thin is not None
        assert (thick.way, thin.way) == (Deairing.VACUUM, Deairing.NONE)
        assert all(any("thin stream" in reason.text for reason in found.reasons) for found in (thick, thin))

    def test_bubbles_rise_through_all_of_it(self) -> None:
        # d grows with the root of the depth: 0.8 mm of print coat against 500 mm of a pour.
        thin = rubber(viscosity_pa_s=10.0)
        coat, pour = air(rubber=thin).smallest_leaving, air(rubber=thin, making=Making.BLOCK).smallest_leaving
        assert coat is not None
        assert pour is not None
        assert pour.value / coat.value == pytest.approx((500 / 0.8) ** 0.5)

    def test_nothing_is_told_of_bubbles_beyond_the_law(self) -> None:
        # The law of slow bubbles is only asked for round ones, up to 5 mm.
        found = air(rubber=rubber(viscosity_pa_s=40.0), making=Making.BLOCK).smallest_leaving
        assert found is not None
        assert found.value == 5
        assert found.label.startswith("Even a bubble")

    def test_pour_high_where_the_rubber_is_quick(self) -> None:
        made = make_plan(brief(making=Making.POURED, rubber=rubber(viscosity_pa_s=30.0, pot_life_min=15.0)))
        assert made.air is not None
        assert made.air.way is Deairing.NONE
        assert any("too short for vacuum" in reason.text for reason in made.air.reasons)

    def test_pour_high_where_the_pump_is_weak(self) -> None:
        made = brief(making=Making.POURED, rubber=rubber(viscosity_pa_s=30.0), **rates(vacuum_abs_kpa=9.9))
        assert air_minutes_per_mix(made) is None

    def test_nothing_against_the_advice_is_pointed_out(self) -> None:
        made = brief(making=Making.POURED, rubber=rubber(viscosity_pa_s=30.0), deairing=Deairing.NONE)
        assert "air_none" in {remark.key for remark in make_plan(made).remarks}


class TestPlan:
    def test_figures_of_all_advice_are_unique(self) -> None:
        made = make_plan(brief(rubber=THIN, deairing=Deairing.VACUUM, key_spacing_mm=given(100, "mm")))
        assert made.air is not None
        assert made.wall_advice is not None
        assert made.stand is not None
        assert made.gauges is not None
        air_figures = (made.air.smallest_leaving, made.air.clears, made.air.foam, made.air.container, made.air.minutes)
        stand = made.stand
        figures = [
            *(f for f in air_figures if f), made.wall_advice.advised, made.wall_advice.mean, made.gauges.count,
            made.gauges.height, made.gauges.mass, stand.keys, stand.key_spacing, stand.key_mass, stand.key_mixed, stand.tallest,
        ]  # fmt: skip
        assert len({figure.key for figure in figures}) == len(figures)


class TestCaution:
    def test_of_the_chamber_stands_wherever_it_is_used(self) -> None:
        thick = rubber(viscosity_pa_s=30.0)
        for changes, used in (
            ({"deairing": Deairing.VACUUM, "rubber": THIN}, True),
            ({"making": Making.POURED, "rubber": thick}, True),
            ({"making": Making.POURED, "rubber": thick, "deairing": Deairing.NONE}, False),
            ({"rubber": THIN}, False),
        ):
            made = make_plan(brief(**changes))
            assert ("vacuum" in {caution.key for caution in made.cautions.blanket}) is used
            assert ("vacuum" in _of(made, "coat_1")) is used


def _of(made: MoldPlan, key: str) -> set[str]:
    return {caution.key for task in made.tasks if task.key == key for caution in task.cautions}
