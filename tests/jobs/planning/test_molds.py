"""Two molds of one piece: what is doubled, what is not, and what waits for what."""

from dataclasses import replace

import pytest

from jobs.planning.errors import BadBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import Component, MoldPlan
from materials.properties import Chemistry, MaterialKind, MixBasis
from studio.workrates import Stage
from tests.jobs.planning.builders import SCRAP, brief, given, material

RELEASE = material("release", MaterialKind.RELEASE, Chemistry.OTHER, MixBasis.ONE_PART, coverage_m2_per_kg=10.0)
SEALER = material("sealer", MaterialKind.RELEASE, Chemistry.OTHER, MixBasis.ONE_PART, coverage_m2_per_kg=10.0)


@pytest.fixture(scope="module")
def one() -> MoldPlan:
    return make_plan(brief(release=RELEASE, sealer=SEALER))


@pytest.fixture(scope="module")
def two() -> MoldPlan:
    return make_plan(brief(release=RELEASE, sealer=SEALER, molds=2))


def needs(plan: MoldPlan) -> dict[tuple[object, Component], float]:
    return {(need.material_key, need.component): need.mass.value for need in plan.needs}


class TestMaterials:
    def test_rubber_shell_and_release_double_and_the_run_does_not(self, one: MoldPlan, two: MoldPlan) -> None:
        before, after = needs(one), needs(two)
        assert before.keys() == after.keys()
        # 0.62 m² at 10 m²/kg: 62 g for each mold, and once more for every casting of the run (calculated).
        released = ("release", Component.RELEASE)
        assert (before.pop(released), after[released]) == (pytest.approx(62 + 620), pytest.approx(2 * 62 + 620))
        once = {"resin", "sealer"}
        for key, mass in before.items():
            assert after[key] == pytest.approx(mass if key[0] in once else 2 * mass)
        assert {key[0] for key in before} >= {"rubber", "polyester", "mat", "resin", "sealer", "scrap"}

    def test_totals_say_of_how_many_molds(self, one: MoldPlan, two: MoldPlan) -> None:
        for name in ("rubber_fresh", "rubber_net", "scrap", "mixes_count", "shell_mass"):
            ours, theirs = getattr(two, name), getattr(one, name)
            assert ours.value == pytest.approx(2 * theirs.value)
            assert ours.label == f"{theirs.label}, of 2 molds"
        assert "2 molds" in two.mold_hours.label

    def test_the_shell_of_one_keeps_its_key_beside_that_of_both(self, two: MoldPlan) -> None:
        assert two.shell is not None
        assert two.shell_mass is not None
        assert two.shell_mass.key != two.shell.mass.key

    def test_coats_are_of_one_mold(self, one: MoldPlan, two: MoldPlan) -> None:
        assert one.coats == two.coats
        assert one.blanket_mass == two.blanket_mass

    def test_molds_share_the_scrap_that_is_at_hand(self) -> None:
        plan = make_plan(brief(molds=2, scrap=replace(SCRAP, available_g=given(1100, "g"))))
        assert plan.scrap.value == pytest.approx(1100)
        assert plan.fill is not None
        assert plan.fill.scrap_mass.value == pytest.approx(550)


class TestWork:
    def test_work_on_the_mold_is_done_again_and_on_the_piece_once(self, one: MoldPlan, two: MoldPlan) -> None:
        again = {task.key.removesuffix("_mold_2") for task in two.tasks if task.key.endswith("_mold_2")}
        on_molds = {Stage.PREPARE, Stage.COATS, Stage.FILL, Stage.SHELL, Stage.OPEN}
        assert again == {task.key for task in one.tasks if task.stage in on_molds} - {"prepare", "seal"}

    def test_waits_only_for_what_comes_before(self, two: MoldPlan) -> None:
        seen: set[str] = set()
        for task in two.tasks:
            assert set(task.waits_for) <= seen
            assert task.key not in seen
            seen.add(task.key)

    def test_the_second_begins_when_the_piece_is_out_of_the_first(self, two: MoldPlan) -> None:
        tasks = {task.key: task for task in two.tasks}
        assert tasks["board_mold_2"].waits_for == ("prepare", "open")
        assert "board_mold_2" in tasks["release_mold_2"].waits_for
        ready = {"mold_clean", "mold_clean_mold_2", "cradle", "cradle_mold_2"}
        assert set(tasks["casting_days"].waits_for) == ready

    def test_typed_minutes_count_for_the_repetition_unless_it_has_its_own(self) -> None:
        plan = make_plan(brief(molds=3, minutes_overrides={"board": 200.0, "board_mold_3": 20.0}))
        minutes = {task.key: task.minutes.value for task in plan.tasks}
        assert (minutes["board"], minutes["board_mold_2"], minutes["board_mold_3"]) == (200, 200, 20)
        assert "overrides" not in {remark.key for remark in plan.remarks}

    def test_keys_of_minutes_are_unique(self, two: MoldPlan) -> None:
        keys = [task.minutes.key for task in two.tasks]
        assert len(keys) == len(set(keys))

    @pytest.mark.parametrize("molds", [0, 21])
    def test_a_number_that_nobody_makes_is_refused(self, molds: int) -> None:
        with pytest.raises(BadBrief, match="molds"):
            make_plan(brief(molds=molds))
