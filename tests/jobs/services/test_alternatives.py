"""Taking another way of doing a job, and copies of plans under names."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from jobs.errors import CopyRefused, JobNotReady, PlanChangedMeanwhile, WayGone
from jobs.models import Job, KeptPlan, PieceStudy, Plan
from jobs.planning.plan import make_plan
from jobs.planning.results import MoldPlan
from jobs.services.alternatives import take_copy, take_way, ways_of
from jobs.services.copies import MOST_COPIES, bring_back_copy, differences, keep_copy, remove_copy
from jobs.services.plans import compute, decisions_of, keep_minutes, keep_plan, plan_of, undo_plan
from studio.figures import WorkingError
from studio.models import Account
from tests.factories import JobFactory, ScrapBinFactory, planned_job, starter_material
from tests.jobs.studied import study_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    """Return a planned job with a fill, a bin whose scrap bonds, and a run that one mold may not survive."""
    made = planned_job()
    Plan.objects.filter(job=made).update(fill_volume_l=2, castings=60)
    ScrapBinFactory(chemistry=Plan.objects.get(job=made).rubber.chemistry, holding=5000)
    return made


def told(plan: MoldPlan) -> MoldPlan:
    """Leave out what is said about the shape: it is asked for anew once a plan is kept."""
    return replace(plan, remarks=())


class TestWaysOf:
    def test_each_is_the_plan_that_taking_it_makes(self, job: Job) -> None:
        found = ways_of(plan_of(job)).ways
        assert len(found) > 6
        for way in found[1:]:
            plan = plan_of(job)
            take_way(plan=plan, key=way.alternative.key, revision=plan.revision, by=None)
            try:
                wanted = make_plan(way.alternative.brief)
            except WorkingError as refusal:
                with pytest.raises(JobNotReady, match=str(refusal)[:30]):
                    compute(plan_of(job))
            else:
                assert told(compute(plan_of(job))) == told(wanted), way.alternative.key
            undo_plan(plan=plan_of(job), by=None)

    def test_offers_the_fullest_bin_that_bonds(self, job: Job) -> None:
        chemistry = Plan.objects.get(job=job).rubber.chemistry
        fuller = ScrapBinFactory(chemistry=chemistry, holding=9000)
        ScrapBinFactory(chemistry="polyurethane", holding=20000)
        changes = {way.alternative.key: way.alternative.changes for way in ways_of(plan_of(job)).ways}
        assert changes["scrap"]["scrap_bin"] == fuller.pk

    def test_offers_a_thickener_of_the_rubber_s_own_chemistry(self, job: Job) -> None:
        own = starter_material("thixotropic-liquid")
        starter_material("polyethylene-fibre")
        Plan.objects.filter(job=job).update(thickener=None)
        changes = {way.alternative.key: way.alternative.changes for way in ways_of(plan_of(job)).ways}
        assert changes["thickener"]["thickener"] == own.pk

    def test_counts_on_the_usual_life_where_none_is_stated(self, job: Job) -> None:
        # Common practice: 25 to 50 castings of polyurethane from tin rubber; 60 are more than one mold gives.
        Plan.objects.get(job=job).rubber.properties.filter(key="castings_expected").delete()
        assert "more_molds" in {way.alternative.key for way in ways_of(plan_of(job)).ways}

    def test_another_bin_asks_the_shape_anew(self, job: Job) -> None:
        # What is typed leaves nothing to the shape, and nothing to be said of it.
        Plan.objects.filter(job=job).update(fill_volume_l=2, seam_length_mm=None)
        study_of(job, state=PieceStudy.State.QUEUED)
        said = {way.alternative.key: way.alternative.brief.shape for way in ways_of(plan_of(job)).ways}
        used, scrap = said["in_use"], said["scrap"]
        assert used is not None
        assert scrap is not None
        assert "being computed" in used.remarks[0].text
        assert "once this plan is kept" in scrap.remarks[0].text
        assert said["warm"] == used

    def test_says_what_is_missing(self) -> None:
        with pytest.raises(JobNotReady) as refused:
            ways_of(plan_of(JobFactory()))
        assert refused.value.page == "jobs:piece_show"

    def test_asks_the_database_as_often_for_many_copies_as_for_one(self, job: Job, django_assert_max_num_queries: Any) -> None:
        counts = []
        for number in range(1, 6):
            keep_copy(plan=plan_of(job), name=f"copy {number}", by=None)
            plan = plan_of(job)
            with django_assert_max_num_queries(30) as seen:
                ways_of(plan)
            counts.append(len(seen.captured_queries))
        assert len(set(counts)) == 1


class TestTakeWay:
    def test_undoing_it_restores_every_decision(self, job: Job, account: Account) -> None:
        keep_minutes(plan=plan_of(job), minutes={"board": Decimal(33)}, by=account)
        before = decisions_of(plan_of(job))
        for way in ways_of(plan_of(job)).ways[1:]:
            plan = plan_of(job)
            take_way(plan=plan, key=way.alternative.key, revision=plan.revision, by=account)
            assert decisions_of(plan_of(job)) != before
            undo_plan(plan=plan_of(job), by=account)
            assert decisions_of(plan_of(job)) == before

    def test_is_refused_when_somebody_kept_the_plan_meanwhile(self, job: Job, account: Account) -> None:
        opened = plan_of(job)
        keep_plan(plan=opened, values={"wall_mm": Decimal(12)}, revision=opened.revision, by=account)
        with pytest.raises(PlanChangedMeanwhile, match="look at the table again") as refused:
            take_way(plan=opened, key="block", revision=opened.revision, by=None)
        assert account.name in str(refused.value)
        assert Plan.objects.get(job=job).making == "brushed"

    @pytest.mark.parametrize("key", ["in_use", "no_such_way", ""])
    def test_refuses_what_is_not_offered(self, job: Job, key: str) -> None:
        plan = plan_of(job)
        with pytest.raises(WayGone, match="not offered"):
            take_way(plan=plan, key=key, revision=plan.revision, by=None)
        assert Plan.objects.get(job=job).revision == plan.revision


class TestCopies:
    def test_are_computed_whole_beside_the_plan_in_use(self, job: Job, account: Account) -> None:
        keep_minutes(plan=plan_of(job), minutes={"board": Decimal(33)}, by=account)
        row = keep_copy(plan=plan_of(job), name="  Thick   wall ", by=account)
        assert row.name == "Thick wall"
        kept = compute(plan_of(job))
        plan = plan_of(job)
        keep_plan(plan=plan, values={"wall_mm": Decimal(6), "castings": 3}, revision=plan.revision, by=account)
        way = next(way for way in ways_of(plan_of(job)).ways if way.kept == row)
        assert told(make_plan(way.alternative.brief)) == told(kept)
        assert differences(plan_of(job), row) == ("rubber wall", "castings")

    def test_taken_up_bring_their_decisions_back_and_stay(self, job: Job, account: Account) -> None:
        before = decisions_of(plan_of(job))
        row = keep_copy(plan=plan_of(job), name="first", by=account)
        plan = plan_of(job)
        keep_plan(plan=plan, values={"wall_mm": Decimal(6)}, piece_values={"sealed": False}, revision=plan.revision, by=account)
        plan = plan_of(job)
        take_copy(plan=plan, pk=row.pk, revision=plan.revision, by=account)
        assert decisions_of(plan_of(job)) == before
        assert KeptPlan.objects.filter(pk=row.pk).exists()
        undo_plan(plan=plan_of(job), by=account)
        assert Plan.objects.get(job=job).wall_mm == 6

    def test_are_not_taken_up_over_a_newer_plan(self, job: Job, account: Account) -> None:
        row = keep_copy(plan=plan_of(job), name="first", by=account)
        opened = plan_of(job)
        keep_plan(plan=opened, values={"wall_mm": Decimal(12)}, revision=opened.revision, by=account)
        with pytest.raises(PlanChangedMeanwhile, match="look at the table again"):
            take_copy(plan=opened, pk=row.pk, revision=opened.revision, by=None)
        assert Plan.objects.get(job=job).wall_mm == 12

    def test_of_another_job_are_not_to_be_had(self, job: Job) -> None:
        other = planned_job()
        row = keep_copy(plan=plan_of(other), name="theirs", by=None)
        plan = plan_of(job)
        with pytest.raises(CopyRefused, match="not there"):
            take_copy(plan=plan, pk=row.pk, revision=plan.revision, by=None)
        with pytest.raises(CopyRefused, match="not there"):
            remove_copy(job=job, pk=row.pk)
        removed = remove_copy(job=other, pk=row.pk)
        with pytest.raises(CopyRefused, match="no removed copy"):
            bring_back_copy(job=job, told=removed, by=None)

    def test_removed_can_be_brought_back_unless_the_name_is_taken(self, job: Job) -> None:
        row = keep_copy(plan=plan_of(job), name="first", by=None)
        decisions = row.decisions
        removed = remove_copy(job=job, pk=row.pk)
        assert not KeptPlan.objects.exists()
        assert bring_back_copy(job=job, told=removed, by=None).decisions == decisions
        with pytest.raises(CopyRefused, match="already"):
            bring_back_copy(job=job, told=removed, by=None)

    @pytest.mark.parametrize("name", ["", "   ", "x" * 81])
    def test_need_a_name_of_some_letters(self, job: Job, name: str) -> None:
        with pytest.raises(CopyRefused, match="name"):
            keep_copy(plan=plan_of(job), name=name, by=None)

    def test_have_names_of_their_own_and_are_not_without_end(self, job: Job) -> None:
        plan = plan_of(job)
        keep_copy(plan=plan, name="Copy 0", by=None)
        with pytest.raises(CopyRefused, match="called “copy 0” already"):
            keep_copy(plan=plan, name="copy 0", by=None)
        for number in range(1, MOST_COPIES):
            keep_copy(plan=plan, name=f"copy {number}", by=None)
        with pytest.raises(CopyRefused, match="remove one first"):
            keep_copy(plan=plan, name="one too many", by=None)

    def test_that_lack_a_material_now_say_what(self, job: Job) -> None:
        row = keep_copy(plan=plan_of(job), name="first", by=None)
        KeptPlan.objects.filter(pk=row.pk).update(decisions={**row.decisions, "rubber": 999999})
        found = ways_of(plan_of(job))
        assert [(one.pk, "rubber" in reason) for one, reason in found.broken] == [(row.pk, True)]
