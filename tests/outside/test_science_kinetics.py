"""Temperature and time against tables, measured times and an independent integration."""

import pytest
from scipy.constants import R
from scipy.integrate import quad

from materials.science.kinetics import (
    GAS_CONSTANT_J_MOL_K,
    arrhenius_factor,
    energy_from_q10,
    energy_from_times,
    equivalent_age_h,
    q10_factor,
    q10_from_energy,
)


class TestArrhenius:
    def test_gas_constant_is_codata(self) -> None:
        # Independent: scipy's CODATA value.
        assert pytest.approx(R, rel=1e-9) == GAS_CONSTANT_J_MOL_K

    @pytest.mark.parametrize(("to_c", "expected_min"), [(30, 17.91), (18, 44.03), (15, 55.78), (10, 83.66)])
    def test_moves_half_an_hour_at_23(self, to_c: float, expected_min: float) -> None:
        # Calculated: Ea 55 kJ/mol; rel 1e-3 because the table is rounded.
        moved = 30 * arrhenius_factor(from_c=23, to_c=to_c, activation_energy_kj_mol=55)
        assert moved == pytest.approx(expected_min, rel=1e-3)

    @pytest.mark.parametrize(
        ("energy", "expected"),
        [(20, 1.311), (30, 1.501), (40, 1.718), (50, 1.967), (60, 2.252), (70, 2.579), (80, 2.953), (90, 3.381)],
    )
    def test_gives_the_table_of_speed_ups(self, energy: float, expected: float) -> None:
        # Calculated table, 20 to 30 degC, printed to three decimals.
        assert q10_from_energy(activation_energy_kj_mol=energy, at_c=20) == pytest.approx(expected, abs=6e-4)

    def test_encapsulant_of_published_cure_times(self) -> None:
        # From memory: a maker's data sheet: 48 h at 25, 45 min at 100, 20 min at 125, 10 min at 150 degC.
        assert energy_from_times(time_cold=48 * 60, cold_c=25, time_warm=45, warm_c=100) == pytest.approx(51.3, abs=0.05)
        assert energy_from_times(time_cold=45, cold_c=100, time_warm=20, warm_c=125) == pytest.approx(40.1, abs=0.05)
        assert energy_from_times(time_cold=20, cold_c=125, time_warm=10, warm_c=150) == pytest.approx(38.8, abs=0.05)

    def test_silicone_on_the_rheometer(self) -> None:
        # Published: IADR 86th General Session 2008, abstract 3193: working time 160, 135, 44.6 s at 15, 25, 35 degC.
        assert energy_from_times(time_cold=160, cold_c=15, time_warm=135, warm_c=25) == pytest.approx(12.1, abs=0.05)
        assert energy_from_times(time_cold=135, cold_c=25, time_warm=44.6, warm_c=35) == pytest.approx(84.6, abs=0.05)


class TestQ10:
    @pytest.mark.parametrize(("to_c", "expected_min"), [(30, 18.47), (18, 42.43), (15, 52.23), (10, 73.87)])
    def test_moves_half_an_hour_at_23(self, to_c: float, expected_min: float) -> None:
        # Published rule: two epoxy suppliers, every 10 degC halves the time; values calculated.
        assert 30 * q10_factor(from_c=23, to_c=to_c, q10=2) == pytest.approx(expected_min, rel=1e-3)

    @pytest.mark.parametrize(("at_c", "energy"), [(20, 51.2162), (23, 52.2523), (15, 49.5123)])
    def test_of_two_is_an_energy(self, at_c: float, energy: float) -> None:
        # Calculated: Ea = R ln 2 / (1/T - 1/(T + 10)).
        assert energy_from_q10(q10=2, at_c=at_c) == pytest.approx(energy, rel=1e-6)


class TestEquivalentAge:
    def test_of_a_cold_night(self) -> None:
        # Calculated, after ASTM C1074's idea: 8 h at 23 and 12 h at 15 degC, Ea 55, reference 23.
        age = equivalent_age_h(stretches=[(8, 23), (12, 15)], reference_c=23, activation_energy_kj_mol=55)
        assert age == pytest.approx(14.454444, rel=1e-6)

    def test_agrees_with_an_integral_over_a_falling_temperature(self) -> None:
        # Independent: scipy's quadrature over a room that cools evenly from 23 to 15 degC in 10 h.
        def speed(hour: float) -> float:
            return 1 / arrhenius_factor(from_c=23, to_c=23 - 0.8 * hour, activation_energy_kj_mol=55)

        steps = [(0.01, 23 - 0.8 * (0.01 * i + 0.005)) for i in range(1000)]
        age = equivalent_age_h(stretches=steps, reference_c=23, activation_energy_kj_mol=55)
        assert age == pytest.approx(quad(speed, 0, 10)[0], rel=1e-6)

    @pytest.mark.parametrize(("to_c", "hours"), [(15, 29.747), (30, 9.553)])
    def test_sixteen_hours_elsewhere(self, to_c: float, hours: float) -> None:
        # Calculated: a 16 h demold time at 23 degC, Ea 55.
        assert 16 * arrhenius_factor(from_c=23, to_c=to_c, activation_energy_kj_mol=55) == pytest.approx(hours, abs=6e-4)
