"""Films on walls and unevenness against calculated values and an independent normal distribution."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.stats import norm

from materials.science.sag import film_left_mm, mean_for_minimum_mm, unevenness_of_coats


class TestFilmLeft:
    def test_on_a_wall_of_thirty_centimetres(self) -> None:
        # Calculated (Jeffreys 1930, from memory): mu 30 Pa.s, 0.30 m below the top, 30 min, 1100 kg/m3.
        left = film_left_mm(below_top_m=0.30, viscosity_pa_s=30, minutes=30, density_kg_m3=1100)
        assert left == pytest.approx(0.680814, rel=1e-6)

    def test_agrees_with_a_drained_wall_that_is_stepped_in_time(self) -> None:
        # Independent: scipy's solver of dh/dt = -d/dz (rho g h^3 / 3 mu) upwind on 200 cells, from 1.5 mm on the whole wall.
        cells, height_m, seconds = 200, 0.30, 1800.0
        step_m, speed = height_m / cells, 1100 * 9.80665 / 30

        def drains(_time: float, film: np.ndarray) -> np.ndarray:
            return -np.diff(speed * film**3 / 3, prepend=0.0) / step_m

        solved = solve_ivp(drains, (0, seconds), np.full(cells, 1.5e-3), method="RK23", t_eval=[seconds], rtol=1e-4, atol=1e-9)
        left = film_left_mm(below_top_m=height_m - step_m / 2, viscosity_pa_s=30, minutes=30, density_kg_m3=1100)
        assert 1000 * solved.y[-1, -1] == pytest.approx(left, rel=1e-2)


class TestEvenness:
    def test_four_coats_halve_it(self) -> None:
        # Calculated: 20 % of one coat; 6 mm wanted: 8.941 mm in one coat, 7.181 mm in four.
        assert unevenness_of_coats(variation=0.20, coats=4) == pytest.approx(0.10)
        for coats, mean in ((1, 8.941), (4, 7.181)):
            uneven = unevenness_of_coats(variation=0.20, coats=coats)
            assert mean_for_minimum_mm(least_mm=6, variation=uneven) == pytest.approx(mean, rel=1e-4)

    def test_keeps_95_percent_of_spots_above_the_minimum(self) -> None:
        # Independent: scipy's normal distribution round the mean.
        mean = mean_for_minimum_mm(least_mm=6, variation=0.2)
        assert norm.sf(6, loc=mean, scale=0.2 * mean) == pytest.approx(0.95, abs=1e-4)
        assert math.isclose(float(norm.ppf(0.95)), 1.645, abs_tol=2e-4)
