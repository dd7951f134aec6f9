"""Bubbles against calculated tables and an independent library of fluid mechanics."""

import math

import pytest
from fluids.drag import v_terminal
from scipy.integrate import quad

from materials.science.bubbles import cleared_layer_mm, flowing_minutes, held_bubble_mm, rise_speed_m_s, smallest_leaving_mm


class TestRise:
    def test_of_one_millimetre(self) -> None:
        # Calculated: Stokes, and 1.5 times that for a clean surface.
        speed = rise_speed_m_s(bubble_mm=1, viscosity_pa_s=20, density_kg_m3=1100)
        assert speed == pytest.approx(2.996476e-5, rel=1e-6)
        clean = rise_speed_m_s(bubble_mm=1, viscosity_pa_s=20, density_kg_m3=1100, clean=True)
        assert clean == pytest.approx(4.494715e-5, rel=1e-6)

    @pytest.mark.parametrize("bubble_mm", [0.1, 1, 3])
    @pytest.mark.parametrize("viscosity", [5, 20, 100])
    def test_agrees_with_the_terminal_speed_of_a_sphere(self, bubble_mm: float, viscosity: float) -> None:
        # Independent: fluids.drag.v_terminal of a gas sphere of 1.2 kg/m3, which the formula neglects: 1.1 in 1000.
        found = v_terminal(D=bubble_mm / 1000, rhop=1.2, rho=1100, mu=viscosity)
        speed = rise_speed_m_s(bubble_mm=bubble_mm, viscosity_pa_s=viscosity, density_kg_m3=1100)
        assert -found == pytest.approx(speed, rel=1.5e-3)

    def test_library_gives_its_published_value(self) -> None:
        # Independent: seen from fluids 1.3.1.
        assert v_terminal(D=1e-3, rhop=1.2, rho=1100, mu=20.0) == pytest.approx(-2.99320750556e-05, rel=1e-9)

    @pytest.mark.parametrize(
        ("viscosity", "mm_per_min"),
        [
            # Calculated table: bubbles of 0.1, 0.2, 0.5, 1, 2 and 3 mm at 1100 kg/m3.
            (5, (0.0719, 0.2877, 1.798, 7.192, 28.77, 64.72)),
            (10, (0.0360, 0.1438, 0.899, 3.596, 14.38, 32.36)),
            (20, (0.0180, 0.0719, 0.450, 1.798, 7.192, 16.18)),
            (30, (0.0120, 0.0479, 0.300, 1.199, 4.794, 10.79)),
            (50, (0.0072, 0.0288, 0.180, 0.719, 2.877, 6.472)),
            (100, (0.0036, 0.0144, 0.0899, 0.360, 1.438, 3.236)),
        ],
    )
    def test_follows_the_table(self, viscosity: float, mm_per_min: tuple[float, ...]) -> None:
        speeds = [
            60_000 * rise_speed_m_s(bubble_mm=size, viscosity_pa_s=viscosity, density_kg_m3=1100)
            for size in (0.1, 0.2, 0.5, 1, 2, 3)
        ]
        assert speeds == pytest.approx(mm_per_min, rel=5e-3)


class TestClearing:
    def test_with_constant_viscosity(self) -> None:
        # Calculated: 20 Pa.s, 20 min, 1100 kg/m3.
        def clears(bubble_mm: float) -> float:
            return cleared_layer_mm(bubble_mm=bubble_mm, viscosity_pa_s=20, minutes=20, density_kg_m3=1100)

        assert clears(0.5) == pytest.approx(8.989, abs=6e-4)
        assert clears(0.2) == pytest.approx(1.438, abs=6e-4)
        smallest = smallest_leaving_mm(layer_mm=2, viscosity_pa_s=20, minutes=20, density_kg_m3=1100)
        assert smallest == pytest.approx(0.2358, abs=6e-5)

    def test_with_a_viscosity_that_doubles_every_five_minutes(self) -> None:
        # Calculated: 6.762633 min are left of 20.
        assert flowing_minutes(minutes=20, doubling_min=5) == pytest.approx(6.762633, rel=1e-6)
        clears = cleared_layer_mm(bubble_mm=0.5, viscosity_pa_s=20, minutes=20, density_kg_m3=1100, doubling_min=5)
        assert clears == pytest.approx(3.040, abs=6e-4)
        for layer, bubble in ((2, 0.4056), (0.5, 0.2028)):
            leaving = smallest_leaving_mm(layer_mm=layer, viscosity_pa_s=20, minutes=20, density_kg_m3=1100, doubling_min=5)
            assert leaving == pytest.approx(bubble, abs=6e-5)

    def test_agrees_with_an_integral_of_the_thickening_mix(self) -> None:
        # Independent: scipy's quadrature of 1/mu over the time until gel, and the library's speed at each moment.
        def speed(minute: float) -> float:
            return -float(v_terminal(D=5e-4, rhop=0.0, rho=1100, mu=20 * 2 ** (minute / 5)))

        rise_mm = 60_000 * quad(speed, 0, 20)[0]
        clears = cleared_layer_mm(bubble_mm=0.5, viscosity_pa_s=20, minutes=20, density_kg_m3=1100, doubling_min=5)
        assert clears == pytest.approx(rise_mm, rel=1e-6)


class TestHeld:
    def test_by_forty_pascals(self) -> None:
        # Calculated from 0.143 (from memory: Tsamopoulos et al. 2008; Beris et al. 1985): all below a radius of 25.9 mm.
        assert held_bubble_mm(yield_stress_pa=40, density_kg_m3=1100) / 2 == pytest.approx(25.9, abs=0.05)

    def test_agrees_with_the_spheres_group(self) -> None:
        # From memory: Beris et al. 1985: a sphere is held when 2 tau pi R^2 / (weight less lift) is 0.143 or more.
        radius = held_bubble_mm(yield_stress_pa=40, density_kg_m3=1100) / 2000
        lift = 4 / 3 * math.pi * radius**3 * 1100 * 9.80665
        assert 2 * math.pi * radius**2 * 40 / lift == pytest.approx(1.5 * 0.143, rel=1e-9)
