"""Tables of handbooks and standards, row by row."""

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from jobs.geometry.coats import coat_volume
from jobs.planning.plan import make_plan
from jobs.planning.troubles.mold import underquoted_hours
from materials.properties import Chemistry
from materials.science.bonding import scrap_verdict, surface_verdict
from materials.science.casting import flat_shot_g
from materials.science.compatibility import Outcome, Surface
from materials.science.laminate import laminate
from materials.science.plates import Edge, deflection_coefficient
from studio.figures import Figure
from studio.web.converting import convert
from tests.jobs.planning.builders import box_takeoff, brief

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


PLATINUM, TIN, URETHANE = Chemistry.PLATINUM_SILICONE, Chemistry.TIN_SILICONE, Chemistry.POLYURETHANE
SEAL, TEST, NO = {Outcome.SEAL}, {Outcome.TEST}, {Outcome.REFUSED}
FINE = {Outcome.GOOD, Outcome.TEST}
# What the makers and workshops say of fresh rubber on a bare surface: fresh platinum, fresh tin, fresh polyurethane.
CURES = [
    (Surface.PLATINUM_SILICONE, TEST, NO, FINE),  # published: rubber makers; another maker's platinum came apart in a trial
    (Surface.TIN_SILICONE, NO, TEST, FINE),  # published: several; silicone lets polyurethane go
    (Surface.POLYURETHANE, SEAL, FINE, TEST),  # published: a distributor's list; common practice
    (Surface.LATEX, NO, FINE, FINE),  # published; common practice
    (Surface.SULFUR_CLAY, NO, SEAL, SEAL),  # published: under no circumstances; sealed with acrylic; common practice
    (Surface.EPOXY, SEAL, FINE, FINE),  # published: amine-cured or part-cured
    (Surface.PRINT_PHOTOPOLYMER, SEAL, FINE, FINE),  # common practice: wash, post-cure, bake, seal, test
    (Surface.GYPSUM, SEAL, FINE, SEAL),  # common practice: dry plaster is fine for tin
    (Surface.WOOD, SEAL, SEAL, SEAL),  # published: some woods
]


class TestCuring:
    @pytest.mark.parametrize(("surface", "platinum", "tin", "urethane"), CURES)
    def test_on_what_is_cured(self, surface: Surface, platinum: set[Outcome], tin: set[Outcome], urethane: set[Outcome]) -> None:
        for rubber, allowed in ((PLATINUM, platinum), (TIN, tin), (URETHANE, urethane)):
            assert surface_verdict(surface, sealed=False, rubber=rubber).outcome in allowed

    @pytest.mark.parametrize("fresh", [PLATINUM, TIN, URETHANE])
    @pytest.mark.parametrize("old", [PLATINUM, TIN, URETHANE])
    def test_same_chemistry_alone_bonds_to_scrap(self, fresh: Chemistry, old: Chemistry) -> None:
        # Published: a workshop of 2023 for tin in tin and for platinum of another maker; the rest common practice.
        verdict = scrap_verdict(rubber=fresh, rubber_family="house", scrap=old, scrap_family="house")
        other = scrap_verdict(rubber=fresh, rubber_family="house", scrap=old, scrap_family="elsewhere")
        assert verdict.outcome is (Outcome.GOOD if fresh is old else Outcome.REFUSED)
        assert other.outcome is (Outcome.TEST if fresh is old else Outcome.REFUSED)


class TestBoxCoat:
    def test_lies_between_the_flat_and_the_mitred_estimate(self) -> None:
        # Calculated: 0.30 x 0.20 x 0.50 m, 10 mm: flat 0.0062, round at the edges 0.006518348056 (+5.1346 %), mitred 0.006608.
        coat = coat_volume(box_takeoff(), 10).value
        assert coat == pytest.approx(0.006518348056, rel=1e-9)
        assert 100 * (coat / 0.0062 - 1) == pytest.approx(5.1346, abs=5e-5)
        assert coat < 0.32 * 0.22 * 0.52 - 0.03 == pytest.approx(0.006608)


class TestMats:
    def test_one_layer_of_450_grams(self) -> None:
        # Calculated: 1.1133 mm, a third of 3.3398 mm.
        one = laminate(layers=1, layer_mass_g_m2=450, resin_per_glass=2.5, resin_density_kg_m3=1200)
        assert one.thickness_mm == pytest.approx(1.1133, abs=5e-5)

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
