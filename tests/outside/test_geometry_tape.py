"""Tape readings, texture and displacement against worked values and trimesh."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
import trimesh

from jobs.geometry.other_ways import displaced_volume, foil_area, water_density_kg_m3
from jobs.geometry.stack import Girth, rings_of, stack_bend_mm
from jobs.geometry.takeoff import coat_volume
from jobs.geometry.tape import TapeBrief, takeoff_from_tape
from jobs.geometry.texture import ridged_texture


def stack(girths: Sequence[float], along: Sequence[float], heights: Sequence[float | None] = ()) -> tuple[Girth, ...]:
    rows = zip(girths, [*along, 0.0], heights or [None] * len(girths), strict=True)
    return tuple(Girth(girth_mm=g, along_mm=s, height_mm=h) for g, s, h in rows)


def stack_of(profile: Sequence[tuple[float, float]]) -> tuple[Girth, ...]:
    """Girths of a profile of (radius, height) points, off the axis."""
    steps = [math.dist(a, b) for a, b in pairwise(profile)]
    return stack([2 * math.pi * r for r, _ in profile], steps)


class TestGirthStacks:
    # The rule ½ (C₁ + C₂) s is exact for cone frusta (derivation: unrolled sector).
    def test_one_ring_of_600_to_900_mm_over_400_mm(self) -> None:
        takeoff = takeoff_from_tape(TapeBrief(girths=stack([600, 900], [400])))
        side = takeoff.area.given[0]
        assert side.value == pytest.approx(0.30)

    def test_five_girths(self) -> None:
        girths = stack([500, 620, 700, 660, 400], [100, 110, 100, 140])
        closed = takeoff_from_tape(TapeBrief(girths=girths, stands_on_board=False))
        base, top = 0.0198943679, 0.0127323954
        assert closed.area.value == pytest.approx(0.2708 + base + top, abs=1e-9)
        on_board = takeoff_from_tape(TapeBrief(girths=girths))
        assert on_board.area.value == pytest.approx(0.2708 + top, abs=1e-9)
        assert on_board.footprint_area.value == pytest.approx(base, abs=1e-9)

    def test_five_girths_with_heights_of_100_mm_hold_11_94_litres(self) -> None:
        # With 0.10 m of height everywhere; distances are those that such heights need.
        circles = [500, 620, 700, 660, 400]
        along = [math.hypot(100, (b - a) / (2 * math.pi)) for a, b in pairwise(circles)]
        takeoff = takeoff_from_tape(TapeBrief(girths=stack(circles, along, [100.0] * 4 + [None])))
        assert takeoff.volume.value * 1000 == pytest.approx(11.93662073, rel=1e-9)

    def test_the_oval_of_the_remark_overstates_its_section_by_6_27_percent(self) -> None:
        # Perimeter of an ellipse of 300 × 200 mm axes (published: complete elliptic integral): 0.7932719795 m.
        girth = 793.2719795
        takeoff = takeoff_from_tape(TapeBrief(girths=stack([girth, girth], [100])))
        assert takeoff.footprint_area.value == pytest.approx(0.0500765458, rel=1e-9)
        assert takeoff.footprint_area.value / 0.0471238898 - 1 == pytest.approx(0.0627, abs=5e-5)


class TestBendOfStacks:
    # Second opinion: trimesh sums ½ ℓ θ over the edges of a revolved mesh.
    PROFILES = (
        [(50, 0), (50, 120)],
        [(50, 0), (30, 120)],
        [(30, 0), (50, 120)],
        [(50, 0), (50, 60), (20, 60), (20, 80), (45, 120), (10, 150)],
        [(40, 0), (60, 30), (25, 70), (55, 90), (55, 140)],
    )

    @pytest.mark.parametrize("profile", PROFILES)
    def test_closed_stack_agrees_with_a_revolved_mesh(self, profile: list[tuple[float, float]]) -> None:
        line = np.array([(0, profile[0][1]), *profile, (0, profile[-1][1])], dtype=float)
        mesh = trimesh.creation.revolve(line, sections=512)
        rings = rings_of(stack_of(profile))
        assert stack_bend_mm(rings, on_board=False) == pytest.approx(mesh.integral_mean_curvature, rel=2e-4)

    @pytest.mark.parametrize("profile", PROFILES)
    def test_area_and_volume_agree_with_a_revolved_mesh(self, profile: list[tuple[float, float]]) -> None:
        line = np.array([(0, profile[0][1]), *profile, (0, profile[-1][1])], dtype=float)
        mesh = trimesh.creation.revolve(line, sections=512)
        takeoff = takeoff_from_tape(TapeBrief(girths=stack_of(profile), stands_on_board=False))
        assert takeoff.area.value * 1e6 == pytest.approx(mesh.area, rel=1e-4)
        assert takeoff.volume.value * 1e9 == pytest.approx(mesh.volume, rel=1e-4)

    @pytest.mark.parametrize("lean", [30, -30])
    def test_coat_of_a_leaning_wall_ends_on_the_board(self, lean: float) -> None:
        # Rings of the exact coat by integration: distance to a frustum's profile, swept round the axis by Pappus.
        r, h, t = 100.0, 80.0, 2.0
        takeoff = takeoff_from_tape(TapeBrief(girths=stack_of([(r, 0), (r + lean, h)])))
        step = 0.05
        x, z = np.meshgrid(np.arange(step / 2, r + 60, step), np.arange(step / 2, h + 10, step), indexing="ij")
        ends = np.array([(r, 0.0), (r + lean, h)]), np.array([(r + lean, h), (0.0, h)])
        inside = x <= r + lean * z / h
        inside &= z <= h
        near = np.zeros_like(inside)
        for start, end in ends:
            along = end - start
            share = np.clip(((x - start[0]) * along[0] + (z - start[1]) * along[1]) / (along @ along), 0, 1)
            near |= np.hypot(x - start[0] - share * along[0], z - start[1] - share * along[1]) <= t
        swept = float((2 * np.pi * x[near & ~inside]).sum()) * step**2
        assert coat_volume(takeoff, t).value * 1e9 == pytest.approx(swept, rel=2e-3)


class TestTexture:
    # Mean of √(1 + (2πa/λ cos x)²) over one ridge, by quadrature.
    @pytest.mark.parametrize(("ratio", "factor"), [(0.05, 1.0242), (0.10, 1.0924), (0.20, 1.3207)])
    def test_ridges_multiply_the_area(self, ratio: float, factor: float) -> None:
        given = ridged_texture(amplitude_mm=ratio * 4, wavelength_mm=4)
        assert given.value == pytest.approx(factor, abs=5e-5)
        x = (np.arange(100_000) + 0.5) / 100_000 * math.pi
        assert given.value == pytest.approx(np.sqrt(1 + (2 * math.pi * ratio * np.cos(x)) ** 2).mean(), rel=1e-9)


class TestOtherWays:
    @pytest.mark.parametrize(("temperature", "density"), [(20, 998.2071505), (23, 997.5413851)])
    def test_density_of_water(self, temperature: float, density: float) -> None:
        # Values of the IAPWS-95 formulation at 101.325 kPa, as CoolProp gives them.
        assert water_density_kg_m3(temperature) == pytest.approx(density, rel=3e-6)

    def test_overflow_of_4_312_kg_at_20_degrees_is_4_3197_litres(self) -> None:
        assert displaced_volume(mass_g=4312, temperature_degc=20).value * 1000 == pytest.approx(4.319746, rel=3e-6)

    def test_foil_of_12_3_g_covers_0_2847_m2(self) -> None:
        # 16 µm aluminium foil weighs 43.2 g/m² (from memory: density 2700 kg/m³).
        assert foil_area(mass_g=12.3).value == pytest.approx(0.2847, abs=5e-5)


class TestIsoperimetricBound:
    def test_ten_litres_need_0_2245_m2(self) -> None:
        # published: isoperimetric inequality, equal for the ball.
        assert (36 * math.pi * 0.010**2) ** (1 / 3) == pytest.approx(0.2244661156, rel=1e-9)
        radius = 1000 * (0.010 * 3 / (4 * math.pi)) ** (1 / 3)
        angles = np.linspace(-math.pi / 2, math.pi / 2, 91)
        profile = [(max(radius * math.cos(a), 0.0), radius * math.sin(a)) for a in angles]
        ball = takeoff_from_tape(TapeBrief(girths=stack_of(profile), stands_on_board=False))
        assert ball.area.value == pytest.approx(0.2244661156, rel=1e-3)
        assert ball.volume.value == pytest.approx(0.010, rel=1e-3)
