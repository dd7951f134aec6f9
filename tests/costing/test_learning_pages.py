"""Rates that the log teaches: from which tasks, how sure, taken over and put back; and ranges against what came out."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from costing.errors import AdoptionRefused
from costing.models import Quote, RateAdoption
from costing.services import learning as services
from costing.services.calibration import calibration
from costing.services.quotes import freeze_quote
from jobs.models import Job, WorkDone
from jobs.services.plans import keep_minutes, mold_plan, plan_of
from materials import ledger
from studio.access import Role
from studio.models import WorkRate
from studio.services.rates import set_rate
from tests.costing.rows import make_job
from tests.factories import AccountFactory, LotFactory

pytestmark = pytest.mark.django_db


def text_of(response: Any) -> str:
    return re.sub(r"\s+", " ", response.content.decode().replace("\xa0", " "))


def delivered(**minutes: float) -> Job:
    """Return a delivered job with minutes noted of its tasks."""
    job = make_job()
    Job.objects.filter(pk=job.pk).update(state=Job.State.DELIVERED)
    for key, value in minutes.items():
        WorkDone.objects.create(job=job, task_key=key, label=key, stage="prepare", minutes=Decimal(str(value)))
    return job


def learnt(key: str) -> services.LearntRate:
    return next(one for _, rates in services.learning().stages for one in rates if one.line.kind.key == key)


class TestLearning:
    def test_takes_a_rate_from_the_tasks_that_it_makes_most_of(self) -> None:
        job = delivered(board=90, finishing=120, coat_1=80, castings=500)
        plan = mold_plan(job)
        board, finishing = learnt("board_min"), learnt("finish_min_per_m2")
        assert board.evidence[0].figure.value == 90
        # The share of the rate in the task by the table, and the surface of the run as the plan has it.
        task = next(task for task in plan.tasks if task.key == "finishing")
        surface = task.minutes.given[0].value
        assert finishing.evidence[0].figure.value == pytest.approx(120 * (30 * surface / task.minutes.value) / surface, rel=1e-6)
        assert {one.line.kind.key for _, rates in services.learning().stages for one in rates} == {
            "board_min", "finish_min_per_m2",
        }  # fmt: skip
        assert 60 < board.learnt.value < 90
        assert 0 < board.share_percent < 100

    def test_is_the_surer_the_more_jobs_agree_and_doubts_one_that_does_not(self) -> None:
        for minutes in (88, 92, 95):
            delivered(board=minutes)
        few = learnt("board_min")
        delivered(board=900)
        many = learnt("board_min")
        assert many.learnt.value == pytest.approx(few.learnt.value, rel=0.12)
        # The newest job is not the surest; jobs stand by their numbers.
        assert [one.believed_percent < 50 for one in many.evidence] == [False, False, False, True]

    def test_hears_only_delivered_jobs_and_lines_that_count(self) -> None:
        job = delivered(board=90)
        Job.objects.filter(pk=job.pk).update(state=Job.State.WORKING)
        assert services.learning().stages == ()
        Job.objects.filter(pk=job.pk).update(state=Job.State.DELIVERED)
        WorkDone.objects.update(taken_back_at="2026-11-20T10:00:00Z")
        assert services.learning().stages == ()

    def test_does_not_move_when_minutes_are_typed_for_the_job_or_a_rate_is_taken_over(self) -> None:
        job = delivered(finishing=120)
        before = learnt("finish_min_per_m2").offered
        keep_minutes(plan=plan_of(job), minutes={"finishing": Decimal(7)}, by=None)
        set_rate(key="finish_min_per_m2", value=Decimal(90), note="", by=AccountFactory())
        assert learnt("finish_min_per_m2").offered == before


class TestAdoption:
    def test_takes_a_rate_over_and_puts_the_one_before_back(self, signed_in: Callable[[Role], Client]) -> None:
        job, owner = delivered(board=90, finishing=120), signed_in(Role.OWNER)
        set_rate(key="board_min", value=Decimal(70), note="timed twice", by=AccountFactory())
        html = text_of(owner.get("/studio/learning/"))
        for words in ("Board and flange, each position", "from the log", f"Job {job.number}", "Student", "Use <"):
            assert words in html, words
        offered = learnt("board_min").offered
        html = text_of(owner.post("/studio/learning/adopt/", {"key": "board_min", "seen": str(offered)}, follow=True))
        assert "plans now use" in html
        assert WorkRate.objects.get().value == offered
        assert next(task.minutes.value for task in mold_plan(job).tasks if task.key == "board") == float(offered)
        row = RateAdoption.objects.get()
        assert (row.before, row.evidence["jobs"]) == (Decimal(70), [job.number])
        html = text_of(owner.post("/studio/learning/undo/", {"adoption": row.pk}, follow=True))
        assert "is in force again" in html
        assert "; put back" in html
        own = WorkRate.objects.get()
        assert (own.value, own.note) == (Decimal(70), "timed twice")
        assert "undone already" in text_of(owner.post("/studio/learning/undo/", {"adoption": row.pk}, follow=True))

    def test_puts_the_table_back_where_nothing_was_the_studios_own(self) -> None:
        delivered(board=90)
        by = AccountFactory()
        row = services.adopt(key="board_min", seen=learnt("board_min").offered, by=by)
        services.undo(pk=row.pk, by=by)
        assert not WorkRate.objects.exists()

    def test_is_refused_when_the_log_or_the_rate_has_moved(self, signed_in: Callable[[Role], Client]) -> None:
        delivered(board=90)
        by, offered = AccountFactory(), learnt("board_min").offered
        delivered(board=50)
        with pytest.raises(AdoptionRefused, match="has changed since you looked"):
            services.adopt(key="board_min", seen=offered, by=by)
        with pytest.raises(AdoptionRefused, match="Nothing is learnt"):
            services.adopt(key="turn_min", seen=offered, by=by)
        row = services.adopt(key="board_min", seen=learnt("board_min").offered, by=by)
        set_rate(key="board_min", value=Decimal(33), note="", by=by)
        with pytest.raises(AdoptionRefused, match="changed after it was taken over"):
            services.undo(pk=row.pk, by=by)
        maker = signed_in(Role.MAKER)
        assert maker.post("/studio/learning/adopt/", {"key": "board_min", "seen": "1"}).status_code == 403
        assert "<button>Use" not in text_of(maker.get("/studio/learning/"))

    def test_asks_the_database_no_oftener_with_more_jobs(self) -> None:
        def asked() -> int:
            with CaptureQueriesContext(connection) as queries:
                services.learning()
            return len(queries)

        delivered(board=90)
        asked()
        few = asked()
        for _ in range(3):
            delivered(board=80)
        assert asked() == few


class TestCalibration:
    def outcome(self, *, hours: tuple[float, float, float], noted: float) -> Quote:
        job = make_job()
        quote = freeze_quote(job=job, by=AccountFactory())
        planned = sum(task["minutes"] for task in quote.inner["plan"]["tasks"])
        for task in quote.inner["plan"]["tasks"]:
            share = Decimal(str(round(noted * 60 * task["minutes"] / planned, 1)))
            WorkDone.objects.create(job=job, task_key=task["key"], label="x", stage=task["stage"], minutes=share)
        plan = plan_of(job)
        for material in (plan.rubber, plan.resin, plan.shell_matrix):
            lot = LotFactory(material=material, holding=9000)
            ledger.issue(of=lot, mass_g=Decimal(4000), key=f"cal-{lot.pk}-use", by=None, job_number=job.number)
        frozen = {"hours": hours, "rubber": (3000, 4100, 4500), "cost": (1, 2, 3)}
        ranges = {key: dict(zip(("p10", "p50", "p90"), ends, strict=True)) for key, ends in frozen.items()}
        # Every range that is counted is one that freezing writes.
        assert set(frozen) <= set(quote.inner["spread"])
        Quote.objects.filter(pk=quote.pk).update(inner={**quote.inner, "spread": ranges}, state="accepted")
        Job.objects.filter(pk=job.pk).update(state=Job.State.DELIVERED)
        return quote

    def test_counts_where_jobs_came_out_and_says_what_so_few_tell(self, office: Client) -> None:
        self.outcome(hours=(20, 25, 31), noted=24)
        self.outcome(hours=(20, 25, 31), noted=40)
        self.outcome(hours=(20, 25, 31), noted=10)
        freeze_quote(job=make_job(), by=AccountFactory())
        hours, rubber, cost = calibration().kinds
        assert (hours.counts.below, hours.counts.inside, hours.counts.above) == (1, 1, 1)
        assert (rubber.counts.inside, cost.counts.above) == (3, 3)
        html = text_of(office.get("/quotes/calibration/"))
        assert "With 3 jobs nothing can be said yet: 2 of 3 came out at or below their P90" in html
        assert "Hours: ranges and what came out" in html
        assert "above its P90" in html

    def test_leaves_out_jobs_whose_log_is_not_whole_and_says_so(self, office: Client) -> None:
        quote = self.outcome(hours=(20, 25, 31), noted=24)
        WorkDone.objects.filter(task_key__in=["castings", "board", "coat_1", "packing", "finishing"]).delete()
        assert [len(kind.jobs) for kind in calibration().kinds] == [0, 1, 0]
        html = text_of(office.get("/quotes/calibration/"))
        assert "less than four fifths of its planned minutes are noted" in html
        assert f"Job {quote.job.number}" in html
        assert "No delivered job has a range to be held against yet." in html
