"""Refusals and rules of moisture, post-cure, doses, cups and films."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from materials.properties import Chemistry, MixBasis
from materials.science.dosing import DOSE_TOLERANCE, THICKENER_DOSE, Thickening, check_dose, dose_g
from materials.science.errors import (
    BadMixRatio,
    BadMoisture,
    BadPostCure,
    BadThickness,
    DoseOutOfTolerance,
)
from materials.science.mixing import cup_loss_share, kit_use, kit_use_overdosed
from materials.science.moisture import (
    check_moisture_cure,
    depth_share,
    dry_air_slows,
    front_days,
    front_depth_mm,
    front_speed,
    saturation_pressure_pa,
    vapour_pressure_pa,
)
from materials.science.postcure import check_post_cure, post_cure
from materials.science.sag import film_left_mm, unevenness_of_coats
from tests.jobs.planning.builders import rubber


class TestMoisture:
    @pytest.mark.parametrize(
        "refused",
        [
            lambda: front_speed(depth_mm=0, days=1),
            lambda: front_depth_mm(speed=2, days=61),
            lambda: front_days(speed=2, depth_mm=20),
            lambda: saturation_pressure_pa(-1),
            lambda: saturation_pressure_pa(float("nan")),
            lambda: vapour_pressure_pa(temperature_c=20, humidity_percent=101),
            lambda: depth_share(temperature_c=20, humidity_percent=50, stated_humidity_percent=0),
        ],
    )
    def test_refuses_the_impossible(self, refused: Callable[[], float]) -> None:
        with pytest.raises(BadMoisture):
            refused()

    def test_the_front_is_not_for_two_part_rubber(self) -> None:
        check_moisture_cure(replace(rubber(), mix_basis=MixBasis.ONE_PART))
        for other in (rubber(), replace(rubber(Chemistry.PLATINUM_SILICONE), mix_basis=MixBasis.ONE_PART)):
            with pytest.raises(BadMoisture, match="stated times"):
                check_moisture_cure(other)

    def test_dry_air_only_slows_tin(self) -> None:
        assert dry_air_slows(rubber(), 25)
        assert not dry_air_slows(rubber(), 30)
        assert not dry_air_slows(rubber(Chemistry.PLATINUM_SILICONE), 25)

    @drawn(st.floats(0.1, 5), st.floats(1.5, 4))
    def test_twice_the_depth_takes_four_times_as_long(self, depth: float, speed: float) -> None:
        assert front_days(speed=speed, depth_mm=2 * depth) == pytest.approx(4 * front_days(speed=speed, depth_mm=depth))


class TestPostCure:
    def test_of_platinum_and_tin(self) -> None:
        # Common practice: 2 to 4 h at 60 to 80 degC; tin no warmer than 50 to 60 degC.
        platinum, tin = post_cure(Chemistry.PLATINUM_SILICONE), post_cure(Chemistry.TIN_SILICONE)
        assert platinum is not None
        assert platinum.hours is not None
        assert (platinum.temperature.low, platinum.temperature.high, platinum.hours.low, platinum.hours.high) == (60, 80, 2, 4)
        assert tin is not None
        assert (tin.temperature.value, tin.temperature.high, tin.hours) == (50, 60, None)
        assert post_cure(Chemistry.POLYURETHANE) is None

    @pytest.mark.parametrize(
        ("chemistry", "temperature", "cured", "words"),
        [
            (Chemistry.POLYURETHANE, 50, 1, "No post-cure"),
            (Chemistry.TIN_SILICONE, 61, 1, "140 °F"),
            (Chemistry.PLATINUM_SILICONE, float("nan"), 1, "80 °C"),
            (Chemistry.PLATINUM_SILICONE, 70, 0.9, "temperature of use first"),
        ],
    )
    def test_refuses_harm(self, chemistry: Chemistry, temperature: float, cured: float, words: str) -> None:
        with pytest.raises(BadPostCure, match=words):
            check_post_cure(chemistry, temperature_c=temperature, cured_share=cured)

    def test_allows_what_is_usual(self) -> None:
        check_post_cure(Chemistry.PLATINUM_SILICONE, temperature_c=80, cured_share=1)
        check_post_cure(Chemistry.TIN_SILICONE, temperature_c=60, cured_share=2)


class TestDoses:
    def test_a_tin_dose_may_stray_by_a_fifth(self) -> None:
        # Published: a sealant maker's +-20 % of the nominal B.
        assert check_dose(Chemistry.TIN_SILICONE, wanted_b_g=100, weighed_b_g=120).value == pytest.approx(20)
        assert check_dose(Chemistry.TIN_SILICONE, wanted_b_g=100, weighed_b_g=80).value == pytest.approx(-20)
        with pytest.raises(DoseOutOfTolerance, match=r"21 % too much.*Add A"):
            check_dose(Chemistry.TIN_SILICONE, wanted_b_g=100, weighed_b_g=121)
        with pytest.raises(DoseOutOfTolerance, match=r"too little.*rest of B"):
            check_dose(Chemistry.TIN_SILICONE, wanted_b_g=100, weighed_b_g=79)

    def test_platinum_bears_less_and_polyester_is_not_known(self) -> None:
        assert DOSE_TOLERANCE[Chemistry.PLATINUM_SILICONE].high == 5
        with pytest.raises(DoseOutOfTolerance):
            check_dose(Chemistry.PLATINUM_SILICONE, wanted_b_g=100, weighed_b_g=106)
        with pytest.raises(DoseOutOfTolerance, match="not known"):
            check_dose(Chemistry.POLYESTER, wanted_b_g=100, weighed_b_g=100)
        with pytest.raises(BadMixRatio):
            check_dose(Chemistry.TIN_SILICONE, wanted_b_g=0, weighed_b_g=1)

    def test_five_percent_of_the_mix_is_not_five_percent_on_the_base(self) -> None:
        # Calculated: 50 g of B in place of 47.619 g are 5 % too much: tin bears it.
        assert check_dose(Chemistry.TIN_SILICONE, wanted_b_g=47.619, weighed_b_g=50).value == pytest.approx(5, abs=1e-2)

    def test_thickener(self) -> None:
        # Exact: 2 % of 800 g.
        assert dose_g(base_g=800, percent=2, kind=Thickening.BRUSHED) == pytest.approx(16)
        for kind in Thickening:
            dose = THICKENER_DOSE[kind]
            assert dose.low is not None
            assert dose.high is not None
            assert dose.low < dose.value < dose.high
            with pytest.raises(DoseOutOfTolerance, match="tear strength"):
                dose_g(base_g=800, percent=dose.high + 0.1, kind=kind)


class TestCupsAndFilms:
    def test_a_cup_that_keeps_everything_is_refused(self) -> None:
        with pytest.raises(BadMixRatio, match="smaller cup"):
            cup_loss_share(mix_g=40, diameter_mm=120, filled_mm=80, film_mm=1, density_kg_m3=1120)

    def test_without_overdosing_a_kit_strands_nothing(self) -> None:
        stock = {"stock_a_g": 10000.0, "stock_b_g": 1000.0, "parts_a": 10.0, "parts_b": 1.0}
        assert kit_use_overdosed(**stock, overdose_percent=0) == kit_use(**stock)
        with pytest.raises(BadMixRatio):
            kit_use_overdosed(**stock, overdose_percent=21)

    def test_a_wall_keeps_more_lower_down(self) -> None:
        high, low = (film_left_mm(below_top_m=depth, viscosity_pa_s=30, minutes=30, density_kg_m3=1100) for depth in (0.1, 0.4))
        assert low == pytest.approx(2 * high)

    @pytest.mark.parametrize(("variation", "coats"), [(-0.1, 4), (0.2, 0)])
    def test_unevenness_refuses_the_impossible(self, variation: float, coats: int) -> None:
        with pytest.raises(BadThickness):
            unevenness_of_coats(variation=variation, coats=coats)
