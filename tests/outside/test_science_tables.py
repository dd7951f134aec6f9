"""Tables of handbooks and standards, row by row."""

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from jobs.planning.plan import make_plan
from jobs.planning.troubles_mold import underquoted_hours
from materials.science.casting import flat_shot_g
from materials.science.plates import Edge, deflection_coefficient
from studio.figures import Figure
from studio.web.converting import convert
from tests.jobs.planning.builders import brief

# Calculated: long ÷ short side; simply supported (Navier's series to 199 terms) and clamped (Ritz 7 x 7).
PLATES = [
    (1.0, 0.004062, 0.001265), (1.1, 0.004869, 0.001508), (1.2, 0.005651, 0.001725), (1.3, 0.006392, 0.001912),
    (1.4, 0.007085, 0.002068), (1.5, 0.007724, 0.002197), (1.6, 0.008308, 0.002300), (1.8, 0.009316, 0.002446),
    (2.0, 0.010129, 0.002533), (3.0, 0.012233, None), (4.0, 0.012819, None), (math.inf, 0.0130208, 0.00260417),
]  # fmt: skip


class TestPlates:
    @pytest.mark.parametrize(("ratio", "resting", "gripped"), PLATES)
    def test_coefficients(self, ratio: float, resting: float, gripped: float | None) -> None:
        assert deflection_coefficient(Edge.RESTING, long_per_short=ratio) == pytest.approx(resting, rel=3e-4)
        if gripped is not None:
            assert deflection_coefficient(Edge.GRIPPED, long_per_short=ratio) == pytest.approx(gripped, rel=1e-2)


class TestMats:
    @pytest.mark.parametrize(
        ("value", "unit", "g_m2"), [(1.0, "oz/ft2", 305.151727), (1.5, "oz/ft2", 457.727591), (1.0, "oz/yd2", 33.905747)]
    )
    def test_of_ounces(self, value: float, unit: str, g_m2: float) -> None:
        # Calculated from the pound and the foot (NIST SP 811, exact).
        assert float(convert(Fraction(value), unit, "g/m2")) == pytest.approx(g_m2, rel=2e-8)


class TestSkins:
    def test_of_four_millimetres_in_three(self) -> None:
        # Calculated: 0.630 kg and 1.333 mm each over 0.45 m2 at 1050 kg/m3.
        assert flat_shot_g(area_m2=0.45, wall_mm=4 / 3, density_kg_m3=1050) == pytest.approx(630)
        plan = make_plan(brief())
        assert plan.casting is not None
        assert plan.casting.skin_thickness.value == pytest.approx(1.333, abs=5e-4)


class TestHours:
    def test_three_point_estimate(self) -> None:
        # Published: a worked example of PERT: 5, 8 and 14 give 8.5 with a deviation of 1.5; 80 % lie below 8.5 + 0.8416 x 1.5.
        plan = make_plan(brief())
        minutes = Figure(key="m", label="Hours", value=8 * 60, unit="min", formula="", low=5 * 60, high=14 * 60)
        one = replace(plan, tasks=(replace(plan.tasks[0], minutes=minutes),), hours_hands_on=replace(minutes, value=8, unit="h"))
        judged = underquoted_hours(brief(), one)
        likely = next(figure for figure in judged.figures if figure.key == "hours_p80")
        assert likely.value == pytest.approx(8.5 + 0.841621 * 1.5, rel=1e-6)
