import datetime
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser

from jobs.models import DaysQuestion, Job
from tests.factories import PersonFactory, planned_job
from tests.jobs.timetables import lay_out, timetable_in_use
from tests.studio.paper_forms import press

pytestmark = pytest.mark.django_db
MONDAY = datetime.datetime(2027, 3, 1, 6, 0, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)
# Four draws: two end on Thursday the 4th, one on Friday after work ends at five, one did not end.
ENDS = ["2027-03-04T15:00:00+00:00", "2027-03-04T16:30:00+00:00", "2027-03-05T18:00:00+00:00"]
PROMISE: dict[str, Any] = {
    "even_at": ENDS[1], "nine_in_ten_at": ENDS[2], "draws": 4, "missed": 1, "ends": ENDS, "beside": 2, "by_hand": 1,
    "remarks": [{"kind": "remark", "job": None, "title": "", "sentence": "The <room> is taken at 21 °C.", "page": ""}],
}  # fmt: skip
REMEDIES = [
    {"key": "day_more", "label": "Promise it a day later", "effect": "Done Fri 16:00: the day is kept.", "helps": True},
    {"key": "evening", "label": "Come in for an evening visit", "effect": "Done Thu 20:00: 3 h late.", "helps": False},
    {"key": "unheard_of", "label": "Do it <otherwise>", "effect": "Done.", "helps": False},
]
WHY: dict[str, Any] = {
    "can_be_kept": False, "due_at": "2027-03-04T17:00:00+00:00",
    "sentence": "The window after “Print coat” closes Tue 02:10, and nobody works then.",
    "causes": [{"rule": "window", "task": "Build coat"}, {"rule": "hours", "task": "Build coat"}], "remedies": REMEDIES,
}  # fmt: skip


@pytest.fixture(autouse=True)
def _on_monday() -> Iterator[None]:
    with time_machine.travel(MONDAY, tick=False):
        yield


def answered(job: Job, kind: str, answer: dict[str, Any], **fields: Any) -> DaysQuestion:
    values = {"state": DaysQuestion.State.READY, "finished_at": MONDAY, "answer": answer, **fields}
    made: DaysQuestion = DaysQuestion.objects.create(job=job, kind=kind, **values)
    return made


def promised_on(job: Job) -> datetime.date | None:
    on: datetime.date | None = Job.objects.values_list("promised_on", flat=True).get(pk=job.pk)
    return on


class TestPromise:
    def test_is_asked_for_and_waited_for(self, owner_client: Browser) -> None:
        job = planned_job()
        answer = press(owner_client, f"/jobs/{job.number}/days/", "When could it be done?")
        assert answer["Location"] == f"/jobs/{job.number}/days/promise/"
        asked = DaysQuestion.objects.get()
        assert (asked.kind, asked.job, asked.busy) == ("promise", job, True)
        where = f"/jobs/{job.number}/days/promise/"
        text = owner_client.get(where).content.decode()
        assert 'hx-trigger="every 1s"' in text
        assert "You can leave this page" in text
        part = owner_client.get(where, headers={"HX-Request": "true"}).content.decode()
        assert part.lstrip().startswith('<div id="question"')
        DaysQuestion.objects.update(state="refused", reason="The rubber is not chosen.")
        text = owner_client.get(where).content.decode()
        assert "There is no answer." in text
        assert "The rubber is not chosen." in text
        assert "Ask again" in text

    def test_shows_both_days_and_what_they_rest_on(self, owner_client: Browser) -> None:
        job = planned_job()
        answered(job, "promise", PROMISE)
        page = owner_client.get(f"/jobs/{job.number}/days/promise/")
        text, found = page.content.decode(), page.context["found"]
        # Work ends at five on Friday and the draw at six, so Monday is the day to promise.
        assert (found.even_on, found.nine_on) == (datetime.date(2027, 3, 4), datetime.date(2027, 3, 8))
        assert [(day.ended, day.percent) for day in found.days] == [(2, 50), (1, 75)]
        for words in ("Laid 4 times beside 2 other jobs", "1 time it was not done", "1 of the other jobs is not", "&lt;room&gt;"):
            assert words in " ".join(text.split()), words

    def test_is_taken_over_by_one_press_and_taken_back(self, owner_client: Browser) -> None:
        job, earlier = planned_job(), datetime.date(2027, 2, 2)
        Job.objects.filter(pk=job.pk).update(promised_on=earlier)
        answered(job, "promise", PROMISE)
        where = f"/jobs/{job.number}/days/promise/"
        press(owner_client, where, "Promise it for Mon 8 Mar")
        assert promised_on(job) == datetime.date(2027, 3, 8)
        press(owner_client, where, "Take that back")
        assert promised_on(job) == earlier
        assert "Take that back" not in owner_client.get(where).content.decode()
        press(owner_client, where, "Promise it for Thu 4 Mar")
        Job.objects.filter(pk=job.pk).update(promised_on=datetime.date(2027, 4, 1))
        owner_client.post(f"{where}back/")
        assert promised_on(job) == datetime.date(2027, 4, 1)
        assert "changed again meanwhile" in owner_client.get(where).content.decode()

    @pytest.mark.parametrize("which", ["", "even", "x" * 5000, "end", "later"])
    def test_takes_over_only_what_is_offered(self, owner_client: Browser, which: str) -> None:
        job = planned_job()
        answer = owner_client.post(f"/jobs/{job.number}/days/promise/take/", {"which": which, "page": "\0"})
        assert answer.status_code == 302
        assert promised_on(job) is None

    def test_of_a_job_in_the_days_in_use_is_its_end(self, owner_client: Browser) -> None:
        job = planned_job(state="agreed")
        lay_out(job, timetable_in_use(), PersonFactory(), begins_at=MONDAY + 3 * HOUR)
        press(owner_client, f"/jobs/{job.number}/days/promise/", "Promise it for Fri 12 Mar")
        assert promised_on(job) == datetime.date(2027, 3, 12)
        owner_client.post(f"/jobs/{job.number}/days/promise/ask/")
        assert DaysQuestion.objects.count() == 0


class TestWhy:
    @pytest.fixture
    def job(self) -> Job:
        made = planned_job(state="agreed", promised_on=datetime.date(2027, 3, 4))
        lay_out(made, timetable_in_use(), PersonFactory(), begins_at=MONDAY + 3 * HOUR)
        return made

    def test_is_asked_for_a_job_that_is_late(self, owner_client: Browser, job: Job) -> None:
        assert f'href="/jobs/{job.number}/days/why/"' in owner_client.get(f"/jobs/{job.number}/days/").content.decode()
        press(owner_client, f"/jobs/{job.number}/days/why/", "Why, and what helps?")
        asked = DaysQuestion.objects.get()
        assert (asked.kind, asked.job) == ("why", job)

    def test_shows_the_sentence_and_what_each_remedy_does(self, owner_client: Browser, job: Job) -> None:
        answered(job, "why", WHY)
        where = f"/jobs/{job.number}/days/why/"
        text = owner_client.get(where).content.decode()
        for words in (
            WHY["sentence"], "Where it is done",
            "“Build coat” begins before the window", "Done Fri 16:00: the day is kept.", "Do it &lt;otherwise&gt;",
            'href="/studio/people/"', "Other days are in use since",
        ):  # fmt: skip
            assert words in text, words
        press(owner_client, where, "Promise it a day later")
        assert promised_on(job) == datetime.date(2027, 3, 5)
        text = owner_client.get(where).content.decode()
        assert "The days in use do not go by" in text
        assert WHY["sentence"] not in text
        assert "Work the days out again with this" in text
        press(owner_client, where, "Take that back")
        assert promised_on(job) == datetime.date(2027, 3, 4)

    def test_offers_the_day_on_which_a_late_job_ends_and_lists_no_rules_where_none_contradict(
        self, owner_client: Browser, job: Job
    ) -> None:
        answered(job, "why", {**WHY, "causes": []})
        where = f"/jobs/{job.number}/days/why/"
        assert "Leave out any one of these" not in owner_client.get(where).content.decode()
        Job.objects.filter(pk=job.pk).update(promised_on=MONDAY.date())
        answered(job, "why", {**WHY, "due_at": "2027-03-01T17:00:00+00:00"})
        own = owner_client.get(where).context["own"]
        assert own.late
        offered = owner_client.get(where).content.decode()
        assert "the day on which it ends" in offered
        owner_client.post(f"/jobs/{job.number}/days/promise/take/", {"which": "end", "page": "why"})
        assert promised_on(job) == own.ends_for
        assert "the day on which it ends" not in owner_client.get(where).content.decode()

    def test_says_when_nothing_contradicts_and_why_it_cannot_be_asked(self, owner_client: Browser, job: Job) -> None:
        answered(job, "why", {**WHY, "can_be_kept": True, "sentence": "", "causes": [], "remedies": []})
        assert "nothing contradicts it" in owner_client.get(f"/jobs/{job.number}/days/why/").content.decode()
        Job.objects.filter(pk=job.pk).update(promised_on=None)
        page = owner_client.post(f"/jobs/{job.number}/days/why/ask/", follow=True)
        assert "promised for no day" in page.content.decode()
