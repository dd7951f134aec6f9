"""Waits that shift with the room beside a worked example of equivalent age."""

import math

from scipy.constants import R

from jobs.scheduling.network import lag_at_pace


class TestNightInTheStudio:
    def test_eight_warm_and_twelve_cold_hours(self) -> None:
        # Calculated, after ASTM C1074's idea: 8 h at 23 and 12 h at 15 degC are 14.454 h at 23 degC (55 kJ/mol);
        # so such a cure, begun eight hours before the room cools, is over after 20 h.
        slow = math.exp(-55e3 / R * (1 / 288.15 - 1 / 296.15))
        cure_min = 60 * (8 + 12 * slow)
        assert round(cure_min / 60, 3) == 14.454
        lag = lag_at_pace(cure_min, (1.0,) * 8 + (slow,) * 20, step_min=1, longest=False)
        # Within an hour it is taken at its longest: the first hour ends with seven warm hours to come.
        longest = 60 * (7 + 12 * slow + 1 - 7) / slow + 60 * 7
        assert lag.by_hour[0] == math.ceil(longest - 1e-9)
        # Begun when it is cold already, all of it is slow.
        assert lag.by_hour[8] == math.ceil(cure_min / slow)
        assert lag_at_pace(cure_min, (1.0,) * 8 + (slow,) * 20, step_min=1, longest=True).by_hour[0] == 1200
