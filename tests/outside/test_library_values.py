"""What independent libraries are asked for: the value they must give, and the project's own beside it.

A new version of a library that answers otherwise is noticed here before it is believed anywhere else.
"""

import math
from collections.abc import Callable
from fractions import Fraction

import pint
import pytest
from chemicals.iapws import iapws95_Psat, iapws95_rho
from CoolProp.CoolProp import HAPropsSI, PropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from fluids.drag import v_terminal
from fluids.geometry import A_cylinder, V_cylinder, sphericity
from periodictable import formula
from scipy.integrate import quad
from scipy.special import elliprg
from scipy.stats import norm

from jobs.geometry.errors import GeometryError
from jobs.geometry.other_ways import water_density_kg_m3
from jobs.geometry.solids import SolidKind, measure_solid
from jobs.geometry.tape import refuse_impossible
from jobs.planning.troubles.mold import P80
from materials.science.bubbles import rise_speed_m_s
from materials.science.casting import FILM_CONSTANT
from materials.science.moisture import saturation_pressure_pa, vapour_pressure_pa
from materials.science.plaster import COMBINED_WATER
from materials.science.vacuum import INHG_PA, pressure_at_altitude_pa
from studio.web.converting import convert

UNITS: pint.UnitRegistry = pint.UnitRegistry()


def least_area_m2(volume_m3: float) -> float:
    """Find the area below which the tape's reader refuses a volume, by halving."""
    low, high = 0.0, 100.0
    for _ in range(60):
        middle = (low + high) / 2
        try:
            refuse_impossible(area_m2=middle, volume_m3=volume_m3)
            high = middle
        except GeometryError:
            low = middle
    return high


def thin_film() -> float:
    """Integrate the film of flux 2/3 round a turning wall by its cubic's closed root (Cardano)."""

    def film(angle: float) -> float:
        cosine = math.cos(angle)
        if abs(cosine) < 1e-9:
            return 2 / 3
        if cosine < 0:
            scale = 2 / math.sqrt(-cosine)
            return scale * math.sinh(math.asinh(math.sqrt(-cosine)) / 3)
        return 2 / math.sqrt(cosine) * math.sin(math.asin(math.sqrt(cosine)) / 3)

    return float(quad(film, 0, math.pi, limit=200)[0] / math.pi)


def moisture_share() -> float:
    """Return the water in air of 23 degC and 50 % as an ideal gas holds it."""
    vapour = vapour_pressure_pa(temperature_c=23, humidity_percent=50)
    return 0.621945 * vapour / (101325 - vapour)


def cylinder(of: str) -> float:
    """Return area or volume of a cylinder 0.2 m wide and 0.4 m high."""
    solid = measure_solid(SolidKind.CYLINDER, (200.0, 400.0))
    return solid.closed.area_mm2 * 1e-6 if of == "area" else solid.volume_mm3 * 1e-9


def gypsum() -> float:
    """Return the mass of water that plaster combines with, from the masses of the elements."""
    half, whole = formula("Ca2S2O8(H2O)").mass / 2, formula("CaSO4(H2O)2").mass
    return float((whole - half) / half)


# What is asked, the library's answer, the answer seen, the project's own, and how near that must be.
ROWS: list[tuple[str, Callable[[], float], float, Callable[[], float], float]] = [
    ("rise of a 1 mm bubble, fluids", lambda: -v_terminal(D=1e-3, rhop=1.2, rho=1100, mu=20.0), 2.99320750556e-05,
     lambda: rise_speed_m_s(bubble_mm=1, viscosity_pa_s=20, density_kg_m3=1100), 1.5e-3),
    ("air at 1500 m, fluids", lambda: ATMOSPHERE_1976(1500).P, 84559.677, lambda: pressure_at_altitude_pa(1500), 1e-6),
    ("sphericity of a cube, fluids", lambda: sphericity(A=6.0, V=1.0), 0.8059959770, lambda: least_area_m2(1.0) / 6, 1e-8),
    ("area of a cylinder, fluids", lambda: A_cylinder(0.2, 0.4), 0.3141592654, lambda: cylinder("area"), 1e-12),
    ("volume of a cylinder, fluids", lambda: V_cylinder(0.2, 0.4), 0.0125663706, lambda: cylinder("volume"), 1e-12),
    ("density of water, CoolProp", lambda: PropsSI("D", "T", 293.15, "P", 101325, "Water"), 998.2071505,
     lambda: water_density_kg_m3(20), 3e-6),
    ("density of water, chemicals", lambda: iapws95_rho(293.15, 101325), 998.2071505, lambda: water_density_kg_m3(20), 3e-6),
    ("vapour at 23 degC, CoolProp", lambda: PropsSI("P", "T", 296.15, "Q", 0, "Water"), 2811.071908,
     lambda: saturation_pressure_pa(23), 1e-4),
    ("vapour at 23 degC, chemicals", lambda: iapws95_Psat(296.15), 2811.071908, lambda: saturation_pressure_pa(23), 1e-4),
    ("water in the air, CoolProp", lambda: HAPropsSI("W", "T", 296.15, "P", 101325, "R", 0.5), 0.0087858153,
     moisture_share, 5e-3),
    ("area of an ellipsoid, scipy", lambda: 4 * math.pi * 0.00375 * elliprg(0.1**-2, 0.15**-2, 0.25**-2), 0.3369379418,
     lambda: measure_solid(SolidKind.ELLIPSOID, (200.0, 300.0, 500.0)).closed.area_mm2 * 1e-6, 1e-9),
    ("four jobs of five, scipy", lambda: norm.ppf(0.8), 0.841621, lambda: P80, 1e-6),
    ("film round a turning wall, scipy", thin_film, 0.7070814, lambda: FILM_CONSTANT, 1e-5),
    ("water of gypsum, periodictable", gypsum, 0.186180, lambda: COMBINED_WATER, 1e-5),
    ("inch of mercury, pint", lambda: UNITS("1 inHg").to("Pa").magnitude, 3386.38864, lambda: INHG_PA, 2e-7),
]  # fmt: skip


@pytest.mark.parametrize(("library", "seen", "own", "near"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_library_and_project_agree(library: Callable[[], float], seen: float, own: Callable[[], float], near: float) -> None:
    answer = float(library())
    assert answer == pytest.approx(seen, rel=3e-6)
    assert own() == pytest.approx(answer, rel=near)


@pytest.mark.parametrize(
    ("value", "source", "target", "expected", "near"),
    [
        # Published: NIST SP 811 (2008), appendix B; exact by definition where it has all digits.
        (1, "in", "mm", 25.4, 1e-9),
        (1, "thou", "um", 25.4, 1e-9),
        (1, "ft2", "m2", 0.09290304, 1e-9),
        (1, "in3", "cm3", 16.387064, 1e-9),
        (1, "floz", "mL", 29.5735295625, 1e-9),
        (1, "gal", "L", 3.785411784, 1e-9),
        (1, "lb", "g", 453.59237, 1e-9),
        (1, "oz", "g", 28.349523125, 1e-9),
        (1, "psi", "Pa", 6894.757293, 1e-9),
        (20_000, "mPa*s", "Pa*s", 20, 1e-9),
        (18, "stepF", "K", 10, 1e-9),
        # Published trade example: 45 in2 are 290.3 cm2; one page prints them beside 16.875 in3, which are 276.5317 cm3.
        (45, "in2", "cm2", 290.3, 1e-4),
        (16.875, "in3", "cm3", 276.5317, 2e-7),
    ],
)
def test_units(value: float, source: str, target: str, expected: float, near: float) -> None:
    assert float(convert(Fraction(value), source, target)) == pytest.approx(expected, rel=near)
