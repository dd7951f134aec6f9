"""Curves end where the material is not known to cure, and hold to the figures that plans use."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from materials.properties import PROPERTIES, Chemistry, MaterialKind, MixBasis
from materials.science.behaviour import held_curve, held_on_slope, time_curve
from materials.science.errors import BadThickness, MissingProperty, TemperatureOutOfRange
from materials.science.kinetics import time_at
from materials.science.material import MaterialSpec
from studio.figures import Given

TIMES = {"pot_life_min": 40.0, "reference_temp_c": 23.0}


def rubber(**values: float) -> MaterialSpec:
    given_values = {
        key: Given(label=PROPERTIES[key].label, value=value, unit=PROPERTIES[key].unit) for key, value in values.items()
    }
    return MaterialSpec(
        key=1, name="Grey twenty", kind=MaterialKind.RUBBER, chemistry=Chemistry.PLATINUM_SILICONE, family="",
        mix_basis=MixBasis.BY_WEIGHT, properties=given_values,
    )  # fmt: skip


class TestTimeCurve:
    def test_begins_at_the_lowest_curing_temperature(self) -> None:
        curve = time_curve(rubber(**TIMES, lowest_cure_temp_c=17.5), "pot_life_min")
        assert curve.points[0].at == 17.5
        assert curve.points[-1].at == 40
        assert curve.temperatures_c == (17.5, 20, 25, 30, 35, 40)

    def test_begins_at_five_degrees_where_it_cures_in_any_cold(self) -> None:
        curve = time_curve(rubber(**TIMES, lowest_cure_temp_c=-5), "pot_life_min")
        assert curve.points[0].at == 5

    def test_begins_at_fifteen_where_nothing_is_stated(self) -> None:
        # Published: two dealers: may not cure below 15 degC.
        assert time_curve(rubber(**TIMES), "pot_life_min").points[0].at == 15

    def test_passes_through_what_is_stated(self) -> None:
        point = next(point for point in time_curve(rubber(**TIMES), "pot_life_min").points if point.at == 23)
        assert point.value == pytest.approx(40)

    def test_opens_to_figures_with_their_own_keys(self) -> None:
        table = time_curve(rubber(**TIMES, lowest_cure_temp_c=17.5), "pot_life_min").table
        assert len({figure.key for figure in table}) == len(table)
        assert all(figure.formula and figure.given for figure in table)

    @pytest.mark.parametrize("lacking", ["pot_life_min", "reference_temp_c"])
    def test_says_what_is_missing(self, lacking: str) -> None:
        with pytest.raises(MissingProperty, match="Add it on the material's page"):
            time_curve(rubber(**{key: value for key, value in TIMES.items() if key != lacking}), "pot_life_min")

    def test_does_not_go_beyond_where_the_laws_were_measured(self) -> None:
        with pytest.raises(TemperatureOutOfRange):
            time_curve(rubber(**TIMES), "pot_life_min", to_c=61)

    @settings(max_examples=40)
    @given(energy=st.floats(5, 150), stall=st.floats(-10, 40))
    def test_falls_with_warmth_inside_its_range_and_agrees_with_plans(self, energy: float, stall: float) -> None:
        material = rubber(**TIMES, activation_energy_kj_mol=energy, lowest_cure_temp_c=stall)
        points = time_curve(material, "pot_life_min").points
        assert all(earlier.value >= later.value for earlier, later in pairwise(points))
        assert all(point.low <= point.value <= point.high and point.at >= stall for point in points)
        here = time_at(material, "pot_life_min", Given(label="Room", value=points[-1].at, unit="degC"))
        assert points[-1].value == here.value


class TestHeldCurve:
    def test_holds_more_on_flatter_walls(self) -> None:
        curve = held_curve(rubber(held_thickness_mm=3, density_kg_m3=1100))
        assert curve.points[-1].value == 3
        # Exact: sin 30 deg is one half.
        assert next(figure.value for figure in curve.table if figure.key == "held_at_30") == pytest.approx(6)
        assert curve.stress is not None
        # Calculated: 1100 x 9.80665 x 0.003.
        assert curve.stress.value == pytest.approx(32.36, abs=0.01)

    def test_says_what_is_missing(self) -> None:
        with pytest.raises(MissingProperty, match="held thickness"):
            held_curve(rubber(density_kg_m3=1100))

    @pytest.mark.parametrize("slope", [0, 9.9, 90.1, float("nan")])
    def test_refuses_slopes_that_hold_anything_or_are_none(self, slope: float) -> None:
        with pytest.raises(BadThickness, match="10 to 90°"):
            held_on_slope(upright_mm=3, slope_deg=slope)
