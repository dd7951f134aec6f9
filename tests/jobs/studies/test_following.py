"""A plan takes from the shape what nobody typed, and says where its figures come from."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest

from costing.inputs import planned
from costing.services.offer import estimate_of
from jobs.forms.stages import ShellForm
from jobs.geometry.study.directions import direction
from jobs.geometry.study.results import GaugeKind, GaugeSpot
from jobs.geometry.walls import MeasuredWalls, Rung
from jobs.inputs import takeoff_of
from jobs.models import Job, PieceStudy, Plan
from jobs.planning.results import MoldPlan
from jobs.planning.shape import FLANGE_WIDTH
from jobs.services.plans import compute_so_far, keep_plan, mold_plan, plan_of, undo_plan
from jobs.studies import queueing
from jobs.studies.asking import ask_study
from materials.properties import Chemistry
from studio.figures import Figure, Given
from studio.models import StudioProfile
from tests.factories import PackFactory, ScrapBinFactory, planned_job
from tests.jobs.studies.found import AREAS, FILLS, PARTINGS, division, have_studied, study

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _unpushed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queueing, "push", lambda study_id: True)


def said(made: MoldPlan) -> str:
    return " ".join(remark.text for remark in made.remarks if remark.key == "study")


def sources_of(figure: Figure) -> Iterator[Figure | Given]:
    """Walk through everything that a figure was made from."""
    for given in figure.given:
        yield given
        if isinstance(given, Figure):
            yield from sources_of(given)


def decide(job: Job, **values: Any) -> Plan:
    plan = plan_of(job)
    return keep_plan(plan=plan, values=values, revision=plan.revision, by=None)


class TestPlan:
    def test_takes_the_places_of_gauge_blocks_from_the_shape(self) -> None:
        job = planned_job()
        kinds = (GaugeKind.FLAT, GaugeKind.THIN, GaugeKind.THIN)
        spots = tuple(GaugeSpot(kind=kind, point=(0, 0, 9), outward=direction(0.0, 90.0), why="here") for kind in kinds)
        have_studied(job, study(taken=division(2), gauges=spots))
        made = mold_plan(job)
        assert made.gauges is not None
        assert made.wall_advice is not None
        assert made.gauges.count.value == 3
        assert [number for _, number in made.gauges.spots] == [1, 2]
        assert any("2 spot" in reason.text for reason in made.wall_advice.thicker_at)

    def test_takes_fill_seam_and_positions_from_the_shape(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2)))
        made = mold_plan(job)
        assert made.fill.volume.value == pytest.approx(FILLS[2, 0])
        assert (made.fill.volume.low, made.fill.volume.high) == pytest.approx((1.49, 1.51))
        assert made.seam.value == pytest.approx(PARTINGS[2])
        assert made.positions == 5
        assert [given.value for given in made.positions_count.given[:5]] == pytest.approx([0.05] * 5)
        assert "from the shape" in made.fill.volume.given[0].source.text
        assert "9.5 mm" in made.fill.volume.given[0].source.text
        assert said(made) == ""

    def test_mixes_no_cup_for_a_fill_that_cannot_be_told_from_nought(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2, fill_l=0.009)))
        made = mold_plan(job)
        assert made.fill is None
        assert said(made) == ""

    def test_reads_the_blanket_of_a_tape_piece_off_the_body_made_from_its_readings(self) -> None:
        job = planned_job()
        by_formula = mold_plan(job).rubber_net.value
        # A wall of 9.5 mm as thick again as its area says: nothing but the measured wall can give this.
        area_mm2 = takeoff_of(job.piece).area.value * 1e6
        rung = Rung(thickness_mm=9.5, volume_mm3=2 * 9.5 * area_mm2, bound_mm3=0.0, area_mm2=2 * area_mm2)
        have_studied(job, study(taken=division(2, fill_l=0.0), walls=MeasuredWalls(blanket=(rung,))))
        made = mold_plan(job)
        assert made.rubber_net.value > 1.5 * by_formula
        assert {given.source.text for given in sources_of(made.coats[0].net_mass)} >= {
            "body made from the tape readings, distance from its surface"
        }

    def test_keeps_to_what_a_person_typed(self) -> None:
        job = planned_job()
        decide(job, fill_volume_l=Decimal("3.2"), seam_length_mm=Decimal(700), positions=2)
        have_studied(job, study(taken=division(2)))
        made = mold_plan(job)
        assert (made.fill.volume.value, made.seam.value, made.positions) == (3.2, 0.7, 2)
        assert made.fill.volume.formula == "as typed"

    def test_counts_nought_and_says_so_until_anything_is_known(self) -> None:
        made = mold_plan(planned_job())
        assert (made.fill, made.seam.value, made.positions) == (None, 0.0, 2)
        assert said(made) == (
            "Fill, parting strip and positions are being computed from the shape; until then fill and parting strip count as "
            "nought and two positions are supposed."
        )

    def test_says_that_it_comes_from_another_wall(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2)))
        decide(job, wall_mm=Decimal(12))
        made = mold_plan(job)
        assert made.fill.volume.value == pytest.approx(FILLS[2, 0])
        assert "from a wall of 9.5 mm (0.37 in); for 12 mm (0.47 in) they are being computed from the shape." in said(made)

    def test_says_why_the_shape_could_not_be_studied(self) -> None:
        job = planned_job()
        ask_study(plan_of(job))
        PieceStudy.objects.update(state="refused", reason="The {mesh} is odd.")
        assert said(mold_plan(job)) == "The shape could not be studied. The {mesh} is odd."

    def test_follows_another_number_of_pieces_before_it_is_kept(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2)))
        plan = plan_of(job)
        plan.shell_pieces, plan.division_rank = 3, 1
        made = compute_so_far(plan)
        assert made.fill.volume.value == pytest.approx(FILLS[3, 1])
        assert said(made) == ""

    def test_asks_for_the_fill_to_be_typed_where_ways_are_not_searched(self) -> None:
        job = planned_job()
        decide(job, shell_pieces=6)
        have_studied(job, study(taken=None))
        made = mold_plan(job)
        assert made.fill is None
        assert "for 6, type fill, parting strip and positions" in said(made)

    def test_names_what_contradicts_itself(self) -> None:
        job = planned_job()
        decide(job, pinned_pulls=[{"azimuth_deg": float(n), "lift_deg": 0.0} for n in range(3)])
        assert "3 pulls are fixed, but the shell has 2 pieces" in said(mold_plan(job))

    def test_gives_back_what_was_fixed_by_undo(self) -> None:
        job = planned_job()
        pulls = [{"azimuth_deg": 90.0, "lift_deg": 0.0}]
        decide(job, pinned_pulls=pulls, parting={"azimuth_deg": 5.0, "offset_mm": 0.0}, division_rank=1)
        undo_plan(plan=plan_of(job), by=None)
        plan = plan_of(job)
        assert (plan.pinned_pulls, plan.parting, plan.division_rank) == ([], None, 0)
        undo_plan(plan=plan, by=None)
        plan = plan_of(job)
        assert (plan.pinned_pulls, plan.parting, plan.division_rank) == (pulls, {"azimuth_deg": 5.0, "offset_mm": 0.0}, 1)


class TestShell:
    def test_covers_the_filled_outside_and_flanges_along_the_parting(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(3)))
        decide(job, shell_pieces=3)
        have_studied(job, study(taken=division(3)))
        made = mold_plan(job)
        board = made.shell.area.given[0].given[1].value
        assert board > 0
        # exact: outside, the flange on the board, and two flanges along the parting.
        assert made.shell.area.value == pytest.approx(sum(AREAS[3]) + board + 2 * PARTINGS[3] * FLANGE_WIDTH.value / 1000)

    def test_weighs_each_piece_by_its_own_area(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2)))
        shell = mold_plan(job).shell
        assert sum(mass.value for mass in shell.piece_masses) == pytest.approx(shell.mass.value)
        assert shell.piece_masses[0].value / shell.piece_masses[1].value == pytest.approx(0.12 / 0.08)
        assert shell.piece_mass.value == shell.piece_masses[0].value
        assert shell.piece_mass.label == "Heaviest shell piece"

    def test_splits_its_minutes_by_area_and_loses_none(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2)))
        made = mold_plan(job)
        each = [task.minutes.value for task in made.tasks if task.key.startswith("shell_")]
        assert sum(each) == pytest.approx(made.shell.minutes.value)
        assert each[0] > each[1]

    def test_warns_when_no_order_was_found(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2, order=False)))
        remark = next(remark for remark in mold_plan(job).remarks if remark.key == "shell_order")
        assert remark.tone == "stop"
        assert "piece 1 is held by piece 2" in remark.text

    def test_is_studied_although_its_material_is_not_chosen(self) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(shell_matrix=None)
        have_studied(job, study(taken=division(2)))
        assert compute_so_far(plan_of(job)).fill.volume.value == pytest.approx(FILLS[2, 0])

    def test_keeps_a_flange_share_that_was_typed(self) -> None:
        form = ShellForm(plan=plan_of(planned_job()))
        assert not form.fields["shell_flange_percent"].required


class TestScrap:
    def test_is_no_more_than_finds_room(self) -> None:
        job = planned_job()
        kept = ScrapBinFactory(chemistry=Chemistry.TIN_SILICONE.value, holding=50_000)
        plan = decide(job, scrap_bin=kept, scrap_share_percent=Decimal(100), packing_fraction=Decimal("0.5"))
        have_studied(job, study(taken=division(2), room_l=0.4))
        made = mold_plan(job)
        density = float(plan.scrap_bin.density_kg_m3)
        assert made.fill.scrap_mass.value == pytest.approx(0.4 * 0.5 * density)
        assert any(remark.key == "scrap_room" for remark in made.remarks)
        assert made.fill.scrap_room in made.fill.scrap_mass.given

    def test_is_not_limited_by_the_room_for_other_chunks(self) -> None:
        job = planned_job()
        have_studied(job, study(taken=division(2), room_l=0.4, edge_mm=15.0))
        kept = ScrapBinFactory(chemistry=Chemistry.TIN_SILICONE.value, holding=50_000, chunk_edge_mm=Decimal(30))
        decide(job, scrap_bin=kept, scrap_share_percent=Decimal(100), packing_fraction=Decimal("0.5"))
        made = mold_plan(job)
        assert made.fill.scrap_room is None
        assert made.fill.scrap_mass.value == pytest.approx(made.fill.scrap_wished.value)


class TestPrice:
    def test_follows_the_fill(self) -> None:
        job, profile = planned_job(), StudioProfile.objects.current()
        for key in {need.material_key for need in planned(job).mold.needs if isinstance(need.material_key, int)}:
            PackFactory(material_id=key)
        before = estimate_of(planned(job), profile)
        decide(job, seam_length_mm=Decimal(0), positions=2, shell_flange_percent=Decimal(15))
        have_studied(job, study(taken=division(2, fill_l=4.0)))
        after = estimate_of(planned(job), profile)
        # exact: 4 L of a rubber of its own density, and no less, is bought more.
        density = planned(job).materials[planned(job).plan.rubber_id].get("density_kg_m3").value
        fresh = planned(job).mold.rubber_fresh.value - mold_plan(planned_job()).rubber_fresh.value
        assert fresh >= 4.0 * density
        assert after.likely.value > before.likely.value
