"""Bolts, times of laying, peroxide and lifts of a shell."""

from dataclasses import replace

import pytest

from jobs.planning.brief import Making, ShellBrief, ShellKind
from jobs.planning.errors import BadBrief
from jobs.planning.plan import make_plan
from jobs.planning.results import ShellPlan
from materials.properties import Chemistry, MaterialKind, MixBasis
from tests.jobs.planning.builders import PLASTER, POLYESTER, SHELL, box_takeoff, brief, given, material


def shell_of(**changes: object) -> ShellPlan:
    plan = make_plan(brief(**changes))
    assert plan.shell is not None
    return plan.shell


class TestBolts:
    def test_stand_along_the_parting(self) -> None:
        # Common practice, no source: 100 to 150 mm apart. 1.2 m at 125 mm: 9.6, so 10; at 100 mm exactly 12.
        usual, close = shell_of().bolts, shell_of(shell=replace(SHELL, bolt_spacing_mm=given(100, "mm"))).bolts
        assert usual is not None
        assert close is not None
        assert (usual.value, close.value) == (10, 12)

    def test_are_not_known_without_a_parting(self) -> None:
        assert shell_of(seam_length_m=None).bolts is None

    def test_close_nothing_on_a_shell_of_one_piece(self) -> None:
        assert shell_of(shell=replace(SHELL, pieces=1)).bolts is None

    @pytest.mark.parametrize("spacing", [0, 19, 1001])
    def test_a_spacing_that_closes_nothing_is_refused(self, spacing: float) -> None:
        with pytest.raises(BadBrief, match="Bolts"):
            shell_of(shell=replace(SHELL, bolt_spacing_mm=given(spacing, "mm")))


class TestSessions:
    @pytest.mark.parametrize(("layers", "times"), [(3, 1), (4, 1), (5, 2), (8, 2), (9, 3)])
    def test_no_more_than_four_wet_layers(self, layers: int, times: int) -> None:
        # Published: a resin maker's notes, no more than four wet layers at once.
        found = shell_of(shell=replace(SHELL, layers=given(layers))).sessions
        assert found is not None
        assert found.value == times

    def test_are_not_told_for_plaster(self) -> None:
        assert shell_of(shell=_plaster()).sessions is None


class TestTurns:
    def test_more_layers_than_may_be_wet_are_laid_in_turns(self) -> None:
        plan = make_plan(brief(shell=replace(SHELL, layers=given(5))))
        assert plan.shell is not None
        laid = [task for task in plan.tasks if task.key.startswith("shell_")]
        assert [task.key for task in laid] == ["shell_1", "shell_1_layers_2", "shell_2", "shell_2_layers_2"]
        assert sum(task.minutes.value for task in laid) == pytest.approx(plan.shell.minutes.value)
        # An hour for the heat (common practice), and wet on gelled bonds for about a day (from memory).
        assert [(task.wait_after_min, task.latest_next_min) for task in laid[:2]] == [(60, 1440), (pytest.approx(240), None)]
        assert [task.waits_for[0] for task in laid[1:]] == ["shell_1", "shell_1_layers_2", "shell_2"]
        assert len({task.minutes.key for task in laid}) == 4

    def test_four_layers_are_laid_at_once(self) -> None:
        plan = make_plan(brief(shell=replace(SHELL, layers=given(4))))
        assert [task.key for task in plan.tasks if task.key.startswith("shell_")] == ["shell_1", "shell_2"]


class TestPeroxide:
    def test_is_weighed_with_its_range(self) -> None:
        # Published: 1 to 2 % of the resin; calculated: 1.5 % of 3.375 kg = 50.625 g, 33.75 to 67.5 g.
        found = shell_of().catalyst
        assert found is not None
        assert found.low is not None
        assert found.high is not None
        assert found.value / found.low == pytest.approx(1.5)
        assert found.high / found.low == pytest.approx(2.0)
        assert found.value / found.given[0].value == pytest.approx(50.625 / 3375)

    def test_is_not_told_for_plaster(self) -> None:
        assert shell_of(shell=_plaster()).catalyst is None


class TestLifts:
    def test_name_every_piece_the_shell_the_blanket_and_the_closed_mold(self) -> None:
        found = shell_of()
        lifts = {lift.label: lift for lift in found.lifts}
        assert list(lifts) == ["Shell piece, on average", "Whole shell", "Blanket", "Closed mold with a casting"]
        plan = make_plan(brief())
        assert plan.casting is not None
        rubber = plan.rubber_net.value + plan.scrap.value
        assert lifts["Blanket"].mass.value == pytest.approx(rubber)
        closed = rubber + found.mass.value + plan.casting.casting_mass.value
        assert lifts["Closed mold with a casting"].mass.value == pytest.approx(closed)

    def test_name_the_piece_with_its_rubber_where_it_was_weighed(self) -> None:
        plan = make_plan(brief(piece_mass_g=given(21000, "g")))
        laden = next(lift for lift in plan.lifts if lift.label == "Piece with its rubber")
        assert laden.mass.value == pytest.approx(21000 + plan.rubber_net.value + plan.scrap.value)
        assert (laden.people, laden.by) == (2, "2 people or a hoist")
        heavier = make_plan(brief(piece_mass_g=given(290_000, "g"))).lifts
        assert {lift.by for lift in heavier} == {"1 person", "a hoist"}

    @pytest.mark.parametrize(("limit", "people"), [(100, 1), (18.1, 1), (18.0, 2), (8.0, 3)])
    def test_people_share_what_is_above_one_lift(self, limit: float, people: int) -> None:
        # The closed mold weighs 18.062 kg.
        closed = shell_of(rates={"lift_limit_kg": given(limit, "kg")}).lifts[-1]
        assert closed.mass.value == pytest.approx(18062, abs=1)
        assert closed.people == people

    def test_plaster_counts_as_heavy_as_it_is_wet(self) -> None:
        # Calculated: 20 mm at 70:100, 18.514 kg powder and 12.960 kg water a square metre against 21.96 kg when dry.
        found = shell_of(shell=_plaster())
        whole = next(lift for lift in found.lifts if lift.label == "Whole shell")
        assert whole.mass.value / found.area.value == pytest.approx(31474.6, rel=1e-4)
        assert whole.mass.value / found.mass.value == pytest.approx(1.7 / 1.18618, rel=1e-4)
        assert "60 °C" in found.thickness.note

    def test_a_life_size_shell_takes_several(self) -> None:
        found = shell_of(takeoff=box_takeoff(1.2, 1.0, 2.0), shell=_plaster())
        assert all(lift.people == -(-lift.mass.value // 23000) for lift in found.lifts)
        assert found.lifts[0].people > 2

    def test_a_limit_of_nought_is_refused(self) -> None:
        with pytest.raises(BadBrief, match="lift"):
            shell_of(rates={"lift_limit_kg": given(0, "kg")})


def _plaster() -> ShellBrief:
    return replace(SHELL, kind=ShellKind.PLASTER, material=PLASTER, reinforcement=None, thickness_mm=given(20, "mm"))


class TestRemarks:
    @pytest.mark.parametrize(("dose", "warns"), [(0.9, True), (1.0, False), (2.0, False), (2.1, True)])
    def test_peroxide_outside_its_range_stops(self, dose: float, warns: bool) -> None:
        # Published: a resin maker's notes, 1 to 2 %.
        dosed = replace(POLYESTER, properties={**POLYESTER.properties, "dose_percent": given(dose, "%")})
        plan = make_plan(brief(shell=replace(SHELL, material=dosed)))
        assert ("shell_peroxide" in {remark.key for remark in plan.remarks if remark.tone == "stop"}) is warns

    @pytest.mark.parametrize(("thickness", "warns"), [(18.9, True), (19, False)])
    def test_thin_plaster_is_pointed_out(self, thickness: float, warns: bool) -> None:
        # Published: two workshops, at least 19 mm.
        plan = make_plan(brief(shell=replace(_plaster(), thickness_mm=given(thickness, "mm"))))
        assert ("shell_thin" in {remark.key for remark in plan.remarks}) is warns

    @pytest.mark.parametrize(("layers", "warns"), [(4, False), (5, True)])
    def test_more_than_four_wet_layers_are_pointed_out(self, layers: int, warns: bool) -> None:
        plan = make_plan(brief(shell=replace(SHELL, layers=given(layers))))
        assert ("wet_layers" in {remark.key for remark in plan.remarks}) is warns

    @pytest.mark.parametrize(("side", "layers", "warns"), [(0.5, 1, True), (0.5, 2, False), (1.2, 3, True), (1.2, 4, False)])
    def test_few_layers_for_the_size_are_pointed_out(self, side: float, layers: int, warns: bool) -> None:
        # Common practice, no source: 2 to 4 up to 0.5 m, 4 to 6 above 1 m.
        plan = make_plan(brief(takeoff=box_takeoff(c=side), shell=replace(SHELL, layers=given(layers))))
        assert any(remark.key == "shell_layers" for remark in plan.remarks) is warns

    @pytest.mark.parametrize(("thickness", "warns"), [(3, True), (4, False)])
    def test_thin_putty_is_pointed_out(self, thickness: float, warns: bool) -> None:
        # Common practice, no source: 4 to 8 mm.
        putty = material(
            "putty", MaterialKind.SHELL, Chemistry.EPOXY, MixBasis.BY_WEIGHT, parts_a_by_weight=1, parts_b_by_weight=1,
            density_kg_m3=1500, demold_min=240, reference_temp_c=23,
        )  # fmt: skip
        shell = replace(SHELL, kind=ShellKind.PUTTY, material=putty, reinforcement=None, thickness_mm=given(thickness, "mm"))
        plan = make_plan(brief(shell=shell))
        assert any(remark.key == "shell_thin" for remark in plan.remarks) is warns


class TestWithoutShell:
    def test_a_heavy_block_is_lifted_with_care(self) -> None:
        plan = make_plan(
            brief(making=Making.BLOCK, takeoff=box_takeoff(0.5, 0.5, 0.8), scrap=None, scrap_share_percent=None)
        )  # fmt: skip
        assert plan.shell is None
        assert [lift.label for lift in plan.lifts] == ["Block", "Closed mold with a casting"]
        assert plan.lifts[0].mass.value > 23000
        assert "lift" in {caution.key for caution in plan.cautions.blanket}
        assert next(found.tone for found in plan.troubles if found.key == "heavy_plaster") == "look"

    @pytest.mark.parametrize(("layers", "warns"), [(1, True), (2, False)])
    def test_little_fibre_in_plaster_is_pointed_out(self, layers: int, warns: bool) -> None:
        # Published: workshops' accounts, 2 to 4 layers.
        fibre = replace(_plaster(), reinforcement=SHELL.reinforcement, layers=given(layers))
        plan = make_plan(brief(shell=fibre))
        assert any(remark.key == "shell_layers" for remark in plan.remarks) is warns
