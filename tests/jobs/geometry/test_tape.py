"""Tape readings: hollows and added solids thought through, and typing errors refused."""

import math
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from jobs.geometry.errors import GeometryError
from jobs.geometry.extras import Solid
from jobs.geometry.measured import Method
from jobs.geometry.outline import OutlineKind
from jobs.geometry.solids import DIMENSIONS, SolidKind, measure_solid
from jobs.geometry.stack import Girth
from jobs.geometry.takeoff import Takeoff, casting_volume, coat_volume
from jobs.geometry.tape import TapeBrief, takeoff_from_tape
from jobs.geometry.texture import ridged_texture, typed_texture
from jobs.geometry.typed import TypedBrief, takeoff_from_typed
from studio.figures import Figure

BLOCK = Solid(kind=SolidKind.BOX, dimensions_mm=(200, 200, 100))


def girths(*rows: tuple[float, ...]) -> tuple[Girth, ...]:
    return tuple(Girth(girth_mm=row[0], along_mm=row[1] if len(row) > 1 else 0, height_mm=row[2] if len(row) > 2 else None)
                 for row in rows)  # fmt: skip


def with_extra(**extra: Any) -> Takeoff:
    return takeoff_from_tape(TapeBrief(solids=(BLOCK, Solid(**extra)), stands_on_board=False))


class TestHollows:
    def test_a_pocket_adds_its_walls_and_takes_its_volume(self) -> None:
        plain = takeoff_from_tape(TapeBrief(solids=(BLOCK,), stands_on_board=False))
        pocket = with_extra(kind=SolidKind.CYLINDER, dimensions_mm=(60, 40), taken_away=True)
        assert (pocket.area.value - plain.area.value) * 1e6 == pytest.approx(math.pi * 60 * 40)
        assert (plain.volume.value - pocket.volume.value) * 1e9 == pytest.approx(math.pi * 30**2 * 40)

    def test_a_hole_right_through_loses_both_mouths(self) -> None:
        plain = takeoff_from_tape(TapeBrief(solids=(BLOCK,), stands_on_board=False))
        hole = with_extra(kind=SolidKind.CYLINDER, dimensions_mm=(60, 100), taken_away=True, through=True)
        assert (hole.area.value - plain.area.value) * 1e6 == pytest.approx(math.pi * 60 * 100 - 2 * math.pi * 30**2)
        # χ of a ring is 0.
        assert hole.sphere_part == pytest.approx(0)

    @pytest.mark.parametrize("through", [False, True])
    def test_bend_agrees_with_trimesh_on_a_box_with_a_square_hollow(self, through: bool) -> None:
        # Second opinion: ½ Σ ℓ θ by trimesh over a block of cells with one taken out.
        cells = np.ones((3, 3, 1 if through else 2), dtype=bool)
        cells[1, 1, -1] = False
        mesh = blocks(cells, 20.0)
        size = tuple(20.0 * n for n in cells.shape)
        body = Solid(kind=SolidKind.BOX, dimensions_mm=size)
        hollow = Solid(kind=SolidKind.BOX, dimensions_mm=(20, 20, 20), taken_away=True, through=through)
        takeoff = takeoff_from_tape(TapeBrief(solids=(body, hollow), stands_on_board=False))
        assert takeoff.area.value * 1e6 == pytest.approx(mesh.area)
        assert takeoff.volume.value * 1e9 == pytest.approx(mesh.volume)
        assert takeoff.mean_curvature.value * 1e3 == pytest.approx(mesh.integral_mean_curvature)
        assert takeoff.sphere_part == pytest.approx(2 * math.pi / 3 * mesh.euler_number)

    def test_coat_inside_a_pocket_is_that_of_its_walls(self) -> None:
        # exact for a box pocket with a sharp rim: outside grows round, inside walls meet square; bounds from both.
        plain = takeoff_from_tape(TapeBrief(solids=(BLOCK,), stands_on_board=False))
        pocket = with_extra(kind=SolidKind.BOX, dimensions_mm=(80, 80, 50), taken_away=True)
        added = (coat_volume(pocket, 4).value - coat_volume(plain, 4).value) * 1e9
        lining = 80 * 80 * 50 - 72 * 72 * 46
        mouth_lost = 80 * 80 * 4
        lip = 4 * 80 * math.pi / 4 * 4**2
        assert added == pytest.approx(lining - mouth_lost + lip, rel=0.03)

    def test_a_closed_hollow_is_refused(self) -> None:
        with pytest.raises(GeometryError, match="how wide the hollow"):
            with_extra(kind=SolidKind.SPHERE, dimensions_mm=(60,), taken_away=True)

    def test_hollows_larger_than_the_piece_are_refused(self) -> None:
        with pytest.raises(GeometryError, match="larger than the piece"):
            with_extra(kind=SolidKind.BOX, dimensions_mm=(190, 190, 90), taken_away=True, count=2)

    def test_only_straight_hollows_go_through(self) -> None:
        with pytest.raises(GeometryError, match="right through"):
            with_extra(kind=SolidKind.CONE, dimensions_mm=(60, 100), taken_away=True, through=True)

    def test_each_hollow_says_which_wall_fills_it(self) -> None:
        pocket = with_extra(kind=SolidKind.CYLINDER, dimensions_mm=(60, 40), taken_away=True)
        assert "a wall of 30 mm" in pocket.remarks[0].text


def blocks(cells: Any, edge: float) -> trimesh.Trimesh:
    """A mesh of cubes, faces between two cubes left out."""
    padded = np.pad(cells, 1)
    quads = []
    for cell in np.argwhere(cells):
        for axis in range(3):
            for sign in (1, -1):
                step = np.zeros(3, dtype=int)
                step[axis] = sign
                if not padded[tuple(cell + 1 + step)]:
                    corner = cell.astype(float)
                    corner[axis] += sign > 0
                    u, v = np.eye(3)[(axis + 1) % 3], np.eye(3)[(axis + 2) % 3]
                    quad = [corner, corner + u, corner + u + v, corner + v]
                    quads.append(quad if sign > 0 else quad[::-1])
    points = np.array(quads).reshape(-1, 3) * edge
    index = np.arange(len(points)).reshape(-1, 4)
    return trimesh.Trimesh(points, np.concatenate([index[:, [0, 1, 2]], index[:, [0, 2, 3]]]), process=True)


class TestAddedSolids:
    def test_an_arm_hides_its_contact_twice(self) -> None:
        plain = takeoff_from_tape(TapeBrief(solids=(BLOCK,), stands_on_board=False))
        arms = with_extra(kind=SolidKind.CYLINDER, dimensions_mm=(40, 150), count=2)
        # Two sides and two end discs; the discs' other ends and the body below them cancel out.
        assert (arms.area.value - plain.area.value) * 1e6 == pytest.approx(2 * math.pi * 40 * 150)
        assert (arms.volume.value - plain.volume.value) * 1e9 == pytest.approx(2 * math.pi * 20**2 * 150)
        assert arms.sphere_part == plain.sphere_part

    def test_bend_agrees_with_trimesh_on_a_block_with_a_knob(self) -> None:
        cells = np.zeros((3, 3, 2), dtype=bool)
        cells[:, :, 0] = True
        cells[1, 1, 1] = True
        mesh = blocks(cells, 20.0)
        body = Solid(kind=SolidKind.BOX, dimensions_mm=(60, 60, 20))
        knob = Solid(kind=SolidKind.BOX, dimensions_mm=(20, 20, 20))
        takeoff = takeoff_from_tape(TapeBrief(solids=(body, knob), stands_on_board=False))
        assert takeoff.area.value * 1e6 == pytest.approx(mesh.area)
        assert takeoff.mean_curvature.value * 1e3 == pytest.approx(mesh.integral_mean_curvature)

    def test_a_typed_contact_is_used(self) -> None:
        ball = with_extra(kind=SolidKind.SPHERE, dimensions_mm=(60,), contact_area_mm2=500.0)
        plain = takeoff_from_tape(TapeBrief(solids=(BLOCK,), stands_on_board=False))
        assert (ball.area.value - plain.area.value) * 1e6 == pytest.approx(4 * math.pi * 30**2 - 1000)

    def test_a_contact_over_half_the_surface_is_refused(self) -> None:
        with pytest.raises(GeometryError, match="more than half"):
            with_extra(kind=SolidKind.SPHERE, dimensions_mm=(60,), contact_area_mm2=6000.0)

    @pytest.mark.parametrize("count", [0, -1, 1001])
    def test_counts_out_of_range_are_refused(self, count: int) -> None:
        with pytest.raises(GeometryError, match="between 1 and 1000"):
            with_extra(kind=SolidKind.SPHERE, dimensions_mm=(60,), count=count)


class TestTakeoffFromTape:
    @given(st.lists(st.tuples(st.floats(50, 900), st.floats(200, 400)), min_size=2, max_size=8))
    def test_every_stack_has_more_surface_than_a_ball(self, rows: Any) -> None:
        takeoff = takeoff_from_tape(TapeBrief(girths=girths(*rows), stands_on_board=False))
        assert takeoff.area.value >= (36 * math.pi * takeoff.volume.value**2) ** (1 / 3)
        assert takeoff.method is Method.TAPE

    @given(st.lists(st.tuples(st.floats(50, 900), st.floats(200, 400)), min_size=2, max_size=6), st.floats(0.2, 5))
    def test_scales_as_s_squared_and_cubed(self, rows: Any, scale: float) -> None:
        small = takeoff_from_tape(TapeBrief(girths=girths(*rows)))
        large = takeoff_from_tape(TapeBrief(girths=girths(*((c * scale, s * scale) for c, s in rows))))
        assert large.area.value == pytest.approx(small.area.value * scale**2)
        assert large.volume.value == pytest.approx(small.volume.value * scale**3)
        assert large.mean_curvature.value == pytest.approx(small.mean_curvature.value * scale)

    def test_area_opens_to_every_side(self) -> None:
        takeoff = takeoff_from_tape(TapeBrief(girths=girths((600, 200), (700, 200), (500,)), solids=(
            Solid(kind=SolidKind.CONE, dimensions_mm=(30, 40)),)))  # fmt: skip
        keys = [part.key for part in takeoff.area.given if isinstance(part, Figure)]
        assert keys == ["side_1", "side_2", "top_disc", "solid_1_area"]
        assert takeoff.area.value == pytest.approx(sum(part.value for part in takeoff.area.given))

    def test_a_pointed_top_has_no_disc(self) -> None:
        cone = takeoff_from_tape(TapeBrief(girths=girths((math.pi * 100, math.hypot(50, 120)), (0,)), stands_on_board=False))
        solid = takeoff_from_tape(
            TapeBrief(solids=(Solid(kind=SolidKind.CONE, dimensions_mm=(100, 120)),), stands_on_board=False)
        )
        assert cone.area.value == pytest.approx(solid.area.value)
        assert cone.mean_curvature.value == pytest.approx(solid.mean_curvature.value)
        assert coat_volume(cone, 10).value == pytest.approx(coat_volume(solid, 10).value)

    def test_a_stack_like_a_cylinder_casts_like_it(self) -> None:
        stack = takeoff_from_tape(TapeBrief(girths=girths((math.pi * 100, 120), (math.pi * 100,)), stands_on_board=False))
        solid = takeoff_from_tape(
            TapeBrief(solids=(Solid(kind=SolidKind.CYLINDER, dimensions_mm=(100, 120)),), stands_on_board=False)
        )
        # They differ in the w³ term alone: 2π − 4π/3.
        gap = casting_volume(solid, 4).value - casting_volume(stack, 4).value
        assert gap * 1e9 == pytest.approx((2 * math.pi - 4 * math.pi / 3) * 4**3)

    def test_a_flat_step_is_a_ring(self) -> None:
        stepped = takeoff_from_tape(TapeBrief(girths=girths(
            (math.pi * 100, 50), (math.pi * 100, 20), (math.pi * 60, 70), (math.pi * 60,)), stands_on_board=False))  # fmt: skip
        exact = math.pi * (100 * 50 + 60 * 70) + 2 * math.pi * 50**2
        assert stepped.area.value * 1e6 == pytest.approx(exact)
        assert stepped.volume.value * 1e9 == pytest.approx(math.pi * (50**2 * 50 + 30**2 * 70))

    def test_outline_is_the_profile(self) -> None:
        outline = takeoff_from_tape(TapeBrief(girths=girths((math.pi * 100, 50), (math.pi * 100,)))).outline
        assert outline is not None
        assert outline.kind is OutlineKind.PROFILE
        assert [(round(r, 9), round(z, 9)) for r, z in outline.points] == [(50, 0), (50, 50), (0, 50)]

    @pytest.mark.parametrize(
        ("rows", "words"),
        [
            (((600,),), "at least two girths"),
            (((600, 100), (-5,)), "Girth 2"),
            (((600, 100), (0, 100), (500,)), "Girth 2"),
            (((600, 100), (math.nan,)), "Girth 2"),
            (((600, 100), (60_000,)), "check its unit"),
            (((600, 0), (500,)), "between girths 1 and 2"),
            (((600, 100), (500, 30), (900,)), "between girths 2 and 3 is 30 mm, but the radius changes by 64 mm"),
            (((600, 100, 150), (600,)), "not upright"),
            (((600, 100, -1), (600,)), "0 mm or more"),
            (((0, 100), (600,)), "base girth"),
        ],
    )
    def test_names_the_reading_to_check(self, rows: Any, words: str) -> None:
        with pytest.raises(GeometryError, match=words):
            takeoff_from_tape(TapeBrief(girths=girths(*rows)))

    def test_nothing_measured_is_refused(self) -> None:
        with pytest.raises(GeometryError, match="at least two girths, or one simple solid"):
            takeoff_from_tape(TapeBrief())

    def test_a_body_that_is_a_hollow_is_refused(self) -> None:
        with pytest.raises(GeometryError, match="body itself"):
            takeoff_from_tape(TapeBrief(solids=(Solid(kind=SolidKind.BOX, dimensions_mm=(1, 1, 1), taken_away=True),)))

    def test_a_ring_cannot_stand(self) -> None:
        with pytest.raises(GeometryError, match="no flat face"):
            takeoff_from_tape(TapeBrief(solids=(Solid(kind=SolidKind.TORUS, dimensions_mm=(100, 20)),)))

    def test_contacts_that_leave_less_surface_than_a_ball_are_refused(self) -> None:
        cube = Solid(kind=SolidKind.BOX, dimensions_mm=(100, 100, 100))
        slab = Solid(kind=SolidKind.BOX, dimensions_mm=(100, 100, 50), contact_area_mm2=19_000.0, count=2)
        with pytest.raises(GeometryError, match="cannot belong to one piece"):
            takeoff_from_tape(TapeBrief(solids=(cube, slab), stands_on_board=False))

    @pytest.mark.parametrize(("width", "board"), [(-1, True), (1001, True), (math.nan, True), (10, False)])
    def test_refuses_a_flange_that_cannot_be(self, width: float, board: bool) -> None:
        with pytest.raises(GeometryError, match="flange"):
            takeoff_from_tape(TapeBrief(solids=(BLOCK,), flange_width_mm=width, stands_on_board=board))


class TestMeasureSolid:
    @pytest.mark.parametrize("kind", SolidKind)
    def test_needs_its_lengths(self, kind: SolidKind) -> None:
        with pytest.raises(GeometryError, match="lengths: "):
            measure_solid(kind, (1.0,) * (len(DIMENSIONS[kind]) + 1))

    @pytest.mark.parametrize("bad", [0.0, -5.0, math.nan, math.inf, 20_001.0])
    def test_refuses_what_is_no_length(self, bad: float) -> None:
        with pytest.raises(GeometryError, match="height of the box"):
            measure_solid(SolidKind.BOX, (10.0, 10.0, bad))

    def test_refuses_a_tube_thicker_than_its_ring(self) -> None:
        with pytest.raises(GeometryError, match="thicker"):
            measure_solid(SolidKind.TORUS, (50, 60))

    def test_a_frustum_without_top_is_a_cone(self) -> None:
        assert measure_solid(SolidKind.FRUSTUM, (100, 0, 120)) == measure_solid(SolidKind.CONE, (100, 120))

    @pytest.mark.parametrize("kind", [kind for kind in SolidKind if kind is not SolidKind.TORUS])
    def test_every_outline_spans_the_box(self, kind: SolidKind) -> None:
        lengths = {1: (80.0,), 2: (80.0, 120.0), 3: (80.0, 60.0, 120.0)}[len(DIMENSIONS[kind])]
        takeoff = takeoff_from_tape(TapeBrief(solids=(Solid(kind=kind, dimensions_mm=lengths),), stands_on_board=False))
        assert takeoff.outline is not None
        across, up = zip(*takeoff.outline.points, strict=True)
        assert max(across) == pytest.approx(takeoff.box_mm[0] / 2)
        assert max(up) - min(up) == pytest.approx(takeoff.box_mm[2])
        assert min(up) == pytest.approx(0)


class TestTexture:
    @pytest.mark.parametrize("factor", [0.99, 3.01, math.nan])
    def test_refuses_a_factor_out_of_range(self, factor: float) -> None:
        with pytest.raises(GeometryError, match="texture factor"):
            typed_texture(factor)

    def test_no_ridges_are_smooth(self) -> None:
        assert ridged_texture(amplitude_mm=0, wavelength_mm=3).value == pytest.approx(1)

    def test_refuses_ridges_without_distance(self) -> None:
        with pytest.raises(GeometryError, match="distance above 0"):
            ridged_texture(amplitude_mm=1, wavelength_mm=0)

    def test_refuses_ridges_that_are_hollows(self) -> None:
        with pytest.raises(GeometryError, match="enter them as hollows"):
            ridged_texture(amplitude_mm=10, wavelength_mm=2)


class TestTakeoffFromTyped:
    def test_a_ball_typed_in_is_the_ball(self) -> None:
        typed = takeoff_from_typed(TypedBrief(area_m2=4 * math.pi * 0.15**2, volume_m3=4 / 3 * math.pi * 0.15**3))
        # published: Steiner's formula for a ball of 150 mm under 10 mm.
        assert coat_volume(typed, 10).value == pytest.approx(0.003020117738, rel=1e-9)
        assert typed.spread_percent.value == 30

    def test_bend_is_a_lower_bound_for_a_box(self) -> None:
        box = measure_solid(SolidKind.BOX, (300, 200, 500))
        typed = takeoff_from_typed(TypedBrief(area_m2=0.62, volume_m3=0.03))
        assert 0.8 * box.closed.bend_mm < typed.mean_curvature.value * 1e3 < box.closed.bend_mm

    def test_less_surface_than_a_ball_is_refused(self) -> None:
        with pytest.raises(GeometryError, match=r"10 litres need at least 0\.224 m²"):
            takeoff_from_typed(TypedBrief(area_m2=0.2, volume_m3=0.010))

    @pytest.mark.parametrize(("area", "volume"), [(0, 1), (-1, 1), (1, 0), (math.nan, 1), (1, math.inf)])
    def test_refuses_what_is_no_amount(self, area: float, volume: float) -> None:
        with pytest.raises(GeometryError, match="more than 0"):
            takeoff_from_typed(TypedBrief(area_m2=area, volume_m3=volume))
