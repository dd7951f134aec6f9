"""A whole plan of a box-shaped piece against closed formulas and published arithmetic."""

import math
from dataclasses import replace

import pytest
import trimesh

from jobs.planning.brief import ShellKind
from jobs.planning.plan import make_plan
from jobs.planning.results import Component
from tests.jobs.planning.builders import CASTING, PLASTER, RESIN, SHELL, box_takeoff, brief, figure, given, rubber


class TestBlanketOfABox:
    def test_weighs_what_steiner_says(self) -> None:
        # Calculated: box 0.30 x 0.20 x 0.50 m, 10 mm: 0.006518348056 m3 (Steiner 1840); 1100 kg/m3.
        plan = make_plan(brief(thickener=None, tint=None, fill_volume_l=None))
        assert plan.blanket_mass.value == pytest.approx(0.006518348056 * 1100 * 1000, rel=1e-6)

    def test_agrees_with_a_mesh(self) -> None:
        # Independent: trimesh measures the box; a flat estimate A t would be 5 % low.
        mesh = trimesh.creation.box(extents=(0.3, 0.2, 0.5))
        t = 0.010
        volume = mesh.area * t + mesh.integral_mean_curvature * t**2 + 4 * math.pi / 3 * t**3
        plan = make_plan(brief(thickener=None, tint=None, fill_volume_l=None))
        assert plan.blanket_mass.value == pytest.approx(volume * 1100 * 1000, rel=1e-9)

    def test_loses_seven_and_a_half_percent_in_cups(self) -> None:
        # Common practice, no source: 5 to 10 % for hand-laid blankets; mixed = net / (1 - loss).
        plan = make_plan(brief(fill_volume_l=None))
        assert plan.rubber_fresh.value == pytest.approx(plan.rubber_net.value / 0.925, rel=1e-9)

    def test_texture_counts_for_the_print_coat_alone(self) -> None:
        # Exact: A (factor - 1) t more in the print coat, nothing in the others.
        smooth = make_plan(brief(thickener=None, tint=None))
        rough = make_plan(brief(thickener=None, tint=None, takeoff=box_takeoff(texture=1.3)))
        more = [b.net_mass.value - a.net_mass.value for a, b in zip(smooth.coats, rough.coats, strict=True)]
        assert more[0] == pytest.approx(0.62 * 0.3 * 0.0008 * 1100 * 1000, rel=1e-9)
        assert more[1:] == pytest.approx([0] * (len(more) - 1), abs=1e-9)


class TestPublishedCube:
    def test_five_faces_at_three_eighths_of_an_inch(self) -> None:
        # Published: a mold-rubber maker's answers on estimating: cube of 3 in on its base, 45 in2 x 0.375 in =
        # 16.875 in3, at 23.7 in3/lb 0.712 lb. The page leaves out the coat's growth at edges, so M and C are nought.
        inch = 0.0254
        takeoff = box_takeoff(3 * inch, 3 * inch, 3 * inch)
        flat = replace(
            takeoff,
            area=figure("area", 45 * inch**2, "m2"),
            mean_curvature=figure("mean_curvature", 0, "m"),
            sphere_part=0.0,
            stands_on_board=True,
        )
        density = 453.59237 / (23.7 * 16.387064) * 1000
        plan = make_plan(
            brief(
                takeoff=flat,
                rubber=rubber(density_kg_m3=density),
                wall_mm=given(9.525, "mm"),
                thickener=None,
                tint=None,
                fill_volume_l=None,
                casting=None,
            )
        )
        assert plan.blanket_mass.value / 453.59237 == pytest.approx(0.712, abs=5e-4)
        assert sum(coat.volume.value for coat in plan.coats) == pytest.approx(16.875 * 0.016387064, rel=1e-9)


class TestFill:
    @pytest.mark.parametrize(("packing", "fresh_l", "scrap_g"), [(0.54, 1.84, 2376), (0.67, 1.32, 2948)])
    def test_four_litres_of_cubes(self, packing: float, fresh_l: float, scrap_g: float) -> None:
        # Published fractions: Baker & Kudrolli 2010; scrap at 1.10 g/cm3.
        plan = make_plan(brief(packing_fraction=given(packing)))
        assert plan.fill is not None
        assert plan.fill.fresh_volume.value == pytest.approx(fresh_l)
        assert plan.fill.scrap_mass.value == pytest.approx(scrap_g)


class TestShellOfABox:
    def test_laminate_weighs_4725_grams_a_square_metre(self) -> None:
        # Calculated: 3 x 450 g/m2 of mat at resin 2.5 : 1 over the outside A + 2 M t + 4 pi t2 = 0.6840884901 m2.
        plan = make_plan(brief())
        assert plan.shell is not None
        assert plan.shell.mass.value == pytest.approx(4725 * 0.6840884901 * 1.15, rel=1e-6)
        assert plan.shell.thickness.value == pytest.approx(3.33984375)

    def test_peroxide_is_one_and_a_half_percent_of_the_resin(self) -> None:
        # Calculated: 50.625 g on 3.375 kg.
        plan = make_plan(brief())
        assert plan.shell is not None
        by_component = {part.component: part.mass.value for part in plan.shell.parts}
        assert by_component[Component.B] / by_component[Component.A] == pytest.approx(50.625 / 3375)


class TestCastingOfABox:
    def test_shot_flat_and_exact(self) -> None:
        # Calculated: box, 4 mm, 1050 kg/m3: flat 2.604 kg, exact 2.416512 L = 2.537338 kg.
        plan = make_plan(brief())
        assert plan.casting is not None
        assert plan.casting.shot_mass.value == pytest.approx(2604)
        assert plan.casting.casting_mass.value == pytest.approx(2537.3376, rel=1e-6)

    def test_one_to_one_by_volume_is_weighed_100_to_93_75(self) -> None:
        # Calculated: densities 1.12 and 1.05.
        plan = make_plan(brief())
        assert plan.casting is not None
        a, b = (part.mass.value for part in plan.casting.skin_parts)
        assert 100 * b / a == pytest.approx(93.75)

    def test_six_a_day(self) -> None:
        # Calculated: 8 h, 0.5 h start-up, 1.25 h cycle. 12 + 3 (12 + wait 1) + demold 6 + 12 + 6 = 75 min.
        quick = {**RESIN.properties, "gel_min": given(1, "min"), "demold_min": given(6, "min")}
        plan = make_plan(brief(casting=replace(CASTING, resin=replace(RESIN, properties=quick))))
        assert plan.casting is not None
        assert plan.casting.cycle.value == pytest.approx(75)
        assert plan.casting.per_day.value == 6
        assert plan.casting.days.value == 2


class TestPlasterShell:
    def test_twenty_millimetres_weigh_22_kilograms_a_square_metre(self) -> None:
        # Calculated from the stoichiometry of gypsum at 70:100: 1098.08 kg/m3 dry.
        shell = replace(SHELL, kind=ShellKind.PLASTER, material=PLASTER, reinforcement=None, thickness_mm=given(20, "mm"))
        plan = make_plan(brief(shell=shell))
        assert plan.shell is not None
        assert plan.shell.mass.value / plan.shell.area.value == pytest.approx(21961.6, rel=1e-4)
