"""A cure in a room that cools at night against calculated values and an independent integration."""

import numpy as np
import pytest

from materials.science.kinetics import arrhenius_factor
from materials.science.night import RoomDay, hours_to_age
from studio.figures import Given


def degrees(value: float) -> Given:
    """Return a room's temperature."""
    return Given(label="Room", value=value, unit="degC")


def hours(value: float) -> Given:
    """Return a number of hours."""
    return Given(label="Hours", value=value, unit="h")


def stretched(temperature_c: float) -> float:
    """Return the stretch of a cure of 55 kJ/mol counted at 23 degC."""
    return arrhenius_factor(from_c=23, to_c=temperature_c, activation_energy_kj_mol=55)


EIGHT_WARM = RoomDay(day=degrees(23), night=degrees(15), warm_hours=hours(8), warms_at=hours(9))


class TestColdNight:
    def test_of_twelve_hours_brings_the_age_to_14_hours(self) -> None:
        # Calculated, after ASTM C1074's idea: 8 h at 23 and 12 h at 15 degC are 14.454444 h at 23 degC (Ea 55).
        rest = hours_to_age(age_min=60 * 14.454444, room=EIGHT_WARM, stretched=stretched, lowest_c=15, starts_at_hour=9)
        assert rest.hours == pytest.approx(20, rel=1e-6)
        assert rest.stalled_hours == 0

    def test_factor_of_the_night(self) -> None:
        # Calculated: 0.5378703706 of an hour for each hour at 15 degC.
        assert 1 / stretched(15) == pytest.approx(0.5378703706, rel=1e-9)

    @pytest.mark.parametrize(("temperature_c", "expected_h"), [(15, 29.747), (30, 9.553)])
    def test_sixteen_hours_in_a_steady_room(self, temperature_c: float, expected_h: float) -> None:
        # Calculated: a demold time of 16 h at 23 degC, Ea 55.
        room = RoomDay(day=degrees(temperature_c))
        rest = hours_to_age(age_min=960, room=room, stretched=stretched, lowest_c=15)
        assert rest.hours == pytest.approx(expected_h, abs=6e-4)

    @pytest.mark.parametrize(("start", "age_h"), [(8, 16.5), (14.25, 30), (23.5, 100), (3, 5), (9, 0.5)])
    @pytest.mark.parametrize("lowest_c", [5, 18])
    def test_agrees_with_a_walk_along_the_clock(self, start: float, age_h: float, lowest_c: float) -> None:
        # Independent: numpy adds up the speed of every ten seconds of the clock until the age is reached.
        step_h = 10 / 3600
        clock = (start + step_h * (np.arange(round(330 / step_h)) + 0.5)) % 24
        by_day = (clock >= 9) & (clock < 17)
        speed = np.where(by_day, 1.0, 0.0 if lowest_c > 15 else np.exp(55000 / 8.314462618 * (1 / 296.15 - 1 / 288.15)))
        reached_h = step_h * (1 + int(np.searchsorted(np.cumsum(speed) * step_h, age_h)))
        rest = hours_to_age(age_min=60 * age_h, room=EIGHT_WARM, stretched=stretched, lowest_c=lowest_c, starts_at_hour=start)
        assert rest.hours == pytest.approx(reached_h, abs=2 * step_h)
