"""The whole plan: refusals, scrap, tasks, needs, remarks, cautions."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace

import pytest
from fluids.packed_bed import voidage_Benyahia_Oneil

from jobs.planning.brief import Making
from jobs.planning.errors import BadBrief, IncompatibleMaterials
from jobs.planning.plan import make_plan
from jobs.planning.results import Component
from materials.properties import Chemistry
from materials.science.compatibility import Outcome, Surface
from materials.science.errors import ColdStall
from studio.figures import Figure, Given, WorkingError
from tests.jobs.planning.builders import CASTING, PLASTER, SCRAP, SHELL, THICKENER, TINT, box_takeoff, brief, given, rubber


def shown(part: object) -> Iterator[Figure]:
    """Walk a plan and give its figures, without what their workings open to."""
    if isinstance(part, Figure):
        yield part
    elif isinstance(part, tuple):
        for item in part:
            yield from shown(item)
    elif is_dataclass(part) and not isinstance(part, Given):
        for field in fields(part):
            yield from shown(getattr(part, field.name))


class TestRefusals:
    def test_platinum_on_sulfur_clay(self) -> None:
        with pytest.raises(IncompatibleMaterials, match="Sulfur"):
            make_plan(brief(rubber=rubber(Chemistry.PLATINUM_SILICONE), surface=Surface.SULFUR_CLAY, scrap=None))

    def test_tin_scrap_in_platinum(self) -> None:
        with pytest.raises(IncompatibleMaterials, match="Tin"):
            make_plan(brief(rubber=rubber(Chemistry.PLATINUM_SILICONE)))

    def test_scrap_that_is_not_used_is_not_judged(self) -> None:
        plan = make_plan(brief(rubber=rubber(Chemistry.PLATINUM_SILICONE), scrap_share_percent=given(0)))
        assert plan.scrap.value == 0

    def test_scrap_without_a_fill_is_not_judged(self) -> None:
        plan = make_plan(brief(rubber=rubber(Chemistry.PLATINUM_SILICONE), fill_volume_l=None))
        assert plan.fill is None

    def test_a_thickener_made_for_another_chemistry(self) -> None:
        foreign = replace(THICKENER, chemistry=Chemistry.TIN_SILICONE)
        make_plan(brief(thickener=foreign))
        with pytest.raises(IncompatibleMaterials, match="made for tin silicone"):
            make_plan(brief(rubber=rubber(Chemistry.PLATINUM_SILICONE), thickener=foreign, scrap=None))

    def test_a_shell_of_the_wrong_material(self) -> None:
        with pytest.raises(BadBrief, match="cannot be made of Plaster"):
            make_plan(brief(shell=replace(SHELL, material=PLASTER)))

    def test_a_cold_room(self) -> None:
        with pytest.raises(ColdStall):
            make_plan(brief(temperature_c=given(12)))

    def test_every_refusal_is_a_working_error(self) -> None:
        for changes in ({"positions": 0}, {"people_per_coat": 0}, {"packing_fraction": None},
                        {"fill_volume_l": given(-1)}, {"shell": replace(SHELL, pieces=0)},
                        {"shell": replace(SHELL, reinforcement=None)}, {"casting": replace(CASTING, skins=0)},
                        {"casting": replace(CASTING, wall_mm=given(200))}, {"minutes_overrides": {"open": -1.0}},
                        {"rates": {"coat_setup_min": given(-5)}}, {"wall_mm": given(float("inf"))}):  # fmt: skip
            with pytest.raises(WorkingError):
                make_plan(brief(**changes))


class TestScrap:
    def test_is_used_only_as_far_as_it_is_at_hand(self) -> None:
        plan = make_plan(brief(scrap=replace(SCRAP, available_g=given(1100))))
        assert plan.fill is not None
        assert plan.scrap.value == 1100
        assert plan.fill.fresh_volume.value == pytest.approx(3.0)
        assert "scrap_short" in {remark.key for remark in plan.remarks}

    @pytest.mark.parametrize(("litres", "narrow"), [(0.3, True), (4.0, False)])
    def test_a_narrow_fill_keeps_chunks_apart(self, litres: float, narrow: bool) -> None:
        # Independent: fluids' voidage of a packed tube 67 mm across and of one 159 mm across, chunks of 15 mm (18.6 mm balls).
        across = 0.1 * litres ** (1 / 3)
        wall = voidage_Benyahia_Oneil(0.0186105, across, 0.806) - voidage_Benyahia_Oneil(0.0186105, 1e6, 0.806)
        assert (wall >= 0.05) is narrow
        plan = make_plan(brief(fill_volume_l=given(litres, "L")))
        found = [figure for remark in plan.remarks if remark.key == "packing_narrow" for figure in remark.figures]
        assert [figure.value for figure in found] == ([pytest.approx(0.54 - wall, rel=1e-4)] if narrow else [])

    def test_of_another_family_is_flagged(self) -> None:
        plan = make_plan(brief(scrap=replace(SCRAP, family="elsewhere")))
        assert plan.verdict.outcome is Outcome.TEST
        assert any("another family" in remark.text for remark in plan.remarks)

    def test_volumes_of_scrap_and_fresh_make_the_fill(self) -> None:
        plan = make_plan(brief(scrap_share_percent=given(40)))
        assert plan.fill is not None
        assert plan.fill.fresh_volume.value + plan.scrap.value / 1100 == pytest.approx(4)


class TestTasks:
    def test_wait_only_for_tasks_that_exist_and_come_before(self) -> None:
        seen: set[str] = set()
        for task in make_plan(brief()).tasks:
            assert set(task.waits_for) <= seen
            assert task.key not in seen
            seen.add(task.key)

    def test_hours_are_the_sum_of_minutes(self) -> None:
        plan = make_plan(brief())
        assert plan.hours_hands_on.value == pytest.approx(sum(task.minutes.value for task in plan.tasks) / 60)
        assert plan.mold_hours.value < plan.hours_hands_on.value

    def test_typed_minutes_replace_the_computed_and_keep_them_in_view(self) -> None:
        plan = make_plan(brief(minutes_overrides={"board": 200.0}))
        board = next(task for task in plan.tasks if task.key == "board")
        assert board.minutes.value == 200
        assert [given_.value for given_ in board.minutes.given] == [60]

    def test_minutes_typed_for_a_task_that_is_gone_are_pointed_out(self) -> None:
        plan = make_plan(brief(minutes_overrides={"coat_40": 20.0}))
        assert any("coat 40" in remark.text for remark in plan.remarks)

    def test_the_blanket_cures_before_the_shell(self) -> None:
        tasks = {task.key: task for task in make_plan(brief()).tasks}
        assert tasks["parting_strip"].wait_after_min == pytest.approx(960)
        assert tasks["fill"].wait_after_min == pytest.approx(90)
        assert tasks["coat_6"].wait_after_min == pytest.approx(90)
        without_strip = {task.key: task for task in make_plan(brief(seam_length_m=None)).tasks}
        assert without_strip["fill"].wait_after_min == pytest.approx(960)
        bare = {task.key: task for task in make_plan(brief(seam_length_m=None, fill_volume_l=None)).tasks}
        assert bare["coat_6"].wait_after_min == pytest.approx(960)

    def test_a_tin_mold_rests_before_resin(self) -> None:
        tasks = {task.key: task for task in make_plan(brief()).tasks}
        assert tasks["mold_clean"].wait_after_min == 48 * 60


class TestNeeds:
    def test_hold_all_the_rubber_that_is_mixed(self) -> None:
        plan = make_plan(brief())
        mixed = sum(need.mass.value for need in plan.needs if need.material_key in ("rubber", "thickener", "tint"))
        assert mixed == pytest.approx(plan.rubber_fresh.value)

    def test_hold_the_resin_of_the_run_and_the_scrap(self) -> None:
        plan = make_plan(brief())
        assert plan.resin_total is not None
        resin = sum(need.mass.value for need in plan.needs if need.material_key == "resin")
        assert resin == pytest.approx(plan.resin_total.value)
        assert [n.mass.value for n in plan.needs if n.component is Component.SCRAP] == [plan.scrap.value]

    def test_name_each_component_once(self) -> None:
        slots = [(need.material_key, need.component) for need in make_plan(brief()).needs]
        assert len(slots) == len(set(slots))


class TestCautionsAndRemarks:
    def test_cautions_follow_the_chemistry(self) -> None:
        keys = {caution.key for caution in make_plan(brief()).cautions.every()}
        assert {"sheets", "tin", "styrene", "peroxide", "isocyanate", "frame", "glass"} <= keys
        bare = {caution.key for caution in make_plan(brief(shell=None, casting=None)).cautions.every()}
        assert "isocyanate" not in bare
        assert "sheets" in bare

    def test_cautions_stand_with_the_work_they_belong_to(self) -> None:
        cautions = make_plan(brief()).cautions
        assert "styrene" in {caution.key for caution in cautions.shell}
        assert "styrene" not in {caution.key for caution in (*cautions.blanket, *cautions.castings)}
        assert "frame" in {caution.key for caution in cautions.castings}
        assert "tin" in {caution.key for caution in cautions.blanket}
        assert len(cautions.every()) == len({caution.key for caution in cautions.every()})

    @pytest.mark.parametrize(("dose", "much"), [(1.0, False), (1.1, True)])
    def test_much_tint_is_pointed_out(self, dose: float, much: bool) -> None:
        # Common practice, no source: 0.1 to 1 % of paste.
        tint = replace(TINT, properties={"dose_percent": given(dose, "%")})
        assert any(remark.key == "tint_much" for remark in make_plan(brief(tint=tint)).remarks) is much

    def test_what_can_spoil_the_mold_comes_first(self) -> None:
        remarks = make_plan(brief(sealed=False, surface=Surface.SULFUR_CLAY, build_coats=2)).remarks
        tones = [remark.tone for remark in remarks]
        assert tones == sorted(tones, reverse=True)
        assert "stop" in tones

    def test_a_heavy_shell_piece_is_never_silent(self) -> None:
        # A shell piece above the limit of one lift warns.
        big = brief(takeoff=box_takeoff(1.2, 1.0, 2.0), shell=replace(SHELL, pieces=1))
        plan = make_plan(big)
        assert plan.shell is not None
        assert plan.shell.piece_mass.value > 23000
        assert "lift" in {remark.key for remark in plan.remarks}
        assert "lift" in {caution.key for caution in plan.cautions.shell}

    def test_a_run_longer_than_the_mold_lives_is_pointed_out(self) -> None:
        plan = make_plan(brief(casting=replace(CASTING, count=27)))
        assert "life" in {remark.key for remark in plan.remarks}
        assert "life" not in {remark.key for remark in make_plan(brief(casting=replace(CASTING, count=26))).remarks}


class TestWorking:
    def test_every_total_opens_to_inputs(self) -> None:
        plan = make_plan(brief())
        for figure in (plan.rubber_fresh, plan.rubber_net, plan.scrap, plan.hours_hands_on, plan.resin_total):
            assert isinstance(figure, Figure)
            assert figure.formula
            assert figure.given

    def test_keys_of_coats_and_tasks_are_unique(self) -> None:
        plan = make_plan(brief())
        keys = [f.key for c in plan.coats for f in (c.thickness, c.area, c.volume, c.net_mass, c.mixed_mass, c.minutes)]
        keys += [task.minutes.key for task in plan.tasks]
        keys += [mix.mass.key for coat in plan.coats for mix in coat.mixes]
        assert len(keys) == len(set(keys))

    @pytest.mark.parametrize("making", Making)
    @pytest.mark.parametrize("molds", [1, 2])
    def test_a_key_stands_for_one_number(self, making: Making, molds: int) -> None:
        plan = make_plan(brief(making=making, molds=molds, positions=2, shell=None if making is Making.BLOCK else SHELL))
        found: dict[str, Figure] = {}
        for figure in shown(plan):
            assert found.setdefault(figure.key, figure) == figure
        assert len(found) > 100

    def test_a_number_that_is_not_a_number_is_named(self) -> None:
        with pytest.raises(BadBrief, match="Parting strip"):
            make_plan(brief(seam_length_m=given(float("nan"), label="Parting strip")))
