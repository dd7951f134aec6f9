"""Coats and mixes: what must always hold."""

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from jobs.planning.errors import BadBrief, WallTooThin
from jobs.planning.plan import make_plan
from jobs.planning.results import CoatRole, Component
from materials.science.errors import PotLifeTooShort
from tests.jobs.planning.builders import box_takeoff, brief, given, rubber


def blanket(**changes: object):  # type: ignore[no-untyped-def]
    """Return a plan of the blanket alone."""
    return make_plan(brief(fill_volume_l=None, shell=None, casting=None, **changes))


walls = st.floats(3, 30)
temperatures = st.floats(15, 35)


class TestCoats:
    @settings(max_examples=40, deadline=None)
    @drawn(walls, st.floats(0.3, 1), st.floats(0, 1.5))
    def test_thicknesses_sum_to_the_wall(self, wall: float, first: float, last: float) -> None:
        plan = blanket(wall_mm=given(wall), print_coat_mm=given(first), closing_coat_mm=given(last))
        assert sum(coat.thickness.value for coat in plan.coats) == pytest.approx(wall)

    @settings(max_examples=40, deadline=None)
    @drawn(walls)
    def test_no_build_coat_is_thicker_than_the_rubber_holds(self, wall: float) -> None:
        plan = blanket(wall_mm=given(wall))
        builds = [coat.thickness.value for coat in plan.coats if coat.role is CoatRole.BUILD]
        assert max(builds) <= 0.8 * 3 * (1 + 1e-9)

    @settings(max_examples=40, deadline=None)
    @drawn(walls, temperatures)
    def test_mass_in_is_mass_laid_and_lost(self, wall: float, temperature: float) -> None:
        plan = blanket(wall_mm=given(wall), temperature_c=given(temperature))
        for coat in plan.coats:
            mixed = sum(mix.mass.value for mix in coat.mixes)
            assert mixed == pytest.approx(coat.mixed_mass.value)
            assert mixed * (1 - 0.075) == pytest.approx(coat.net_mass.value)
            for mix in coat.mixes:
                assert sum(part.mass.value for part in mix.parts) == pytest.approx(mix.mass.value)

    @settings(max_examples=40, deadline=None)
    @drawn(walls, temperatures, st.integers(1, 4))
    def test_no_mix_is_above_the_cap_of_the_day(self, wall: float, temperature: float, positions: int) -> None:
        plan = blanket(wall_mm=given(wall), temperature_c=given(temperature), positions=positions)
        for coat in plan.coats:
            assert len(coat.mixes) % positions == 0
            assert max(mix.mass.value for mix in coat.mixes) <= coat.mix_cap.value * (1 + 1e-6)

    @settings(max_examples=30, deadline=None)
    @drawn(st.floats(15, 34), st.floats(0.1, 1))
    def test_warmth_never_enlarges_a_mix_nor_lengthens_a_wait(self, temperature: float, more: float) -> None:
        cool, warm = blanket(temperature_c=given(temperature)), blanket(temperature_c=given(temperature + more))
        assert warm.blanket_cure.value < cool.blanket_cure.value
        for before, after in zip(cool.coats, warm.coats, strict=True):
            assert after.mix_cap.value < before.mix_cap.value
            assert after.earliest_next.value < before.earliest_next.value

    @settings(max_examples=30, deadline=None)
    @drawn(st.floats(0.5, 3))
    def test_a_piece_and_wall_grown_alike_take_the_cube_of_rubber(self, scale: float) -> None:
        plain = {"thickener": None, "tint": None}
        small = blanket(wall_mm=given(8), print_coat_mm=given(0.5), closing_coat_mm=given(0.5), **plain)
        large = blanket(
            takeoff=box_takeoff(0.3 * scale, 0.2 * scale, 0.5 * scale),
            wall_mm=given(8 * scale),
            print_coat_mm=given(0.5 * scale),
            closing_coat_mm=given(0.5 * scale),
            **plain,
        )
        assert large.blanket_mass.value == pytest.approx(small.blanket_mass.value * scale**3)

    def test_print_coat_is_unthickened_and_colours_alternate(self) -> None:
        plan = blanket()
        assert [coat.thickened for coat in plan.coats] == [False, True, True, True, True, True]
        assert [coat.tinted for coat in plan.coats] == [True, False, True, False, True, False]
        assert all(Component.THICKENER not in {part.component for part in mix.parts} for mix in plan.coats[0].mixes)

    def test_doses_count_on_the_rubber(self) -> None:
        parts = {part.component: part.mass.value for part in blanket().coats[1].mixes[0].parts}
        rubber_g = parts[Component.A] + parts[Component.B]
        assert parts[Component.THICKENER] == pytest.approx(0.02 * rubber_g)
        assert parts[Component.A] == pytest.approx(10 * parts[Component.B])

    def test_a_decided_number_of_build_coats_is_kept(self) -> None:
        plan = blanket(build_coats=2)
        assert plan.coats_count.value == 4
        assert any(remark.key == "sag" and remark.tone == "stop" for remark in plan.remarks)

    def test_each_position_gets_its_own_mixes_and_no_more(self) -> None:
        # 592 g in cups of at most 475 g: two mixes in one position, and one in each of two.
        assert len(blanket().coats[0].mixes) == 2
        assert len(blanket(positions=2).coats[0].mixes) == 2
        assert len(blanket(positions=3).coats[0].mixes) == 3

    def test_small_pieces_lose_more(self) -> None:
        plan = blanket(takeoff=box_takeoff(0.1, 0.1, 0.1), wall_mm=given(6))
        assert plan.rubber_fresh.value == pytest.approx(plan.rubber_net.value / 0.8)

    def test_refuses_a_wall_below_its_thin_coats(self) -> None:
        with pytest.raises(WallTooThin, match="thicker"):
            blanket(wall_mm=given(1.5))

    @pytest.mark.parametrize("wall", [0, -3, 101, float("nan")])
    def test_refuses_an_impossible_wall(self, wall: float) -> None:
        with pytest.raises(BadBrief):
            blanket(wall_mm=given(wall))

    def test_refuses_a_pot_life_too_short_for_the_day(self) -> None:
        with pytest.raises(PotLifeTooShort):
            blanket(rubber=rubber(pot_life_min=4))
