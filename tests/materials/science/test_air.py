"""Refusals of the laws of bubbles and vacuum."""

from collections.abc import Callable

import pytest

from materials.science.bubbles import flowing_minutes, held_bubble_mm, rise_speed_m_s, smallest_leaving_mm
from materials.science.errors import BadBubble, BadVacuum
from materials.science.vacuum import (
    absolute_pressure_pa,
    container_l,
    expansion,
    foam_factor,
    gauge_for_absolute_pa,
    lid_load_n,
    pressed_diameter_ratio,
    pressure_at_altitude_pa,
)


class TestBubbles:
    @pytest.mark.parametrize(("bubble_mm", "viscosity"), [(0, 20), (1, 0), (float("nan"), 20), (6, 20), (5, 0.1)])
    def test_refuse_what_the_law_does_not_cover(self, bubble_mm: float, viscosity: float) -> None:
        with pytest.raises(BadBubble):
            rise_speed_m_s(bubble_mm=bubble_mm, viscosity_pa_s=viscosity, density_kg_m3=1100)

    def test_a_mix_that_hardly_thickens_keeps_its_time(self) -> None:
        assert flowing_minutes(minutes=20, doubling_min=1e9) == pytest.approx(20)
        with pytest.raises(BadBubble, match="doubles"):
            flowing_minutes(minutes=20, doubling_min=0)

    def test_a_thin_layer_lets_smaller_bubbles_go(self) -> None:
        thin, thick = (
            smallest_leaving_mm(layer_mm=layer, viscosity_pa_s=20, minutes=20, density_kg_m3=1100) for layer in (0.5, 2)
        )
        assert thick == pytest.approx(2 * thin)

    def test_plain_rubber_holds_none(self) -> None:
        assert held_bubble_mm(yield_stress_pa=0, density_kg_m3=1100) == 0
        with pytest.raises(BadBubble):
            held_bubble_mm(yield_stress_pa=-1, density_kg_m3=1100)


class TestVacuum:
    @pytest.mark.parametrize(
        "refused",
        [
            lambda: pressure_at_altitude_pa(9000),
            lambda: pressure_at_altitude_pa(float("nan")),
            lambda: absolute_pressure_pa(gauge_pa=-1),
            lambda: absolute_pressure_pa(gauge_pa=101325),
            lambda: absolute_pressure_pa(gauge_pa=1000, atmosphere_pa=200_000),
            lambda: expansion(absolute_pa=50),
            lambda: expansion(absolute_pa=101_326),
            lambda: foam_factor(air_share=0.6, expanded=30),
            lambda: foam_factor(air_share=0.05, expanded=0.5),
            lambda: container_l(liquid_l=0),
            lambda: lid_load_n(diameter_mm=0),
            lambda: pressed_diameter_ratio(gauge_pa=2e6),
        ],
    )
    def test_refuses_the_impossible(self, refused: Callable[[], float]) -> None:
        with pytest.raises(BadVacuum):
            refused()

    def test_gauge_and_absolute_turn_into_each_other(self) -> None:
        for altitude in (0, 1500):
            air = pressure_at_altitude_pa(altitude)
            gauge = gauge_for_absolute_pa(absolute_pa=5000, atmosphere_pa=air)
            assert absolute_pressure_pa(gauge_pa=gauge, atmosphere_pa=air) == pytest.approx(5000)
