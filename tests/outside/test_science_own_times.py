"""Own timings and curves against published times, scipy's regression and statistics, and tables."""

import math

import pytest
from scipy import stats
from scipy.constants import R

from materials.science.behaviour import held_on_slope, stretch, upright_from_slope
from materials.science.own_times import MAD_TO_SIGMA, OwnTiming, fit_energy, middle_of
from studio.figures import Given

# Published: IADR 86th General Session 2008, abstract 3193 (Carlo et al.): seconds at 15, 25 and 35 degC.
ADDITION = ((15, 160), (25, 135), (35, 44.6))
CONDENSATION = ((15, 331), (25, 216.6), (35, 96.3))
ADDITION_SETTING = ((25, 574.3), (35, 309))
CONDENSATION_SETTING = ((25, 834.6), (35, 712.3))


def timings(points: tuple[tuple[float, float], ...]) -> list[OwnTiming]:
    return [OwnTiming(temperature_c=celsius, minutes=seconds / 60) for celsius, seconds in points]


class TestFitEnergy:
    @pytest.mark.parametrize(
        ("points", "energy"),
        [
            ((ADDITION[0], ADDITION[2]), 47.2),
            (ADDITION[:2], 12.1),
            (ADDITION[1:], 84.6),
            ((CONDENSATION[0], CONDENSATION[2]), 45.6),
            (CONDENSATION[:2], 30.3),
            (CONDENSATION[1:], 61.9),
            (ADDITION_SETTING, 47.3),
            (CONDENSATION_SETTING, 12.1),
        ],
    )
    def test_of_published_times_of_two_silicones(self, points: tuple[tuple[float, float], ...], energy: float) -> None:
        # Published times; energies calculated from them by hand, to a tenth.
        assert fit_energy(timings(points)).energy_kj_mol == pytest.approx(energy, abs=0.06)

    @pytest.mark.parametrize(
        "points",
        [ADDITION, CONDENSATION, ((18, 2900), (18, 2740), (21, 2400), (24.5, 1830), (29, 1490), (29, 1400), (33, 1110))],
    )
    def test_agrees_with_an_independent_regression(self, points: tuple[tuple[float, float], ...]) -> None:
        # Independent: scipy.stats.linregress on ln(time) against 1/T, with its own standard error.
        fit = fit_energy(timings(points))
        line = stats.linregress([1 / (c + 273.15) for c, _ in points], [math.log(s / 60) for _, s in points])
        assert fit.energy_kj_mol == pytest.approx(line.slope * R / 1000, rel=1e-9)
        assert fit.energy_error_kj_mol == pytest.approx(line.stderr * R / 1000, rel=1e-7)
        left = [math.log(s / 60) - line.intercept - line.slope / (c + 273.15) for c, s in points]
        assert fit.scatter == pytest.approx(math.sqrt(sum(one * one for one in left) / (len(points) - 2)), rel=1e-7)
        assert fit.minutes_at(23) == pytest.approx(math.exp(line.intercept + line.slope / 296.15), rel=1e-9)

    def test_finds_the_energy_that_exact_times_were_made_with(self) -> None:
        # Calculated: 30 min at 23 degC, Ea 55: 17.91 at 30, 44.03 at 18, 55.78 at 15 degC.
        fit = fit_energy([OwnTiming(temperature_c=c, minutes=m) for c, m in ((23, 30), (30, 17.91), (18, 44.03), (15, 55.78))])
        assert fit.energy_kj_mol == pytest.approx(55, rel=1e-3)
        assert fit.scatter == pytest.approx(0, abs=5e-4)


class TestStretch:
    @pytest.mark.parametrize(("energy", "speed_up"), [(20, 1.311), (50, 1.967), (90, 3.381)])
    def test_gives_the_table_of_speed_ups(self, energy: float, speed_up: float) -> None:
        # Calculated table, 20 to 30 degC.
        law = Given(label="Activation energy", value=energy, unit="kJ/mol")
        assert 1 / stretch(law=law, strength=energy, from_c=20, to_c=30) == pytest.approx(speed_up, abs=6e-4)

    def test_halves_a_time_each_ten_degrees_by_a_speed_up_of_two(self) -> None:
        # Published rule of two epoxy suppliers.
        law = Given(label="Speed-up", value=2, unit="1")
        assert stretch(law=law, strength=2, from_c=15, to_c=35) == pytest.approx(0.25)


class TestMiddleOf:
    def test_is_the_median_with_a_robust_deviation(self) -> None:
        # Independent: scipy's median deviation, scaled to normal scatter; its scale is 1 / Phi^-1(3/4).
        values = [38.0, 41.0, 39.5, 36.0, 95.0]
        logs = [math.log(value) for value in values]
        middle = middle_of(values)
        assert middle.value == pytest.approx(39.5)
        assert middle.factor == pytest.approx(math.exp(stats.median_abs_deviation(logs, scale="normal")), rel=1e-9)
        assert pytest.approx(1 / stats.norm.ppf(0.75), rel=1e-12) == MAD_TO_SIGMA
        assert middle.odd == (4,)


class TestSlopes:
    def test_hold_as_much_as_the_handbook_says(self) -> None:
        # Calculated after Mezger, The Rheology Handbook, 3.3.4.2.12d: 40 Pa at 1100 kg/m3 hold 3.708 mm upright, 5.244 at 45 deg.
        assert held_on_slope(upright_mm=3.708, slope_deg=45) == pytest.approx(5.244, abs=1e-3)
        assert upright_from_slope(held_mm=5.244, slope_deg=45) == pytest.approx(3.708, abs=1e-3)
