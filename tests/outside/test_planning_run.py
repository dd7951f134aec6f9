"""The run, its molds and its troubles against closed formulas, scipy and published arithmetic."""

import itertools
import math
from dataclasses import replace

import pytest
from scipy.optimize import brentq
from scipy.stats import lognorm, norm

from jobs.geometry.takeoff import Takeoff
from jobs.planning.plan import make_plan
from jobs.planning.results import CastingPlan, MoldPlan, Trouble
from jobs.planning.troubles.troubles import plan_troubles
from materials.properties import Chemistry
from tests.jobs.planning.builders import CASTING, RESIN, box_takeoff, brief, figure, given, rubber


def sphere_takeoff(radius_m: float) -> Takeoff:
    """Return a ball coated all round, by its closed formulas."""
    return replace(
        box_takeoff(2 * radius_m, 2 * radius_m, 2 * radius_m),
        area=figure("area", 4 * math.pi * radius_m**2, "m2"),
        volume=figure("volume", 4 / 3 * math.pi * radius_m**3, "m3"),
        mean_curvature=figure("mean_curvature", 4 * math.pi * radius_m, "m"),
        inner_curvature=figure("inner_curvature", 4 * math.pi * radius_m, "m"),
        inner_sphere_part=4 * math.pi / 3,
    )


def run_of(**changes: object) -> CastingPlan:
    found = make_plan(brief(fill_volume_l=None, **changes)).casting
    assert found is not None
    return found


def trouble(plan: MoldPlan, key: str) -> Trouble:
    return next(found for found in plan.troubles if found.key == key)


class TestSkins:
    @pytest.mark.parametrize("skins", [2, 3, 5])
    def test_of_a_ball(self, skins: int) -> None:
        # Exact: of n equal cups the first k fill the shell between R and (R^3 - k/n (R^3 - (R - w)^3))^(1/3).
        radius, wall = 0.15, 0.004
        steps = run_of(takeoff=sphere_takeoff(radius), casting=replace(CASTING, skins=skins)).steps
        whole = radius**3 - (radius - wall) ** 3
        inside = [(radius**3 - k / skins * whole) ** (1 / 3) for k in range(skins + 1)]
        exact = [1000 * (a - b) for a, b in itertools.pairwise(inside)]
        assert [step.thickness.value for step in steps] == pytest.approx(exact, rel=1e-6)

    def test_of_a_box(self) -> None:
        # Independent: scipy's root finder on the volume between a box and the box inside it.
        sides, wall = (0.3, 0.2, 0.5), 0.004

        def resin(w: float) -> float:
            return math.prod(sides) - math.prod(side - 2 * w for side in sides)

        walls = [0.0, *(brentq(lambda w, k=k: resin(w) - k / 4 * resin(wall), 0, wall, xtol=1e-12) for k in (1, 2, 3)), wall]
        exact = [1000 * (b - a) for a, b in itertools.pairwise(walls)]
        steps = run_of(casting=replace(CASTING, skins=4)).steps
        assert [step.thickness.value for step in steps] == pytest.approx(exact, rel=1e-6)

    def test_flat_and_exact_shot_of_a_ball(self) -> None:
        # Calculated: a ball of 0.45 m2 at 4 mm: 1.762220 L exact against 1.800 L flat; 1050 kg/m3.
        run = run_of(takeoff=sphere_takeoff(math.sqrt(0.45 / (4 * math.pi))))
        assert run.casting_mass.value == pytest.approx(1762.220 * 1.05, rel=1e-6)
        assert run.shot_mass.value == pytest.approx(1890)


class TestSize:
    def test_of_three_hundred_millimetres(self) -> None:
        # Calculated: 0.4 and 0.3 %: 297.9036 mm, the piece × 1.00703718; published expansion, 45 to 21 °C: 1.416 to 1.896 mm.
        run = run_of(takeoff=box_takeoff(0.3, 0.2, 0.2), temperature_c=given(45, "degC"))
        assert run.size is not None
        assert run.oversize is not None
        assert run.warm_loss is not None
        assert run.size.value == pytest.approx(297.9036)
        assert 1 + run.oversize.value / 100 == pytest.approx(1.00703718, rel=1e-8)
        assert (run.warm_loss.low, run.warm_loss.high) == (pytest.approx(1.416, abs=1e-3), pytest.approx(1.896, abs=1e-3))


class TestLife:
    @pytest.mark.parametrize("molds", [1, 2])
    @pytest.mark.parametrize("count", [14, 20, 30, 40])
    def test_chance_is_log_normal(self, count: int, molds: int) -> None:
        # Independent: scipy's log-normal with a mean of 30 and a variation of 40 %: s^2 = ln 1.16, median 30 / sqrt 1.16.
        life = lognorm(s=math.log(1.16) ** 0.5, scale=30 / 1.16**0.5)
        assert (life.mean(), life.std()) == (pytest.approx(30), pytest.approx(12))
        plan = make_plan(
            brief(rubber=rubber(castings_expected=30), casting=replace(CASTING, count=count * molds), molds=molds)
        )  # fmt: skip
        assert plan.life is not None
        survive = float(life.sf(count)) ** molds
        assert plan.life.dies_before_end.value == pytest.approx(1 - survive, rel=1e-6)


class TestFrame:
    def test_turns_before_gel(self) -> None:
        # Calculated: 8 turns a minute for 3 minutes.
        three = replace(RESIN, properties={**RESIN.properties, "gel_min": given(3, "min")})
        plan = make_plan(brief(casting=replace(CASTING, resin=three)))
        assert plan.frame is not None
        assert plan.frame.turns_before_gel is not None
        assert plan.frame.turns_before_gel.value == pytest.approx(24)


class TestTroubles:
    def test_hours_that_four_jobs_of_five_keep(self) -> None:
        # Published: a task of 5, 8 and 14 has a mean of 8.5 and a spread of 1.5; scipy's 80th percentile of the normal.
        whole = brief()
        plan = make_plan(whole)
        minutes = replace(plan.tasks[0].minutes, low=5.0 * 60, value=8.0 * 60, high=14.0 * 60)
        alone = replace(plan, tasks=(replace(plan.tasks[0], minutes=minutes),), hours_hands_on=figure("hours", 8.0, "h"))
        found = next(line for line in plan_troubles(whole, alone) if line.key == "underquoted_hours")
        assert found.figures[1].value == pytest.approx(8.5 + float(norm.ppf(0.8)) * 1.5, rel=1e-5)
        assert found.tone == "look"

    def test_sixteen_hours_become_almost_thirty_in_a_cold_room(self) -> None:
        # Calculated: the Arrhenius law at 55 kJ/mol, 16 h at 23 °C become 29.7 h at 15 °C.
        cold = trouble(make_plan(brief(temperature_c=given(15, "degC"))), "too_cold")
        assert cold.figures[0].value / 60 == pytest.approx(29.74, abs=0.05)
        assert cold.tone == "look"

    @pytest.mark.parametrize(("widest", "opening", "stretch", "tone"), [
        (500, 400, 25, "good"), (600, 300, 100, "good"), (500, 200, 150, "look"),
    ])  # fmt: skip
    def test_girths_of_the_published_kind(self, widest: float, opening: float, stretch: float, tone: str) -> None:
        # Calculated: 0.40/0.50 is 25 %, 0.30/0.60 is 100 %, 0.20/0.50 is 150 %; a rubber of 400 % bears 133 % for a run.
        found = trouble(
            make_plan(
                brief(rubber=rubber(elongation_percent=400.0), widest_girth_mm=given(widest), opening_girth_mm=given(opening))
            ),
            "locked_casting",
        )
        assert found.figures[0].value == pytest.approx(stretch)
        assert found.tone == tone

    def test_ten_kilograms_of_kit_leave_almost_three_hundred_grams(self) -> None:
        # Calculated: 3 % too much B leaves A / 1.03 usable, so 0.0291 of A stands without B.
        plan = make_plan(brief(thickener=None, tint=None))
        found = trouble(plan, "kit_mismatch")
        a = sum(need.mass.value for need in plan.needs if need.material_key == "rubber" and need.component.value == "A")
        assert found.figures[0].value == pytest.approx(a * (1 - 1 / 1.03))
        assert found.figures[0].value / a == pytest.approx(0.0291, abs=5e-5)

    def test_a_mold_that_dies_at_the_twenty_second_pull(self) -> None:
        # Common practice: tin rubber gives 25 to 50 castings of polyurethane; a run of 22 is warned of, one of 15 is not.
        tin = rubber(Chemistry.TIN_SILICONE)
        tones = [
            trouble(make_plan(brief(casting=replace(CASTING, count=count), rubber=tin)), "worn_mold").tone for count in (22, 15)
        ]  # fmt: skip
        assert tones == ["look", "good"]
