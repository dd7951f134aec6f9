"""Casting against calculated and published values."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from jobs.geometry.coats import casting_volume
from materials.properties import Chemistry
from materials.science.casting import (
    FEWEST_SKINS,
    FILM_CONSTANT,
    NEAR_GEL,
    adiabatic_rise_k,
    castings_per_day,
    cycle_min,
    film_limit_mm,
    film_near_gel_mm,
    flat_shot_g,
    heat_of,
    molds_kept_going,
    skins_for,
    wall_spread_mm,
)
from materials.science.errors import BadThickness, OutsideRange
from materials.science.turning import (
    apparent_ratio,
    ratio_advice,
    turns_before_gel,
    turns_until_repeat,
)
from tests.jobs.planning.builders import box_takeoff


class TestFlatShot:
    def test_of_45_square_decimetres(self) -> None:
        # Calculated: 0.45 m2, 4 mm, 1050 kg/m3; three skins of 630 g.
        shot = flat_shot_g(area_m2=0.45, wall_mm=4, density_kg_m3=1050)
        assert shot == pytest.approx(1890)
        assert shot / 3 == pytest.approx(630)

    def test_exact_is_less_for_a_sphere(self) -> None:
        # Calculated: a sphere of 0.45 m2 takes 1.762220 L against 1.800 flat, 2.1 % less.
        radius = math.sqrt(0.45 / (4 * math.pi))
        litres = 4000 * math.pi / 3 * (radius**3 - (radius - 0.004) ** 3)
        assert litres == pytest.approx(1.762220, rel=1e-6)
        flat = flat_shot_g(area_m2=0.45, wall_mm=4, density_kg_m3=1050)
        assert litres * 1050 / flat - 1 == pytest.approx(-0.021, abs=5e-4)

    def test_exact_is_less_for_a_box(self) -> None:
        # Calculated: 0.3 x 0.2 x 0.5 m, 4 mm: 2.416512 L against 2.48, 2.537338 kg against 2.604.
        litres = 1000 * casting_volume(box_takeoff(), 4.0).value
        assert litres == pytest.approx(2.416512, rel=1e-7)
        assert litres * 1050 == pytest.approx(2537.338, rel=1e-6)
        assert flat_shot_g(area_m2=0.62, wall_mm=4, density_kg_m3=1050) == pytest.approx(2604)


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

    def test_near_gel_counts_as_one_pascal_second(self) -> None:
        # Calculated: 2.0169 mm at 1 Pa.s; a paste of 3 Pa.s holds its own 3.4933 mm.
        turned = {"turning_rpm": 8, "radius_m": 0.10, "density_kg_m3": 1050}
        assert NEAR_GEL.value == 1.0
        assert film_near_gel_mm(viscosity_pa_s=0.1, **turned) == pytest.approx(2.0169, abs=6e-5)
        assert film_near_gel_mm(viscosity_pa_s=3, **turned) == pytest.approx(3.4933, abs=6e-5)
        with pytest.raises(BadThickness):
            film_near_gel_mm(viscosity_pa_s=0, **turned)

    @pytest.mark.parametrize(("wall", "film", "skins"), [(4, 2.0169, 3), (4, 1.1047, 4), (4, 0.6378, 7), (2, 2, 3), (6, 2, 3)])
    def test_skins(self, wall: float, film: float, skins: int) -> None:
        # Published: a resin maker's answers, at least three to four pours; otherwise calculated.
        assert skins_for(wall_mm=wall, film_mm=film) == skins
        assert (FEWEST_SKINS.value, FEWEST_SKINS.high) == (3, 4)


class TestTurning:
    def test_turns_before_gel(self) -> None:
        # Calculated: 8 rpm for 3 min; common practice wants 15 to 20.
        assert turns_before_gel(turning_rpm=8, gel_min=3) == pytest.approx(24)
        for speed in (0, 21):
            with pytest.raises(OutsideRange, match="20 turns"):
                turns_before_gel(turning_rpm=speed, gel_min=3)

    @pytest.mark.parametrize(("ratio", "turns"), [(4, 1), (2, 1), (3.5, 2), (3.7, 10), (2.3, 10), (5.3, 10), (1.25, 4)])
    def test_track_repeats(self, ratio: float, turns: int) -> None:
        assert turns_until_repeat(ratio=ratio) == turns

    @pytest.mark.parametrize("ratio", [4.0, 3.5, 3.7, 2.3])
    def test_track_repeats_where_a_turned_point_comes_back(self, ratio: float) -> None:
        # Independent: a point turned about both axes by matrices is back for the first time after so many outer turns.
        def place(outer: float) -> np.ndarray:
            a, b = 2 * math.pi * outer, 2 * math.pi * outer * ratio
            arm = np.array([[math.cos(a), 0, math.sin(a)], [0, 1, 0], [-math.sin(a), 0, math.cos(a)]])
            plate = np.array([[math.cos(b), -math.sin(b), 0], [math.sin(b), math.cos(b), 0], [0, 0, 1]])
            return arm @ plate @ np.array([0.3, 0.5, 0.8])

        back = [turns for turns in range(1, 20) if np.linalg.norm(place(turns) - place(0)) < 0.05]
        assert back[0] == turns_until_repeat(ratio=ratio)

    @pytest.mark.parametrize(
        ("box", "usual"),
        [
            ((200, 210, 190), (2, 2.5)),  # Published: a trade article, about 2:1 for balls
            ((300, 200, 500), (3.5, 4.5)),  # Published: the same, about 4:1 for boxes
            ((900, 200, 150), (3, 8)),  # From memory: 3:1 to 8:1 for long parts
        ],
    )
    def test_advice_lies_in_the_usual_range_and_is_never_whole(self, box: tuple[float, float, float], usual: tuple) -> None:
        found = ratio_advice(box_mm=box)
        assert (found.ratio.low, found.ratio.high) == usual
        assert usual[0] <= found.ratio.value <= usual[1]
        assert found.ratio.value != round(found.ratio.value)
        assert found.repeats_after == 10

    def test_two_meanings_of_a_ratio(self) -> None:
        # Calculated: 4 inner turns to one outer is outer / (inner - outer) = 1/3; alike, nothing moves against the other.
        assert apparent_ratio(inner_per_outer=4) == pytest.approx(1 / 3)
        assert apparent_ratio(inner_per_outer=1.25) == pytest.approx(4)
        with pytest.raises(OutsideRange, match="same track"):
            apparent_ratio(inner_per_outer=1.0)


class TestHeat:
    @pytest.mark.parametrize(
        ("resin", "rise"), [(Chemistry.POLYURETHANE, 111), (Chemistry.POLYESTER, 184), (Chemistry.EPOXY, 237)]
    )
    def test_rise_without_loss(self, resin: Chemistry, rise: float) -> None:
        # Calculated from heats and specific heats that are from memory: 200/1.8, 350/1.9, 450/1.9.
        known = heat_of(resin)
        assert known is not None
        heat, specific = known
        assert adiabatic_rise_k(heat_kj_kg=heat.value, specific_heat_kj_kg_k=specific.value) == pytest.approx(rise, abs=0.5)

    def test_other_resins_are_not_known(self) -> None:
        assert heat_of(Chemistry.GYPSUM) is None
        with pytest.raises(OutsideRange, match="kJ/kg"):
            adiabatic_rise_k(heat_kj_kg=200, specific_heat_kj_kg_k=0)


class TestWallSpread:
    def test_of_a_turned_wall(self) -> None:
        # Common practice, no source: 20 to 30 % either way; the wider is taken.
        assert wall_spread_mm(4) == pytest.approx((2.8, 5.2))


class TestCycle:
    def test_adds_up(self) -> None:
        # Common practice for hand slush: about 10 min before the next pour, 20 to 30 min after the last.
        times = {"prepare_min": 10, "skins": 3, "pour_min": 10, "wait_min": 5, "demold_min": 30,
                 "take_out_min": 5, "clean_min": 5}  # fmt: skip
        assert cycle_min(**times) == pytest.approx(95)
        assert molds_kept_going(2, active_min=47, cycle_min=95) == 2
        assert molds_kept_going(2, active_min=47.5, cycle_min=95) == 1
        with pytest.raises(BadThickness, match="skin"):
            cycle_min(**{**times, "skins": 0})


class TestCastingsPerDay:
    def test_of_a_normal_shift(self) -> None:
        # Calculated: 8 h, 0.5 h start-up, 1.25 h cycle.
        assert castings_per_day(shift_h=8, startup_h=0.5, cycle_h=1.25) == 6

    def test_is_none_when_the_cycle_outlasts_the_shift(self) -> None:
        assert castings_per_day(shift_h=8, startup_h=0.5, cycle_h=9) == 0
