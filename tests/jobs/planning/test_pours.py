"""Rubber poured under a shell or into a box, as one coat that every reader of a plan understands."""

from dataclasses import replace
from datetime import UTC, datetime, time

import pytest

from jobs.geometry.coats import coat_volume
from jobs.planning.brief import Making, PlanBrief
from jobs.planning.errors import BadBrief, IncompatibleMaterials
from jobs.planning.plan import make_plan
from jobs.planning.results import CoatRole, Component, MoldPlan
from jobs.planning.work.handout_times import WorkingHours, cure_calendar
from materials.properties import Chemistry
from materials.science.kinetics import time_at
from tests.jobs.planning.builders import SCRAP, box_takeoff, brief, figure, given, rubber


def poured(**changes: object) -> PlanBrief:
    return brief(making=Making.POURED, **changes)


def block(**changes: object) -> PlanBrief:
    return brief(making=Making.BLOCK, **changes)


def keys(plan: MoldPlan) -> list[str]:
    return [task.key for task in plan.tasks]


class TestPoured:
    def test_the_gap_is_the_blanket_at_the_wall_with_its_fill(self) -> None:
        plan = make_plan(poured(scrap=None))
        (coat,) = plan.coats
        assert coat.role is CoatRole.POUR
        assert coat.thickness.value == 10
        # Calculated: box 0.30 x 0.20 x 0.50 m, 10 mm: 6.518348056 L (Steiner 1840), and 4 L of fill.
        assert coat.volume.value == pytest.approx(6.518348056 + 4, rel=1e-9)
        assert coat.net_mass.value == pytest.approx(coat.volume.value * 1100)
        assert plan.fill is None

    def test_seated_scrap_takes_its_own_volume_out_of_the_pour(self) -> None:
        full, saved = make_plan(poured(scrap=None)), make_plan(poured())
        assert saved.fill is not None
        assert saved.scrap.value > 0
        freed = saved.scrap.value / SCRAP.density_kg_m3.value
        assert full.coats[0].volume.value - saved.coats[0].volume.value == pytest.approx(freed)
        assert saved.fill.mixed_mass.value == 0
        assert saved.fill.mixes == ()

    def test_nothing_is_stirred_into_it(self) -> None:
        plan = make_plan(poured())
        stirred = {need.component for need in plan.needs if need.reason == "coats"}
        assert stirred == {Component.A, Component.B}
        assert not plan.coats[0].thickened
        assert not plan.coats[0].tinted

    def test_needs_a_shell_and_says_where_to_choose_one(self) -> None:
        with pytest.raises(BadBrief, match="Shell page"):
            make_plan(poured(shell=None))

    def test_the_shell_stands_before_rubber_is_mixed(self) -> None:
        order = keys(make_plan(poured()))
        assert "parting_strip" not in order
        wanted = ["seal", "clay", "shell_1", "shell_2", "clay_out", "release", "fill", "close_gap", "coat_1", "open"]
        assert [key for key in order if key in wanted] == wanted

    def test_the_mold_waits_for_the_pour_to_cure_before_it_is_opened(self) -> None:
        made = poured()
        pour = next(task for task in make_plan(made).tasks if task.key == "coat_1")
        assert pour.wait_after_min == pytest.approx(time_at(made.rubber, "demold_min", made.temperature_c).value)

    def test_clay_is_as_thick_and_as_much_as_the_gap(self) -> None:
        plan = make_plan(poured(scrap=None))
        assert plan.clay is not None
        assert plan.clay.wall.value == 10
        assert plan.clay.volume.value == pytest.approx(plan.coats[0].volume.value)
        # Calculated: outer area of the box at 10 mm 0.6840884901 m2.
        assert plan.clay.area.value == pytest.approx(0.6840884901, rel=1e-9)

    def test_warm_rubber_leaves_the_bucket_sooner(self) -> None:
        cool, warm = (
            make_plan(poured(rubber=rubber(pot_life_min=10.0))),
            make_plan(poured(rubber=rubber(pot_life_min=10.0), temperature_c=given(30, "degC"))),
        )
        assert warm.coats[0].mix_cap.value < cool.coats[0].mix_cap.value
        for plan in (cool, warm):
            assert all(mix.mass.value <= plan.coats[0].mix_cap.value + 1e-9 for mix in plan.coats[0].mixes)
            assert sum(mix.mass.value for mix in plan.coats[0].mixes) == pytest.approx(plan.coats[0].mixed_mass.value)

    def test_loses_less_than_brushing(self) -> None:
        laid = make_plan(brief(fill_volume_l=None))
        plan = make_plan(poured(fill_volume_l=None))
        assert plan.rubber_fresh.value / plan.rubber_net.value < laid.rubber_fresh.value / laid.rubber_net.value


class TestBlock:
    def test_a_published_box(self) -> None:
        # Published: a mold-rubber maker's answers on estimating: a cube of 3 in in a box of 4 x 4 x 4 in takes 64 - 27 = 37 in3.
        inch = 25.4
        cube = replace(box_takeoff(0.0762, 0.0762, 0.0762), volume=figure("volume", 0.0762**3, "m3"))
        plan = make_plan(block(takeoff=cube, box_margin_mm=given(inch / 2, "mm"), scrap=None))
        assert plan.coats[0].volume.value * 1e6 / inch**3 == pytest.approx(37, rel=1e-9)
        assert plan.box is not None
        assert plan.box.volume.value * 1e6 / inch**3 == pytest.approx(64, rel=1e-9)

    def test_on_a_board_the_box_has_no_rubber_below(self) -> None:
        # Calculated: 4 x 4 x 3.5 - 27 = 29 in3.
        inch = 25.4
        cube = replace(
            box_takeoff(0.0762, 0.0762, 0.0762), stands_on_board=True, sphere_part=2.0, rim_length=figure("rim_length", 0.3, "m")
        )
        plan = make_plan(block(takeoff=cube, box_margin_mm=given(inch / 2, "mm"), scrap=None))
        assert plan.coats[0].volume.value * 1e6 / inch**3 == pytest.approx(29, rel=1e-9)

    def test_the_box_is_the_shell(self) -> None:
        plan = make_plan(block())
        assert plan.shell is None
        assert plan.shell_mass is None
        order = keys(plan)
        assert not [key for key in order if key.startswith("shell")]
        assert order.index("box") < order.index("release") < order.index("coat_1") < order.index("open")
        assert "board" not in order

    def test_two_halves_are_bedded_first_and_cure_one_by_one(self) -> None:
        one, two = make_plan(block()), make_plan(block(positions=2))
        assert "board" in keys(two)
        assert two.positions == 2
        assert two.coats[0].volume.value == one.coats[0].volume.value
        assert len(two.coats[0].mixes) % 2 == 0
        stated = make_plan(block(positions=4))
        assert stated.positions == 2

    def test_scrap_keeps_off_the_face(self) -> None:
        wide = block(box_margin_mm=given(40, "mm"), fill_volume_l=None)
        with_scrap, without = make_plan(wide), make_plan(replace(wide, scrap=None))
        assert with_scrap.fill is not None
        # 5 mm of cover stay fresh over the whole face.
        kept = 1000 * coat_volume(wide.takeoff, 5).value
        assert with_scrap.fill.volume.value == pytest.approx(without.coats[0].volume.value - kept)
        assert with_scrap.scrap.value == pytest.approx(with_scrap.fill.volume.value * 0.54 * 1100)
        assert with_scrap.rubber_fresh.value < without.rubber_fresh.value

    def test_where_a_chunk_does_not_fit_beside_the_piece_only_corners_take_it(self) -> None:
        tight = block(box_margin_mm=given(12, "mm"), fill_volume_l=None)
        plan = make_plan(tight)
        assert plan.fill is not None
        kept = 1000 * coat_volume(tight.takeoff, 12).value
        assert plan.box is not None
        assert plan.fill.volume.value == pytest.approx(plan.box.volume.value - 30 - kept)

    def test_impossible_boxes_are_refused(self) -> None:
        with pytest.raises(BadBrief, match="between 0 and 200"):
            make_plan(block(box_margin_mm=given(0, "mm")))
        flat = replace(box_takeoff(), box_mm=(100.0, 100.0, 100.0))
        with pytest.raises(BadBrief, match="measure the piece again"):
            make_plan(block(takeoff=flat))

    def test_scrap_of_another_kind_is_refused(self) -> None:
        strange = replace(SCRAP, chemistry=Chemistry.PLATINUM_SILICONE)
        with pytest.raises(IncompatibleMaterials):
            make_plan(block(scrap=strange))


class TestReaders:
    @pytest.mark.parametrize("making", [Making.POURED, Making.BLOCK])
    def test_the_calendar_lays_one_pour_at_each_position(self, making: Making) -> None:
        plan = make_plan(brief(making=making, positions=2))
        hours = WorkingHours(by_weekday={day: ((time(8), time(17)),) for day in range(5)})
        calendar = cure_calendar(plan, starts_at=datetime(2026, 3, 2, 8, tzinfo=UTC), hours=hours)
        assert [(entry.position, entry.role) for entry in calendar.coats] == [(1, CoatRole.POUR), (2, CoatRole.POUR)]
        cured = plan.coats[0].earliest_next.value
        assert (calendar.coats[1].starts_at - calendar.coats[0].ends_at).total_seconds() >= 60 * cured

    @pytest.mark.parametrize("making", list(Making))
    def test_mass_mixed_is_mass_in_the_mold_and_what_stays_behind(self, making: Making) -> None:
        plan = make_plan(brief(making=making))
        mixed = sum(mix.mass.value for coat in plan.coats for mix in coat.mixes)
        net = sum(mix.net_mass.value for coat in plan.coats for mix in coat.mixes)
        if plan.fill is not None:
            mixed += sum(mix.mass.value for mix in plan.fill.mixes)
            net += sum(mix.net_mass.value for mix in plan.fill.mixes)
        if plan.strip is not None:
            cast = (*plan.strip.mixes, *plan.strip.glue_mixes)
            mixed += sum(mix.mass.value for mix in cast)
            net += sum(mix.net_mass.value for mix in cast)
        assert plan.rubber_fresh.value == pytest.approx(mixed)
        assert plan.rubber_net.value == pytest.approx(net)

    @pytest.mark.parametrize("making", list(Making))
    def test_every_task_waits_only_for_tasks_there_are(self, making: Making) -> None:
        plan = make_plan(brief(making=making))
        known: set[str] = set()
        for task in plan.tasks:
            assert set(task.waits_for) <= known
            known.add(task.key)


class TestCures:
    def test_a_cold_night_lengthens_the_wait_between_two_halves_and_before_opening(self) -> None:
        warm, cold = (make_plan(block(positions=2, night_temperature_c=night)) for night in (None, given(12, "degC")))
        assert cold.coats[0].earliest_next.value > warm.coats[0].earliest_next.value
        assert cold.coats[0].earliest_next.value == cold.blanket_cure.value
        assert "shell" not in cold.blanket_cure.label.lower()
