from decimal import Decimal

import pytest

from jobs.errors import JobNotReady, NothingToUndo, PlanChangedMeanwhile
from jobs.models import OwnMinutes, Plan
from jobs.services.plans import keep_minutes, keep_plan, mold_plan, plan_of, undo_plan
from studio.models import Account
from tests.factories import JobFactory, planned_job, starter_material

pytestmark = pytest.mark.django_db


class TestMoldPlan:
    def test_weighs_the_coats_as_steiner_does(self) -> None:
        # published: Steiner's formula for a cylinder on a board; r = 628/2π = 99.949 mm, h = 300 mm, wall 9.5 mm.
        # Blanket: side and top grown by the wall, its lower edge cut off by the board, its upper edge a quarter torus;
        # the flange of 50 mm takes the ring between the blanket's foot and 50 mm from the rim.
        from math import pi

        job = planned_job()
        r, h, t, flange = 628 / (2 * pi), 300.0, 9.5, 50.0
        side = pi * ((r + t) ** 2 - r**2) * h
        top = pi * r**2 * t
        edge = pi * t**2 / 4 * 2 * pi * (r + 4 * t / (3 * pi))
        ring = pi * ((r + flange) ** 2 - (r + t) ** 2) * t
        litres = (side + top + edge + ring) / 1e6
        coats = mold_plan(job).coats
        assert sum(coat.volume.value for coat in coats) == pytest.approx(litres, rel=1e-3)

    def test_mixes_what_is_laid_and_what_is_lost(self) -> None:
        made = mold_plan(planned_job())
        assert made.stand is not None
        mixes = [*(mix for coat in made.coats for mix in coat.mixes), *made.stand.key_mixes]
        parts = sum(part.mass.value for mix in mixes for part in mix.parts)
        assert parts == pytest.approx(made.rubber_fresh.value)
        assert made.rubber_fresh.value > made.rubber_net.value

    def test_says_that_the_piece_is_not_measured(self) -> None:
        with pytest.raises(JobNotReady, match="not measured") as refused:
            mold_plan(JobFactory())
        assert refused.value.page == "jobs:piece_show"

    def test_says_that_no_rubber_is_chosen(self) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(rubber=None)
        with pytest.raises(JobNotReady, match="No rubber") as refused:
            mold_plan(job)
        assert refused.value.page == "jobs:mold_show"

    def test_says_that_the_shell_lacks_its_material(self) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(shell_matrix=None)
        with pytest.raises(JobNotReady) as refused:
            mold_plan(job)
        assert refused.value.page == "jobs:shell_show"

    def test_counts_the_loss_that_was_typed(self) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(cup_loss_percent=20)
        made = mold_plan(job)
        assert made.rubber_fresh.value * 0.8 == pytest.approx(made.rubber_net.value)


class TestKeepPlan:
    def test_keeps_decisions_and_counts_revisions(self, account: Account) -> None:
        plan = plan_of(planned_job())
        keep_plan(plan=plan, values={"wall_mm": Decimal(12)}, revision=plan.revision, by=account)
        fresh = Plan.objects.get(pk=plan.pk)
        assert (fresh.wall_mm, fresh.revision, fresh.changed_by) == (12, plan.revision + 1, account)

    def test_refuses_the_second_of_two_writers_and_changes_nothing(self, account: Account) -> None:
        plan = plan_of(planned_job())
        keep_plan(plan=plan, values={"wall_mm": Decimal(12)}, revision=plan.revision, by=account)
        with pytest.raises(PlanChangedMeanwhile, match=account.name):
            keep_plan(plan=plan, values={"wall_mm": Decimal(6)}, revision=plan.revision, by=None)
        assert Plan.objects.get(pk=plan.pk).wall_mm == 12

    def test_keeps_the_surface_of_the_piece_beside_the_plan(self) -> None:
        job = planned_job()
        plan = plan_of(job)
        keep_plan(plan=plan, values={}, piece_values={"surface": "wood", "sealed": False}, revision=plan.revision, by=None)
        job.piece.refresh_from_db()
        assert (job.piece.surface, job.piece.sealed) == ("wood", False)


class TestUndoPlan:
    def test_brings_back_what_was_there_and_then_the_change(self) -> None:
        job = planned_job()
        plan = plan_of(job)
        other = starter_material("tin-15a")
        keep_plan(
            plan=plan, values={"wall_mm": Decimal("12.25"), "rubber": other}, piece_values={"sealed": False},
            revision=plan.revision, by=None,
        )  # fmt: skip
        undo_plan(plan=plan, by=None)
        back = plan_of(job)
        assert (back.wall_mm, back.rubber_id, back.job.piece.sealed) == (plan.wall_mm, plan.rubber_id, True)
        undo_plan(plan=plan, by=None)
        again = plan_of(job)
        assert (again.wall_mm, again.rubber_id, again.job.piece.sealed) == (Decimal("12.25"), other.pk, False)

    def test_refuses_where_nothing_was_changed(self) -> None:
        with pytest.raises(NothingToUndo):
            undo_plan(plan=plan_of(planned_job()), by=None)

    def test_brings_own_minutes_back_too(self) -> None:
        plan = plan_of(planned_job())
        keep_minutes(plan=plan, minutes={"open": Decimal(55)}, by=None)
        keep_minutes(plan=plan, minutes={}, by=None)
        assert not OwnMinutes.objects.filter(plan=plan).exists()
        undo_plan(plan=plan, by=None)
        assert OwnMinutes.objects.get(plan=plan).minutes == 55


class TestKeepMinutes:
    def test_replaces_the_computed_minutes(self) -> None:
        job = planned_job()
        before = mold_plan(job)
        task = next(task for task in before.tasks if task.key == "open")
        keep_minutes(plan=plan_of(job), minutes={"open": Decimal(task.minutes.value + 60)}, by=None)
        after = mold_plan(job)
        assert after.hours_hands_on.value == pytest.approx(before.hours_hands_on.value + 1, abs=0.01)
