"""What holds for every plan, over random briefs: mass, walls, cups, warmth, windows, lifts and scale.

Each law is worked out here a second time, from what the mold maker gives, and not with the program's own functions.
"""

import math
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import pytest
from hypothesis import assume, reject, settings
from hypothesis import given as drawn
from hypothesis import strategies as st

from jobs.planning.brief import Making, PlanBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import CoatRole, Component, Mix
from jobs.planning.work.handout_times import CLOSES_UNSEEN, WorkingHours, cure_calendar
from materials.science.errors import PotLifeTooShort
from materials.science.mixing import kit_use
from tests.jobs.planning.builders import SCRAP, box_takeoff, given
from tests.jobs.planning.drawn_briefs import briefs, of_every_making

GAS_CONSTANT = 8.314462618
MINUTES_PER_M2 = {
    CoatRole.PRINT: "print_coat_min_per_m2",
    CoatRole.BUILD: "build_coat_min_per_m2",
    CoatRole.CLOSING: "closing_coat_min_per_m2",
}
few = settings(max_examples=12, deadline=None)


def weighed(mixes: tuple[Mix, ...]) -> float:
    """Add up what is weighed into mixes [g]."""
    return sum(part.mass.value for mix in mixes for part in mix.parts)


def litres(mixes: tuple[Mix, ...], whole: PlanBrief) -> float:
    """Add up the volumes of what is weighed; what has no density of its own counts as the rubber [L]."""
    base = whole.rubber.properties["density_kg_m3"].value
    specs = {Component.THICKENER: whole.thickener, Component.TINT: whole.tint}
    total = 0.0
    for mix in mixes:
        for part in mix.parts:
            spec = specs.get(part.component)
            own = None if spec is None else spec.properties.get("density_kg_m3")
            total += part.mass.value / (base if own is None else own.value)
    return total


def pot_life(whole: PlanBrief) -> float:
    """Work out the pot life at the bench's temperature by Arrhenius' law [min]."""
    numbers = whole.rubber.properties
    slope = 1000 * numbers["activation_energy_kj_mol"].value / GAS_CONSTANT
    cold = 1 / (numbers["reference_temp_c"].value + 273.15) - 1 / (whole.temperature_c.value + 273.15)
    return float(numbers["pot_life_min"].value * math.exp(-slope * cold))


class TestMass:
    @few
    @drawn(of_every_making())
    def test_in_is_mass_applied_and_mass_lost_for_each_coat(self, whole: PlanBrief) -> None:
        small = whole.takeoff.area.value <= 0.1
        brushed = "detail_loss_percent" if small else "blanket_loss_percent"
        lost = whole.rates[brushed if whole.making is Making.BRUSHED else "pour_loss_percent"].value / 100
        for coat in make_plan(whole).coats:
            assert weighed(coat.mixes) == pytest.approx(coat.mixed_mass.value, rel=1e-9)
            assert sum(mix.mass.value for mix in coat.mixes) == pytest.approx(coat.mixed_mass.value, rel=1e-9)
            assert sum(mix.net_mass.value for mix in coat.mixes) == pytest.approx(coat.net_mass.value, rel=1e-9)
            assert coat.net_mass.value + lost * coat.mixed_mass.value == pytest.approx(coat.mixed_mass.value, rel=1e-9)
            assert litres(coat.mixes, whole) * (1 - lost) == pytest.approx(coat.volume.value, rel=1e-9)

    @few
    @drawn(of_every_making())
    def test_of_a_coat_is_that_of_its_positions(self, whole: PlanBrief) -> None:
        for coat in make_plan(whole).coats:
            # A block is poured in one go or in two halves.
            places = min(whole.positions, 2) if whole.making is Making.BLOCK else whole.positions
            assert [place.position for place in coat.places] == list(range(1, places + 1))
            assert sum(place.net_mass.value for place in coat.places) == pytest.approx(coat.net_mass.value, rel=1e-9)
            assert sum(place.mixed_mass.value for place in coat.places) == pytest.approx(coat.mixed_mass.value, rel=1e-9)
            assert sum(place.area.value for place in coat.places) == pytest.approx(coat.area.value, rel=1e-9)
            for place in coat.places:
                assert weighed(place.mixes) == pytest.approx(place.mixed_mass.value, rel=1e-9)

    @few
    @drawn(briefs(fill_volume_l=given(3.0, "L")))
    def test_of_scrap_and_fresh_rubber_fills_the_fill(self, whole: PlanBrief) -> None:
        fill = make_plan(whole).fill
        assert fill is not None
        assert whole.scrap is not None
        scrap_l = fill.scrap_mass.value / whole.scrap.density_kg_m3.value
        assert fill.fresh_volume.value + scrap_l == pytest.approx(3.0, rel=1e-9)
        assert fill.scrap_mass.value * whole.molds <= whole.scrap.available_g.value * (1 + 1e-9)
        assert weighed(fill.mixes) == pytest.approx(fill.mixed_mass.value, rel=1e-9)

    @few
    @drawn(of_every_making())
    def test_at_hand_is_all_that_is_weighed(self, whole: PlanBrief) -> None:
        plan = make_plan(whole)
        keys = {spec.key for spec in (whole.rubber, whole.thickener, whole.tint) if spec is not None}
        needed = sum(need.mass.value for need in plan.needs if need.material_key in keys)
        assert needed == pytest.approx(plan.rubber_fresh.value, rel=1e-9)
        of_one = weighed(tuple(mix for coat in plan.coats for mix in coat.mixes))
        of_one += 0.0 if plan.fill is None else weighed(plan.fill.mixes)
        assert plan.rubber_fresh.value >= of_one * whole.molds * (1 - 1e-9)

    @few
    @drawn(of_every_making())
    def test_of_shell_and_run(self, whole: PlanBrief) -> None:
        plan = make_plan(whole)
        if plan.shell is not None and not plan.shell.piece_masses:
            assert plan.shell.piece_mass.value * plan.shell.pieces == pytest.approx(plan.shell.mass.value, rel=1e-9)
        if plan.casting is not None:
            assert plan.resin_total is not None
            skin = sum(part.mass.value for part in plan.casting.skin_parts)
            poured = skin * plan.casting.skins * plan.casting.count
            assert poured == pytest.approx(plan.resin_total.value, rel=1e-9)
            assert plan.casting.casting_mass.value <= plan.casting.shot_mass.value

    @few
    @drawn(st.floats(1, 1e5), st.floats(1, 1e5), st.floats(0.1, 1000), st.floats(0.01, 100))
    def test_of_a_kit_ends_with_the_shorter_component(self, a: float, b: float, parts_a: float, parts_b: float) -> None:
        kit = kit_use(stock_a_g=a, stock_b_g=b, parts_a=parts_a, parts_b=parts_b)
        assert kit.usable_g == pytest.approx(min(a / parts_a, b / parts_b) * (parts_a + parts_b), rel=1e-9)
        assert min(kit.stranded_a_g, kit.stranded_b_g) == pytest.approx(0, abs=1e-6)
        assert kit.usable_g + kit.stranded_a_g + kit.stranded_b_g == pytest.approx(a + b, rel=1e-9)


class TestWall:
    @few
    @drawn(briefs())
    def test_is_the_sum_of_its_coats(self, whole: PlanBrief) -> None:
        coats = make_plan(whole).coats
        assert sum(coat.thickness.value for coat in coats) == pytest.approx(whole.wall_mm.value, rel=1e-9)
        a, b, c = (side / 1000 for side in whole.takeoff.box_mm)
        wall, first = whole.wall_mm.value / 1000, whole.print_coat_mm.value / 1000
        area = 2 * (a * b + b * c + c * a)
        # Steiner 1840 for a box; the print coat follows the texture, which the later coats fill.
        blanket = area * wall + math.pi * (a + b + c) * wall**2 + 4 / 3 * math.pi * wall**3
        texture = area * (whole.takeoff.texture_factor.value - 1) * first
        assert sum(coat.volume.value for coat in coats) == pytest.approx(1000 * (blanket + texture), rel=1e-9)

    @few
    @drawn(briefs())
    def test_no_build_coat_is_thicker_than_a_wall_holds(self, whole: PlanBrief) -> None:
        held = whole.rubber.properties["held_thickness_mm"].value * whole.rates["sag_factor"].value
        for coat in make_plan(whole).coats:
            assert coat.role is not CoatRole.BUILD or coat.thickness.value <= held * (1 + 1e-9)

    @few
    @drawn(briefs(), st.floats(1.1, 3))
    def test_of_a_piece_scaled_with_its_wall_scales(self, whole: PlanBrief, by: float) -> None:
        sides = [side / 1000 for side in whole.takeoff.box_mm]
        assume(max(sides) * by < 2)

        def planned(scale: float) -> tuple[float, float]:
            coats = make_plan(replace(
                whole, takeoff=box_takeoff(*(side * scale for side in sides)), build_coats=3, fill_volume_l=None, casting=None,
                wall_mm=given(whole.wall_mm.value * scale), print_coat_mm=given(whole.print_coat_mm.value * scale),
                closing_coat_mm=given(whole.closing_coat_mm.value * scale), rates={**whole.rates, "sag_factor": given(1.0)},
            )).coats  # fmt: skip
            return sum(coat.area.value for coat in coats), sum(coat.volume.value for coat in coats)

        (area, volume), (large_area, large_volume) = planned(1.0), planned(by)
        assert large_area == pytest.approx(area * by**2, rel=1e-9)
        assert large_volume == pytest.approx(volume * by**3, rel=1e-9)

    @few
    @drawn(briefs())
    def test_outside_is_no_smaller_than_that_of_a_ball(self, whole: PlanBrief) -> None:
        inside_l = 1000 * whole.takeoff.volume.value
        for before, coat in zip(make_plan(whole).coats, make_plan(whole).coats[1:], strict=False):
            inside_l += before.volume.value
            # The isoperimetric bound; texture that the print coat fills is no part of the outside.
            bare = inside_l - 1000 * whole.takeoff.area.value * (whole.takeoff.texture_factor.value - 1) * (
                whole.print_coat_mm.value / 1000
            )
            assert coat.area.value >= (36 * math.pi * (bare / 1000) ** 2) ** (1 / 3)


class TestPours:
    @few
    @drawn(of_every_making())
    def test_of_what_is_not_brushed_there_is_one_and_no_mix_above_the_largest(self, whole: PlanBrief) -> None:
        coats = make_plan(whole).coats
        assert ([coat.role for coat in coats] == [CoatRole.POUR]) is (whole.making is not Making.BRUSHED)
        for mix in (mix for coat in coats for mix in coat.mixes if whole.making is not Making.BRUSHED):
            assert mix.mass.value <= coats[0].mix_cap.value * (1 + 1e-9)
            assert mix.mass.value <= 1000 * whole.rates["pour_bucket_kg"].value * (1 + 1e-9)
            # What is mixed is poured, though some of it stays in the bucket.
            poured_l = mix.mass.value / whole.rubber.properties["density_kg_m3"].value
            busy = whole.rates["mix_min"].value + whole.rates["pour_min_per_l"].value * poured_l
            assert busy <= whole.rates["pot_life_usable_share"].value * pot_life(whole) * (1 + 1e-9)

    @few
    @drawn(briefs(making=Making.POURED))
    def test_fill_the_gap_under_the_shell(self, whole: PlanBrief) -> None:
        plan = make_plan(whole)
        a, b, c = (side / 1000 for side in whole.takeoff.box_mm)
        wall = whole.wall_mm.value / 1000
        gap = 2 * (a * b + b * c + c * a) * wall + math.pi * (a + b + c) * wall**2 + 4 / 3 * math.pi * wall**3
        fill_l = 0.0 if whole.fill_volume_l is None else whole.fill_volume_l.value
        scrap_l = 0.0 if plan.fill is None else plan.fill.scrap_mass.value / SCRAP.density_kg_m3.value
        assert plan.coats[0].volume.value + scrap_l == pytest.approx(1000 * gap + fill_l, rel=1e-9)

    @few
    @drawn(briefs(making=Making.BLOCK), st.floats(5, 40))
    def test_fill_the_box_round_the_piece(self, whole: PlanBrief, margin_mm: float) -> None:
        plan = make_plan(replace(whole, box_margin_mm=given(margin_mm, "mm")))
        outside = math.prod((side + 2 * margin_mm) / 100 for side in whole.takeoff.box_mm)
        piece = math.prod(side / 100 for side in whole.takeoff.box_mm)
        scrap_l = 0.0 if plan.fill is None else plan.fill.scrap_mass.value / SCRAP.density_kg_m3.value
        assert plan.coats[0].volume.value + scrap_l == pytest.approx(outside - piece, rel=1e-9)
        assert plan.shell is None


class TestCups:
    @few
    @drawn(briefs())
    def test_every_mix_is_laid_before_its_pot_life_ends(self, whole: PlanBrief) -> None:
        usable = whole.rates["pot_life_usable_share"].value * pot_life(whole)
        mixing = whole.rates["mix_min"].value
        for coat in make_plan(whole).coats:
            pace = whole.rates[MINUTES_PER_M2[coat.role]].value / (coat.net_mass.value / coat.area.value)
            for mix in coat.mixes:
                assert mix.mass.value <= coat.mix_cap.value * (1 + 1e-9)
                assert mixing + pace * mix.mass.value <= usable * (1 + 1e-9)

    @few
    @drawn(briefs(fill_volume_l=given(6.0, "L")))
    def test_every_mix_of_the_fill_is_placed_before_its_pot_life_ends(self, whole: PlanBrief) -> None:
        fill = make_plan(whole).fill
        assert fill is not None
        placing = whole.rates["fill_min_per_l"].value * 6.0
        placing += whole.rates["scrap_seat_min_per_kg"].value * fill.scrap_mass.value / 1000
        usable = whole.rates["pot_life_usable_share"].value * pot_life(whole)
        for mix in fill.mixes:
            assert whole.rates["mix_min"].value + placing * mix.mass.value / fill.net_mass.value <= usable * (1 + 1e-9)


class TestWarmth:
    @few
    @drawn(of_every_making(), st.floats(0.5, 8))
    def test_lengthens_no_cure_and_lets_no_cup_grow(self, whole: PlanBrief, warmer: float) -> None:
        cool = make_plan(whole)
        assert cool.air is not None
        # A warm room may take the plan's own choice of vacuum away; what is compared is done in the same way.
        alike = replace(whole, deairing=cool.air.way, temperature_c=given(whole.temperature_c.value + warmer, "degC"))
        try:
            warm = make_plan(alike)
        except PotLifeTooShort:
            reject()
        assert warm.blanket_cure.value <= cool.blanket_cure.value * (1 + 1e-9)
        assert len(warm.coats) == len(cool.coats)
        night = whole.night_temperature_c
        if night is not None and night.value <= whole.temperature_c.value:
            steady = make_plan(replace(whole, night_temperature_c=None))
            assert cool.blanket_cure.value >= steady.blanket_cure.value * (1 - 1e-9)
        for after, before in zip(warm.coats, cool.coats, strict=True):
            assert after.earliest_next.value <= before.earliest_next.value * (1 + 1e-9)
            # Nothing follows a pour.
            if whole.making is Making.BRUSHED:
                assert after.latest_next is not None
                assert before.latest_next is not None
                assert after.latest_next.value <= before.latest_next.value * (1 + 1e-9)
            assert after.mix_cap.value <= before.mix_cap.value * (1 + 1e-9)
            assert len(after.mixes) >= len(before.mixes)
            assert after.net_mass.value == pytest.approx(before.net_mass.value)
        if warm.casting is not None:
            assert cool.casting is not None
            assert warm.casting.cycle.value <= cool.casting.cycle.value * (1 + 1e-9)
            assert warm.casting.per_day.value >= cool.casting.per_day.value


class TestWindows:
    @few
    @drawn(briefs())
    def test_open_before_they_close(self, whole: PlanBrief) -> None:
        for coat in make_plan(whole).coats:
            assert coat.latest_next is not None
            assert coat.earliest_next.value <= coat.latest_next.value

    @settings(max_examples=12, deadline=None)
    @drawn(briefs(people_per_coat=3))
    def test_no_coat_is_laid_too_early_or_too_late_where_somebody_is_always_there(self, whole: PlanBrief) -> None:
        always = WorkingHours(by_weekday={day: ((time(0), time(23, 59, 59)),) for day in range(7)})
        plan = make_plan(whole)
        assume(all(coat.minutes.value < 300 for coat in plan.coats))
        calendar = cure_calendar(plan, starts_at=datetime(2026, 11, 26, 0, 0, tzinfo=UTC), hours=always)
        for before, after in zip(calendar.coats, calendar.coats[1:], strict=False):
            assert after.starts_at >= before.earliest_next_at - timedelta(seconds=1)
            late = before.latest_next_at is not None and after.starts_at > before.latest_next_at
            assert (CLOSES_UNSEEN in before.flags) is late


class TestTasks:
    @few
    @drawn(of_every_making())
    def test_wait_for_what_is_done_before_and_cannot_start_after_they_must(self, whole: PlanBrief) -> None:
        tasks = {task.key: task for task in make_plan(whole).tasks}
        for task in tasks.values():
            assert task.minutes.value >= 0
            assert task.latest_h is None or task.earliest_h <= task.latest_h + 1e-9
            for key in task.waits_for:
                assert tasks[key].earliest_h <= task.earliest_h + 1e-9

    @few
    @drawn(briefs(), st.floats(1.05, 3))
    def test_a_larger_piece_never_takes_fewer_hours(self, whole: PlanBrief, by: float) -> None:
        sides = [side / 1000 for side in whole.takeoff.box_mm]
        assume(max(sides) * by < 1.2)
        small, large = (
            make_plan(whole),
            make_plan(replace(whole, takeoff=box_takeoff(*(side * by for side in sides), texture=1.3))),
        )
        assert large.mold_hours.value >= small.mold_hours.value * (1 - 1e-9)
        assert large.rubber_net.value > small.rubber_net.value


class TestLifts:
    @few
    @drawn(of_every_making(), st.floats(0.5, 40))
    def test_no_shell_piece_above_the_limit_without_a_warning(self, whole: PlanBrief, limit_kg: float) -> None:
        assume(whole.shell is not None and whole.making is not Making.BLOCK)
        plan = make_plan(replace(whole, rates={**whole.rates, "lift_limit_kg": given(limit_kg, "kg")}))
        assert plan.shell is not None
        # Plaster is lifted wet; the caution also speaks of the whole shell, the blanket and the closed mold.
        wet = 1.0 if plan.shell.wet_mass is None else plan.shell.wet_mass.value / plan.shell.mass.value
        heaviest = plan.shell.piece_mass.value * wet
        assume(not math.isclose(heaviest, 1000 * limit_kg, rel_tol=1e-6))
        assert ("lift" in {remark.key for remark in plan.remarks}) is (heaviest > 1000 * limit_kg)
        shared = any(lift.people > 1 for lift in plan.shell.lifts)
        assert ("lift" in {caution.key for caution in plan.cautions.shell}) is shared
        assert shared or heaviest <= 1000 * limit_kg
        for lift in plan.shell.lifts:
            assert lift.mass.value <= 1000 * limit_kg * lift.people * (1 + 1e-6)
            assert lift.people == 1 or lift.mass.value > 1000 * limit_kg * (lift.people - 1) * (1 - 1e-6)
