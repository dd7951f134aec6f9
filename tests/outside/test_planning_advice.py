"""Advice of a plan (air, wall, standing, stretch, keys) against published values and independent libraries."""

import math
from dataclasses import replace
from typing import Any

import fluids
import pytest
import trimesh
from scipy import integrate

from jobs.planning.advice.air import plan_air
from jobs.planning.advice.stand import plan_stand
from jobs.planning.advice.stretch import plan_stretch
from jobs.planning.advice.wall import advise_wall
from jobs.planning.brief import Deairing
from jobs.planning.results import AirPlan, StandPlan
from jobs.planning.rubber.keys import plan_keys
from jobs.planning.rubber.laying import plan_laying
from materials.science.material import MaterialSpec
from studio.figures import Figure
from studio.workrates import default_rates
from tests.jobs.planning.builders import CASTING, box_takeoff, brief, given, rubber

INHG_KPA = 3.386389


def air(**changes: Any) -> AirPlan:
    made = brief(**changes)
    return plan_air(made, plan_laying(made).coats)


def stand(**changes: Any) -> StandPlan:
    found = plan_stand(brief(**changes))
    assert found is not None
    return found


def by_hardness(shore_a: float) -> MaterialSpec:
    """Return a rubber of which only the hardness is known."""
    bare = rubber(hardness_shore_a=shore_a)
    return replace(bare, properties={key: value for key, value in bare.properties.items() if key != "modulus_100_mpa"})


def value(figure: Figure | None) -> float:
    assert figure is not None
    return figure.value


class TestBubbles:
    # Viscosity 20 Pa·s that doubles every 5 min, 20 min until gel: what a pot life of 20 min gives with four doublings.
    RUBBER = rubber(viscosity_pa_s=20.0, pot_life_min=20.0, gel_min=20.0)

    @pytest.mark.parametrize(("coat_mm", "bubble_mm"), [(2.0, 0.4056), (0.5, 0.2028)])
    def test_smallest_that_leaves(self, coat_mm: float, bubble_mm: float) -> None:
        # Calculated: d = sqrt(18 mu h / (rho g t)), t = 6.762633 min of 20.
        assert value(air(rubber=self.RUBBER, print_coat_mm=given(coat_mm, "mm")).smallest_leaving) == pytest.approx(
            bubble_mm, abs=5e-5
        )

    def test_cleared_layer_is_the_way_that_fluids_lets_a_bubble_rise(self) -> None:
        # Independent: fluids.drag.v_terminal for a gas bubble of 0.4 mm at every viscosity on the way, integrated by scipy.
        def rises(minute: float) -> float:
            viscosity = 20.0 * 2 ** (minute / 5)
            return -60.0 * float(fluids.drag.v_terminal(D=0.4e-3, rhop=0.0, rho=1100, mu=viscosity))

        way_mm = 1000 * integrate.quad(rises, 0, 20)[0]
        assert value(air(rubber=self.RUBBER).clears) == pytest.approx(way_mm, rel=1e-4)


class TestVacuum:
    def test_29_inches_of_mercury(self) -> None:
        # Calculated by Boyle: 3.11548 kPa left of 101.325: 32.523 times; 5 % of air foams to 2.5762 times.
        rates = {**default_rates(), "vacuum_abs_kpa": given((29.92 - 29) * INHG_KPA, "kPa")}
        found = air(rubber=rubber(viscosity_pa_s=20.0), deairing=Deairing.VACUUM, rates=rates)
        assert value(found.foam) == pytest.approx(2.5762, abs=5e-4)

    @pytest.mark.parametrize("altitude_m", [0.0, 500.0, 1500.0, 2240.0])
    def test_air_at_an_altitude(self, altitude_m: float) -> None:
        # Independent: fluids' U.S. Standard Atmosphere 1976. Air of 1500 m and 2240 m: 24.970 and 22.786 inHg at most.
        rates = {**default_rates(), "altitude_m": given(altitude_m, "m")}
        found = air(rubber=rubber(viscosity_pa_s=20.0), deairing=Deairing.VACUUM, rates=rates)
        gauge = next(f for r in found.reasons for f in r.figures if f.key == "vacuum_gauge")
        assert gauge.value == pytest.approx(fluids.atmosphere.ATMOSPHERE_1976(altitude_m).P / 1000 - 3.1, rel=1e-5)


class TestWall:
    def test_six_millimetres_in_four_equal_coats(self) -> None:
        # Calculated: 6 / (1 - 1.645 x 0.20 / 2) = 7.181 mm; common practice for the least and for 20 %.
        small = brief(
            takeoff=box_takeoff(0.1, 0.1, 0.2), wall_mm=given(8, "mm"), print_coat_mm=given(2, "mm"),
            closing_coat_mm=given(2, "mm"), build_coats=2,
        )  # fmt: skip
        found = advise_wall(small, plan_laying(small).coats)
        assert found is not None
        assert found.mean.value == pytest.approx(7.181, abs=5e-4)

    def test_one_coat_alone(self) -> None:
        # Calculated: 6 / (1 - 1.645 x 0.20) = 6 / 0.671 = 8.9419 mm.
        one = brief(
            takeoff=box_takeoff(0.1, 0.1, 0.2), wall_mm=given(8, "mm"), print_coat_mm=given(8, "mm"),
            closing_coat_mm=given(0, "mm"),
        )  # fmt: skip
        found = advise_wall(one, plan_laying(one).coats)
        assert found is not None
        assert found.mean.value == pytest.approx(8.9419, abs=5e-5)

    def test_carries_itself_over_a_hundred_millimetres(self) -> None:
        # Calculated: 20 Shore A by Gent (0.731922 MPa), 1 mm of sag, gripped all round: 4.088 mm with 0.00126, here 0.001265.
        # Gent's is the stiffest relation at 20 Shore A, so it is the low end of the range.
        plan = brief(rubber=by_hardness(20), key_spacing_mm=given(100, "mm"))
        found = advise_wall(plan, plan_laying(plan).coats)
        assert found is not None
        carried = next(f for r in found.reasons for f in r.figures if f.key == "wall_carried")
        assert carried.low == pytest.approx(4.088 * math.sqrt(0.001265 / 0.00126), abs=1e-3)


class TestStanding:
    @pytest.mark.parametrize(
        ("shore_a", "wall_mm", "height_m"),
        [(20, 6, 0.1168), (20, 8, 0.1415), (20, 10, 0.1643), (20, 12, 0.1855)],
    )
    def test_greenhills_height(self, shore_a: float, wall_mm: float, height_m: float) -> None:
        # Published law (Greenhill 1881), calculated with Gent's modulus, the stiffest relation at 20 Shore A.
        found = stand(rubber=by_hardness(shore_a), wall_mm=given(wall_mm, "mm")).freestanding
        assert found is not None
        assert found.high == pytest.approx(height_m, abs=6e-5)

    def test_gap_under_resin(self) -> None:
        # Calculated: 13.376 mm of 20 Shore A span 100 mm under 150 mm of resin (1050 kg/m3) with 1 mm of sag.
        found = stand(
            rubber=by_hardness(20), takeoff=box_takeoff(0.3, 0.2, 0.15), wall_mm=given(13.376, "mm"), casting=CASTING
        ).widest_gap
        assert found is not None
        assert found.high == pytest.approx(100 * (0.00126 / 0.001265) ** 0.25, abs=0.01)

    def test_ribs_make_it_stand(self) -> None:
        # Independent: second moment of the T-section by integrating over its height, put into Greenhill's law.
        found = stand(takeoff=box_takeoff(0.15, 0.1, 0.2), key_spacing_mm=given(100, "mm"))
        height, wall = value(found.rib_height), 10.0

        def width(z: float) -> float:
            return 100.0 if z < wall else 20.0

        limits = {"points": [wall], "limit": 200}
        area = integrate.quad(width, 0, wall + height, **limits)[0]
        middle = integrate.quad(lambda z: z * width(z), 0, wall + height, **limits)[0] / area
        moment = integrate.quad(lambda z: (z - middle) ** 2 * width(z), 0, wall + height, **limits)[0]
        stiff = 3 / 1.75 * 0.34e6
        stands_m = (7.8373 * stiff * moment / area * 1e-6 / (1100 * 9.80665)) ** (1 / 3)
        assert stands_m == pytest.approx(0.2, rel=1e-5)


class TestKeys:
    def test_volume_of_one_is_that_of_a_mesh(self) -> None:
        # Independent: trimesh's convex hull of the eight corners.
        made = plan_keys(brief(key_spacing_mm=given(100, "mm")))
        assert made is not None
        foot, top = 10.0, 10.0 - 12 * math.tan(math.radians(15))
        corners = [(x * size, y * size, z) for size, z in ((foot, 0.0), (top, 12.0)) for x in (-1, 1) for y in (-1, 1)]
        mesh = trimesh.convex.convex_hull(corners)
        assert made.volume.value / made.number.value == pytest.approx(mesh.volume / 1e6, rel=1e-9)


class TestStretch:
    @pytest.mark.parametrize(("opening", "widest", "percent"), [(300, 600, 100), (400, 500, 25), (200, 500, 150)])
    def test_over_an_undercut(self, opening: float, widest: float, percent: float) -> None:
        # Calculated: girth of the bulb over girth of the opening, less one.
        made = brief(opening_girth_mm=given(opening, "mm"), widest_girth_mm=given(widest, "mm"))
        assert value(plan_stretch(made)) == pytest.approx(percent)
