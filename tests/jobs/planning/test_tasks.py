"""The work in its order: positions, what runs beside, who may go home, minutes that were typed."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from jobs.planning.brief import Deairing, Making, ShellKind
from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan, Task
from materials.properties import Chemistry
from materials.science.compatibility import Surface
from studio.figures import SourceKind, high_end, low_end
from studio.workrates import Stage
from tests.jobs.planning.builders import CASTING, PLASTER, SHELL, box_takeoff, brief, given, rubber
from tests.jobs.planning.test_places import shape_worked


def by_key(plan: MoldPlan) -> dict[str, Task]:
    """Return the tasks of a plan by key."""
    return {task.key: task for task in plan.tasks}


@pytest.fixture(scope="module")
def turned() -> dict[str, Task]:
    return by_key(make_plan(brief(shape=shape_worked(0.3, 0.1), positions=2)))


class TestPositions:
    def test_have_each_coat_and_board_of_their_own(self, turned: dict[str, Task]) -> None:
        laid = [key for key in turned if key.startswith(("coat_", "board", "turn"))]
        coats = [f"coat_{number}_position_{{}}" for number in range(1, 7)]
        assert laid == [
            "board_position_1", *(key.format(1) for key in coats), "turn_position_2", "board_position_2",
            *(key.format(2) for key in coats),
        ]  # fmt: skip
        assert {turned[key].position for key in laid} == {1, 2}

    def test_have_the_minutes_of_their_area(self) -> None:
        plan = make_plan(brief(shape=shape_worked(0.3, 0.1), positions=2))
        tasks = by_key(plan)
        for coat in plan.coats:
            for place in coat.places:
                assert tasks[f"coat_{coat.number}_position_{place.position}"].minutes.value == place.minutes.value

    def test_wait_for_the_turn(self, turned: dict[str, Task]) -> None:
        assert turned["turn_position_2"].waits_for == ("coat_6_position_1",)
        assert turned["board_position_2"].waits_for == ("turn_position_2",)
        assert turned["coat_1_position_2"].waits_for == ("board_position_2",)

    def test_one_position_keeps_the_plain_keys(self) -> None:
        tasks = by_key(make_plan(brief()))
        assert {"board", "coat_1", "coat_6"} <= set(tasks)
        assert tasks["coat_1"].position is None
        assert not any("position" in key for key in tasks)

    def test_a_heavy_piece_is_turned_by_two_and_each_is_busy_as_long(self, turned: dict[str, Task]) -> None:
        heavy = by_key(make_plan(brief(positions=2, piece_mass_g=given(21000, "g"))))["turn_position_2"]
        light = by_key(make_plan(brief(positions=2, piece_mass_g=given(3000, "g"))))["turn_position_2"]
        assert (turned["turn_position_2"].people, light.people, heavy.people) == (1, 1, 2)
        assert heavy.minutes.value == pytest.approx(2 * light.minutes.value)

    def test_share_the_gauge_blocks(self, turned: dict[str, Task]) -> None:
        blocks = [turned[f"gauges_position_{position}"].minutes.given[0].value for position in (1, 2)]
        assert blocks[0] == pytest.approx(3 * blocks[1])
        assert turned["coat_2_position_1"].waits_for == ("coat_1_position_1", "gauges_position_1")


class TestOrder:
    def test_what_can_run_beside_waits_for_nothing(self) -> None:
        tasks = by_key(make_plan(brief()))
        for key in ("client_talk", "photographs", "strip_pour", "cut_scrap", "reinforcement_cut"):
            assert tasks[key].waits_for == ()
            assert tasks[key].earliest_h == 0

    def test_a_patch_test_is_read_before_the_piece_is_released(self) -> None:
        plan = make_plan(brief(surface=Surface.UNKNOWN, molds=2))
        tasks = by_key(plan)
        # Published: one full demold, 960 min at the temperature that it is stated for.
        assert tasks["patch_test"].wait_after_min == pytest.approx(960)
        assert {"patch_test"} < set(tasks["release"].waits_for)
        assert tasks["release"].earliest_h >= tasks["patch_test"].earliest_h + 16
        assert "patch_test_mold_2" not in tasks
        assert "patch_test" not in by_key(make_plan(brief()))

    def test_the_strip_cures_before_it_is_glued_on(self) -> None:
        tasks = by_key(make_plan(brief()))
        assert tasks["strip_pour"].wait_after_min == pytest.approx(960)
        assert "strip_pour" in tasks["parting_strip"].waits_for
        assert tasks["shell_1"].waits_for == ("parting_strip", "reinforcement_cut")

    def test_shell_pieces_set_one_after_another_and_the_mold_opens_after_the_last(self) -> None:
        tasks = by_key(make_plan(brief()))
        assert tasks["shell_1"].wait_after_min == pytest.approx(240)
        assert tasks["shell_2"].waits_for == ("shell_1",)
        assert tasks["open"].waits_for == ("shell_2",)

    def test_casting_waits_for_a_clean_mold_and_its_cradle(self) -> None:
        tasks = by_key(make_plan(brief()))
        assert set(tasks["casting_days"].waits_for) == {"mold_clean", "cradle"}
        assert tasks["castings"].station == "rotating frame"

    def test_several_people_shorten_the_clock_and_not_the_hours(self) -> None:
        alone, two = make_plan(brief()), make_plan(brief(people_per_coat=2))
        assert two.hours_hands_on.value == pytest.approx(alone.hours_hands_on.value)
        assert by_key(two)["open"].earliest_h < by_key(alone)["open"].earliest_h


class TestPours:
    def test_a_blanket_is_poured_once_its_shell_stands(self) -> None:
        tasks = by_key(make_plan(brief(making=Making.POURED)))
        chain = ["prepare", "board", "seal", "clay", "shell_1", "shell_2", "clay_out", "release", "fill", "close_gap", "coat_1"]
        for before, after in pairwise(chain):
            assert before in tasks[after].waits_for
        assert tasks["open"].waits_for == ("coat_1",)
        assert tasks["coat_1"].wait_after_min == pytest.approx(960)

    def test_each_position_of_a_pour_cures_before_the_turn(self) -> None:
        tasks = by_key(make_plan(brief(making=Making.POURED, positions=2)))
        chain = ["close_gap_position_1", "coat_1_position_1", "turn_position_2", "board_position_2", "close_gap_position_2",
                 "coat_1_position_2", "open"]  # fmt: skip
        for before, after in pairwise(chain):
            assert tasks[after].waits_for == (before,)
        assert tasks["coat_1_position_1"].wait_after_min == pytest.approx(960)

    def test_a_block_is_poured_in_its_box_and_cut_out(self) -> None:
        tasks = by_key(make_plan(brief(making=Making.BLOCK, scrap=None)))
        chain = ["prepare", "seal", "box", "release", "coat_1", "open", "seam_cut", "mold_clean"]
        for before, after in pairwise(chain):
            assert tasks[after].waits_for == (before,)
        assert not {"board", "cradle", "shell_1", "strip_pour"} & set(tasks)

    def test_a_block_of_two_halves_is_bedded_and_turned(self) -> None:
        tasks = by_key(make_plan(brief(making=Making.BLOCK, scrap=None, positions=2)))
        assert tasks["board"].label.startswith("Bed the piece")
        assert tasks["turn_position_2"].waits_for == ("coat_1_position_1",)
        assert tasks["coat_1_position_2"].waits_for == ("turn_position_2",)

    def test_a_mass_of_polyurethane_is_watched_and_one_of_silicone_may_be_left(self) -> None:
        urethane = rubber(Chemistry.POLYURETHANE, recoat_latest_min=180.0)
        hot = by_key(make_plan(brief(making=Making.BLOCK, rubber=urethane, scrap=None)))
        assert not hot["coat_1"].unattended
        assert by_key(make_plan(brief(making=Making.BLOCK, scrap=None)))["coat_1"].unattended


class TestStations:
    def test_only_unthickened_coats_go_to_the_vacuum(self) -> None:
        tasks = by_key(make_plan(brief(deairing=Deairing.VACUUM)))
        assert tasks["coat_1"].station == "vacuum chamber"
        assert tasks["coat_2"].station == "bench"
        assert by_key(make_plan(brief(deairing=Deairing.THIN)))["coat_1"].station == "bench"


class TestWindows:
    def test_a_window_that_cannot_be_kept_is_pointed_out(self) -> None:
        # It gels after 90 min and bonds for 95: setting the gauge blocks alone takes longer than the five between.
        hasty = rubber(recoat_latest_min=95.0)
        plan = make_plan(brief(rubber=hasty))
        remark = next(remark for remark in plan.remarks if remark.key == "window")
        assert remark.tone == "stop"
        assert "Print coat (1 of 6)" in remark.text
        assert "Build coat" not in remark.text
        assert "window" not in {remark.key for remark in make_plan(brief()).remarks}

    def test_polyurethane_over_several_positions_is_pointed_out(self) -> None:
        urethane = {"rubber": rubber(Chemistry.POLYURETHANE, recoat_latest_min=180.0), "scrap": None}
        assert "positions_meet" in {remark.key for remark in make_plan(brief(**urethane, positions=2)).remarks}
        assert "positions_meet" not in {remark.key for remark in make_plan(brief(**urethane)).remarks}

    def test_no_coat_begins_before_it_may_or_after_it_must(self) -> None:
        tasks = by_key(make_plan(brief(positions=2)))
        for task in tasks.values():
            for key in task.waits_for:
                before = tasks[key]
                gone_min = 60 * (task.earliest_h - before.earliest_h) - before.minutes.value / before.people
                assert gone_min >= before.wait_after_min - 1e-3
                if before.latest_next_min is not None:
                    assert gone_min <= before.latest_next_min + 1e-3
            assert task.latest_h is not None
            assert task.latest_h >= task.earliest_h - 1e-6


class TestUnattended:
    def test_a_print_coat_is_not_left_and_a_build_coat_of_silicone_may_be(self) -> None:
        tasks = by_key(make_plan(brief()))
        assert not tasks["coat_1"].unattended
        assert tasks["coat_2"].unattended

    def test_polyurethane_is_followed_until_its_last_coat(self) -> None:
        urethane = rubber(Chemistry.POLYURETHANE, recoat_latest_min=180.0)
        plan = make_plan(brief(rubber=urethane, scrap=None, scrap_share_percent=None, fill_volume_l=None, seam_length_m=None))
        tasks = by_key(plan)
        assert not any(tasks[f"coat_{number}"].unattended for number in range(1, 6))
        assert tasks["coat_6"].unattended

    def test_a_thick_mass_of_resin_and_turning_are_watched(self) -> None:
        thin, thick = make_plan(brief()), make_plan(brief(shell=replace(SHELL, layers=given(6))))
        assert by_key(thin)["shell_1"].unattended
        assert not by_key(thick)["shell_1"].unattended
        assert not by_key(thin)["castings"].unattended


class TestTypedMinutes:
    def test_typed_for_one_position_are_divided_once_there_are_two(self) -> None:
        two = {"shape": shape_worked(0.3, 0.1), "positions": 2}
        computed, typed = by_key(make_plan(brief(**two))), make_plan(brief(**two, minutes_overrides={"coat_2": 80.0}))
        tasks = by_key(typed)
        first, second = tasks["coat_2_position_1"].minutes, tasks["coat_2_position_2"].minutes
        assert first.value + second.value == pytest.approx(80)
        was = [computed[f"coat_2_position_{position}"].minutes.value for position in (1, 2)]
        assert first.value / second.value == pytest.approx(was[0] / was[1])
        assert first.source.kind is SourceKind.TYPED
        assert "overrides" not in {remark.key for remark in typed.remarks}

    def test_typed_for_one_of_two_positions_count_there_alone(self) -> None:
        tasks = by_key(make_plan(brief(positions=2, minutes_overrides={"coat_2_position_2": 5.0})))
        assert tasks["coat_2_position_2"].minutes.value == 5
        assert tasks["coat_2_position_1"].minutes.source.kind is SourceKind.COMPUTED

    def test_typed_for_a_position_that_is_gone_are_pointed_out(self) -> None:
        plan = make_plan(brief(minutes_overrides={"coat_2_position_2": 5.0, "board_position_2": 5.0}))
        # The plain tasks are still there, but minutes of one position are not theirs.
        assert by_key(plan)["coat_2"].minutes.source.kind is SourceKind.COMPUTED
        assert any("coat 2 position 2" in remark.text for remark in plan.remarks)


class TestCautions:
    def test_stand_with_their_task(self) -> None:
        plan = make_plan(brief())
        cautions = {task.key: {caution.key for caution in task.cautions} for task in plan.tasks}
        assert {"sheets", "styrene", "peroxide", "glass"} <= cautions["shell_1"]
        assert {"sheets", "isocyanate", "frame"} <= cautions["castings"]
        assert "tin" in cautions["coat_3"]
        assert "solvent" in cautions["release"]
        assert "dust" in cautions["finishing"]
        assert "blade" in cautions["seam_cut"]
        assert cautions["client_talk"] == set()
        assert all(len(task.cautions) == len(cautions[task.key]) for task in plan.tasks)

    def test_of_lifting_stand_where_something_is_heavy(self) -> None:
        def of_opening(kilos: float) -> set[str]:
            plan = make_plan(brief(rates={"lift_limit_kg": given(kilos, "kg")}))
            return {caution.key for caution in by_key(plan)["open"].cautions}

        assert of_opening(1) == {"lift"}
        assert of_opening(100) == set()

    def test_follow_the_materials(self) -> None:
        plaster = replace(SHELL, kind=ShellKind.PLASTER, material=PLASTER, reinforcement=None, thickness_mm=given(20, "mm"))
        tasks = by_key(make_plan(brief(shell=plaster, deairing=Deairing.VACUUM, molds=2)))
        assert "plaster" in {caution.key for caution in tasks["shell_1"].cautions}
        assert "styrene" not in {caution.key for caution in tasks["shell_1"].cautions}
        assert "vacuum" in {caution.key for caution in tasks["coat_1"].cautions}
        assert "blade" in {caution.key for caution in tasks["seam_cut_mold_2"].cautions}


class TestStages:
    def test_every_task_of_the_run_is_in_a_stage_of_the_run(self) -> None:
        tasks = by_key(make_plan(brief(casting=CASTING)))
        run = {key for key, task in tasks.items() if task.stage in (Stage.CAST, Stage.FINISH)}
        assert run == {"casting_days", "castings", "trim", "finishing", "packing"}


class TestMinutes:
    @pytest.mark.parametrize("changes", [{}, {"making": Making.POURED}, {"making": Making.BLOCK, "shell": None}])
    def test_every_task_tells_how_far_it_may_run_over(self, changes: dict[str, Any]) -> None:
        for task in make_plan(brief(key_spacing_mm=given(100, "mm"), **changes)).tasks:
            least, most = low_end(task.minutes), high_end(task.minutes)
            assert least < task.minutes.value < most, task.key

    def test_a_small_piece_takes_setting_out_too(self) -> None:
        small = by_key(make_plan(brief(takeoff=box_takeoff(0.05, 0.05, 0.05), making=Making.BLOCK, shell=None)))
        # Common practice: 8 min for a step, 25 for the boards of a box; the surface adds its own.
        assert 8 < small["release"].minutes.value < 9
        assert 25 < small["box"].minutes.value < 30
        # Calculated: 6 min a casting.
        assert small["finishing"].minutes.value == pytest.approx(
            6 * CASTING.count + 30 * small["finishing"].minutes.given[0].value
        )

    def test_a_cup_is_weighed_for_the_strip_its_glue_and_the_keys(self) -> None:
        plan = make_plan(brief(key_spacing_mm=given(100, "mm")))
        tasks = by_key(plan)
        assert plan.strip is not None
        assert plan.stand is not None
        # Common practice: 8 and 12 min a metre, 0.7 min a key, 6 min a mix.
        assert tasks["strip_pour"].minutes.value == pytest.approx(8 * 1.2 + 6 * len(plan.strip.mixes))
        assert tasks["parting_strip"].minutes.value == pytest.approx(12 * 1.2 + 6 * len(plan.strip.glue_mixes))
        assert tasks["keys"].minutes.value == pytest.approx(0.7 * plan.stand.keys.value + 6 * len(plan.stand.key_mixes))
