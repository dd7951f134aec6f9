"""The moving front of a moisture cure and the moisture of the air, against published depths and CoolProp."""

import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI

from materials.science.kinetics import ICE_POINT_K
from materials.science.moisture import (
    FRONT_FAST,
    FRONT_SLOW,
    depth_share,
    front_days,
    front_depth_mm,
    front_speed,
    saturation_pressure_pa,
    vapour_pressure_pa,
)


class TestFront:
    def test_of_a_published_depth(self) -> None:
        # Published: 7.5 mm in 7 days (Int. J. Adhesion & Adhesives 2021, quoting a data sheet); the rest calculated.
        speed = front_speed(depth_mm=7.5, days=7)
        assert speed == pytest.approx(2.834734, rel=1e-6)
        assert pytest.approx(speed) == FRONT_FAST.value
        assert front_depth_mm(speed=speed, days=1) == pytest.approx(2.83, abs=6e-3)
        assert front_days(speed=speed, depth_mm=4) == pytest.approx(1.991, abs=6e-4)
        assert front_days(speed=speed, depth_mm=10) == pytest.approx(12.44, abs=6e-3)

    @pytest.mark.parametrize(("depth_mm", "days"), [(3, 2.25), (4, 4), (6, 9)])
    def test_of_two_millimetres_a_day_is_not_linear(self, depth_mm: float, days: float) -> None:
        # Published: a distributor's 2 mm in the first 24 h; 6 mm are 9 days and not 3.
        assert front_days(speed=FRONT_SLOW.value, depth_mm=depth_mm) == pytest.approx(days)


class TestMoisture:
    @pytest.mark.parametrize(("temperature_c", "pressure_pa"), [(10, 1228.20), (18, 2064.73), (23, 2811.07), (30, 4246.97)])
    def test_saturation_pressure(self, temperature_c: float, pressure_pa: float) -> None:
        # Independent: seen from CoolProp 8.0.0; the two equations of water agree to 1 in 10 000.
        assert saturation_pressure_pa(temperature_c) == pytest.approx(pressure_pa, rel=1e-4)

    @pytest.mark.parametrize("temperature_c", [0.01, 5, 15, 40, 60])
    def test_saturation_pressure_agrees_with_the_library(self, temperature_c: float) -> None:
        # Independent: CoolProp's equation of state of water.
        found = PropsSI("P", "T", temperature_c + ICE_POINT_K, "Q", 0, "Water")
        assert saturation_pressure_pa(temperature_c) == pytest.approx(found, rel=1e-4)

    def test_water_in_the_air_agrees_with_the_library(self) -> None:
        # Independent: CoolProp's humid air: 0.0087858153 kg of water to 1 kg of dry air at 23 degC and 50 %. An ideal gas
        # holds 0.4 % less.
        held = HAPropsSI("W", "T", 296.15, "P", 101325, "R", 0.5)
        assert held == pytest.approx(0.0087858153, rel=1e-6)
        vapour = vapour_pressure_pa(temperature_c=23, humidity_percent=50)
        assert 0.621945 * vapour / (101325 - vapour) == pytest.approx(held, rel=5e-3)

    def test_dry_air_cures_less_deep(self) -> None:
        # Calculated: 20 % against 50 % at 23 degC.
        assert depth_share(temperature_c=23, humidity_percent=20) == pytest.approx(0.632456, abs=6e-7)
