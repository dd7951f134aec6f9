"""Casting and shrinkage against calculated and published values."""

import math

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from materials.science.casting import FILM_CONSTANT, castings_per_day, film_limit_mm, flat_shot_g
from materials.science.shrinkage import cast_length_mm, linear_from_volume, oversize_factor


class TestFlatShot:
    def test_of_45_square_decimetres(self) -> None:
        # Calculated: 0.45 m2, 4 mm, 1050 kg/m3; three skins of 630 g.
        shot = flat_shot_g(area_m2=0.45, wall_mm=4, density_kg_m3=1050)
        assert shot == pytest.approx(1890)
        assert shot / 3 == pytest.approx(630)


class TestFilmLimit:
    def test_constant_is_the_integral_of_the_film_round_the_wall(self) -> None:
        # Independent: the film of flux 2/3 (Moffatt 1977; Wilson & Williams 1997, published), its thin root
        # H - H^3 cos(theta)/3 = 2/3 by scipy's root finder, integrated round the wall, over 2 pi.
        def film(theta: float) -> float:
            def balance(height: float) -> float:
                return height - height**3 * math.cos(theta) / 3 - 2 / 3

            return float(brentq(balance, 0.0, 1.0 + 1e-9))

        integral = 2 * quad(film, 1e-9, math.pi, limit=400)[0]
        assert integral == pytest.approx(4.4427235, rel=1e-5)
        assert pytest.approx(integral / (2 * math.pi), rel=1e-5) == FILM_CONSTANT

    @pytest.mark.parametrize(("viscosity", "film_mm"), [(0.1, 0.6378), (0.3, 1.1047), (1, 2.0169), (3, 3.4933), (10, 6.3778)])
    def test_grows_as_the_resin_thickens(self, viscosity: float, film_mm: float) -> None:
        # Calculated: R 0.10 m, 8 rpm, 1050 kg/m3.
        found = film_limit_mm(viscosity_pa_s=viscosity, turning_rpm=8, radius_m=0.10, density_kg_m3=1050)
        assert found == pytest.approx(film_mm, abs=6e-5)


class TestCastingsPerDay:
    def test_of_a_normal_shift(self) -> None:
        # Calculated: 8 h, 0.5 h start-up, 1.25 h cycle.
        assert castings_per_day(shift_h=8, startup_h=0.5, cycle_h=1.25) == 6

    def test_is_none_when_the_cycle_outlasts_the_shift(self) -> None:
        assert castings_per_day(shift_h=8, startup_h=0.5, cycle_h=9) == 0


class TestShrinkage:
    @pytest.mark.parametrize(("volume", "linear"), [(0.02, 0.671161), (0.05, 1.695243), (0.07, 2.389999), (0.13, 4.535973)])
    def test_linear_from_volume(self, volume: float, linear: float) -> None:
        # Calculated: 1 - (1 - s)^(1/3).
        assert 100 * linear_from_volume(volume) == pytest.approx(linear, rel=1e-6)

    def test_three_hundred_millimetres(self) -> None:
        # Calculated: 0.4 % in the rubber and 0.3 % in the resin.
        assert cast_length_mm(piece_length_mm=300, mold_percent=0.4, resin_percent=0.3) == pytest.approx(297.9036)
        assert oversize_factor(mold_percent=0.4, resin_percent=0.3) == pytest.approx(1.00703718, rel=1e-8)
