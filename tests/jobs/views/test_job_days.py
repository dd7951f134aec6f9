import datetime
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from jobs.models import Job, TaskFact, Timetable, TimetableEntry
from studio.access import Role
from studio.models import Absence, Person
from tests.factories import JobFactory, PersonFactory, planned_job
from tests.jobs.timetables import lay_out, timetable_in_use
from tests.studio.paper_forms import press

pytestmark = pytest.mark.django_db
MONDAY = datetime.datetime(2027, 3, 1, 6, 0, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"say": "pin", "day": "2027-02-28", "hour": "10:00"}, "That has passed"),
    ({"say": "pin", "day": "2127-02-28", "hour": "10:00"}, "more than two years away"),
    ({"say": "pin", "day": "2027-03-28", "hour": "01:30"}, "the clocks go forward"),
    ({"say": "pin", "day": "2027-03-02", "hour": "10:00", "people": ["0"]}, "Tick people from this list"),
    ({"say": "pin", "day": "2027-03-02", "hour": "10:00", "people": ["9" * 400]}, "Tick people from this list"),
    ({"say": "late", "day": "soon", "hour": "25:00"}, "This is not a day"),
    ({"say": "late", "day": "2027-03-01", "hour": "05:59"}, "nothing keeps it waiting"),
    ({"say": "late", "day": "2027-03-02", "hour": "09:00", "why": "x" * 201}, "at most 200"),
    ({"say": "done", "day": "2027-03-01", "hour": "09:00"}, "still to come"),
    ({"say": "done", "day": "2027-03-01", "hour": "05:00", "end_hour": "04:00"}, "done before it began"),
    ({"say": "done", "day": "2027-02-20", "hour": "05:00", "end_hour": "4", "end_day": "2027-02-28"}, "three days"),
    ({"say": "done", "day": "2027-02-28", "hour": "05:00", "end_day": "2027-02-28"}, "Give the time at which it was done"),
    ({"say": "later", "until": "whenever"}, "cannot be read"),
    ({"say": "later", "until": "9999-12-31T23:59:59+00:00"}, "cannot be read"),
    ({"say": "unpin"}, "Nothing is known of this task"),
    ({"say": "forget"}, "Nothing is known of this task"),
    ({"say": "again"}, "nothing that was forgotten"),
    ({"say": "sing"}, "Say what happened"),
]


@pytest.fixture(autouse=True)
def clock() -> Iterator[Any]:
    with time_machine.travel(MONDAY, tick=False) as traveller:
        yield traveller


@pytest.fixture
def person() -> Person:
    made: Person = PersonFactory(name="Ilse")
    return made


@pytest.fixture
def job(person: Person) -> Job:
    """A job in the timetable in use, begun at nine."""
    made = planned_job(state="agreed", promised_on=datetime.date(2027, 3, 10))
    lay_out(made, timetable_in_use(), person, begins_at=MONDAY + 3 * HOUR)
    return made


def entry_of(job: Job, plan_key: str = "coat_2_position_1") -> TimetableEntry:
    return TimetableEntry.objects.get(job=job, plan_key=plan_key)


def address(entry: TimetableEntry) -> str:
    return reverse("jobs:task_fact_show", kwargs={"number": entry.job.number, "task_key": entry.task_key})


def facts() -> list[TaskFact]:
    return list(TaskFact.objects.all())


class TestJobDaysShow:
    def test_shows_each_task_by_the_clock(self, owner_client: Browser, job: Job) -> None:
        coat = entry_of(job)
        TimetableEntry.objects.filter(pk=coat.pk).update(late_min=90, remedy="Abrade it.", visit=True, pinned=True)
        page = owner_client.get(f"/jobs/{job.number}/days/")
        text, own = page.content.decode(), page.context["own"]
        assert [line.entry.plan_key for line in own.lines][:2] == ["client_talk", "photographs"]
        assert len(own.lines) == TimetableEntry.objects.count() > 25
        assert "16:35 to 17:00" in text
        assert "Ilse" in text
        assert "Caution: Tin catalyst" in text
        assert "Abrade it." in text
        assert "after its window" in text
        assert "outside of hours" in text
        # Done on Friday the 12th, promised for Wednesday.
        assert own.days_late == 2
        assert "2 days after" in text
        assert address(coat) in text
        assert page.context["calendar"] is None

    def test_says_why_a_job_is_not_in_the_days_in_use(self, owner_client: Browser) -> None:
        made = planned_job()
        timetable_in_use()
        for state, words in (
            ("enquiry", "not agreed yet"), ("quoted", "not agreed yet"), ("agreed", "made without this job"),
            ("delivered", "no days are kept for it"),
        ):  # fmt: skip
            Job.objects.filter(pk=made.pk).update(state=state)
            page = owner_client.get(f"/jobs/{made.number}/days/")
            assert words in page.content.decode(), state
            assert page.context["calendar"] is not None

    def test_says_what_a_timetable_remarked_of_a_job(self, owner_client: Browser) -> None:
        made = planned_job(state="agreed")
        assert "No days are in use yet" in owner_client.get(f"/jobs/{made.number}/days/").content.decode()
        told = {
            "kind": "job",
            "job": made.number,
            "title": "",
            "sentence": "Its <resin> is not chosen.",
            "page": "jobs:mold_show",
        }
        timetable_in_use(left_out=[told, {**told, "job": 1, "sentence": "Of another job."}])
        text = owner_client.get(f"/jobs/{made.number}/days/").content.decode()
        assert "could not be laid out" in text
        assert "Its &lt;resin&gt; is not chosen." in text
        assert f'href="/jobs/{made.number}/mold/">Put it right' in text
        assert "Of another job." not in text

    def test_asks_as_often_for_many_tasks_as_for_few(
        self, owner_client: Browser, job: Job, person: Person, count_queries: Callable[[str], int]
    ) -> None:
        where, coat = f"/jobs/{job.number}/days/", entry_of(job)
        TaskFact.objects.create(job=job, task_key=coat.task_key, noted_at=MONDAY - HOUR, pinned_at=coat.starts_at)
        few = count_queries(where)
        for number in range(8):
            coat.pk, coat.task_key, coat.starts_at = None, f"more#{number}", coat.starts_at + HOUR
            coat.ends_at = coat.starts_at + HOUR
            coat.save()
            coat.people.set([person])
            TaskFact.objects.create(job=job, task_key=coat.task_key, pinned_at=coat.starts_at).people.set([person])
        TaskFact.objects.update(noted_at=MONDAY - HOUR)
        assert count_queries(where) == few


class TestTaskFactShow:
    def test_shows_what_must_be_known_at_the_bench(self, owner_client: Browser, job: Job) -> None:
        page = owner_client.get(address(entry_of(job)))
        text = page.content.decode()
        for words in ("Build coat (2 of 6)", "Ilse", "Mon 19:20", "Tue 17:00", "Caution: Tin catalyst", "Build coat (3 of 6)"):
            assert words in text
        assert 'class="bench"' in text

    def test_is_not_found_where_no_timetable_has_it(self, owner_client: Browser, job: Job) -> None:
        assert owner_client.get(f"/jobs/{job.number}/days/task/coat_99/").status_code == 404

    def test_takes_begun_and_done_by_one_press_each(self, owner_client: Browser, job: Job, clock: Any) -> None:
        coat = entry_of(job)
        clock.move_to(coat.starts_at + 2 * HOUR)
        press(owner_client, address(coat), "It is begun now")
        assert facts()[0].began_at == coat.starts_at + 2 * HOUR
        assert facts()[0].ended_at == coat.ends_at + 2 * HOUR
        clock.move_to(coat.starts_at + 3 * HOUR)
        answer = press(owner_client, address(coat), "It is done now")
        assert answer.status_code == 302
        fact = facts()[0]
        assert (fact.began_at, fact.ended_at) == (coat.starts_at + 2 * HOUR, coat.starts_at + 3 * HOUR)
        assert [one.name for one in fact.people.all()] == ["Ilse"]
        text = owner_client.get(address(coat)).content.decode()
        assert "It was done Mon 18:35 to 19:35 by Ilse." in text
        assert "Work the days out again with this" in text

    def test_keeps_a_task_waiting_by_one_press_or_a_typed_time(self, owner_client: Browser, job: Job) -> None:
        coat = entry_of(job)
        page = owner_client.get(address(coat))
        assert [choice.words for choice in page.context["choices"]] == [
            "One hour later, Mon 17:35", "Three hours later, Mon 19:35", "Tomorrow morning, Tue 09:00",
        ]  # fmt: skip
        press(owner_client, address(coat), "Three hours later, Mon 19:35", page=page)
        assert facts()[0].not_before_at == datetime.datetime(2027, 3, 1, 19, 35, tzinfo=datetime.UTC)
        changes = {"day": "2027-03-02", "hour": "10:30", "why": "The coat below is <wet>"}
        press(owner_client, f"{address(coat)}?say=late", "Keep it waiting", changes)
        assert facts()[0].not_before_at == datetime.datetime(2027, 3, 2, 10, 30, tzinfo=datetime.UTC)
        text = owner_client.get(f"/jobs/{job.number}/days/").content.decode()
        assert "cannot begin before Tue 10:30: The coat below is &lt;wet&gt;." in text
        assert "The days in use do not know of it yet" in owner_client.get(f"/jobs/{job.number}/").content.decode()
        press(owner_client, address(coat), "Nothing keeps it waiting any more")
        assert facts() == []

    def test_pins_and_unpins_with_people(self, owner_client: Browser, job: Job) -> None:
        coat, other = entry_of(job), PersonFactory(name="Bram")
        sent = {"say": "pin", "day": "2027-03-02", "hour": "08:15", "people": [str(other.pk)]}
        assert owner_client.post(address(coat), sent).status_code == 302
        assert facts()[0].pinned_at == datetime.datetime(2027, 3, 2, 8, 15, tzinfo=datetime.UTC)
        assert "It is pinned to Tue 08:15 by Bram." in owner_client.get(address(coat)).content.decode()
        press(owner_client, address(coat), "Unpin it")
        assert facts() == []

    def test_forgets_and_says_again(self, owner_client: Browser, job: Job, clock: Any) -> None:
        coat = entry_of(job)
        clock.move_to(MONDAY + 14 * HOUR)
        sent = {"say": "done", "day": "2027-03-01", "hour": "17:00", "end_hour": "17:40"}
        owner_client.post(address(coat), sent)
        before = TaskFact.objects.values("began_at", "ended_at", "people", "job", "task_key").get()
        press(owner_client, address(coat), "Forget what was said of it")
        assert facts() == []
        press(owner_client, address(coat), "Say again what was forgotten")
        assert TaskFact.objects.values("began_at", "ended_at", "people", "job", "task_key").get() == before
        assert "Say again" not in owner_client.get(address(coat)).content.decode()

    def test_says_what_is_wrong_and_keeps_what_was_typed(self, owner_client: Browser, job: Job) -> None:
        where = address(entry_of(job))
        for sent, words in WRONG:
            answer = owner_client.post(where, sent)
            text = answer.content.decode()
            assert answer.status_code == 422, sent
            assert words in text, sent
            assert facts() == [], sent
            for name in {"day", "hour", "end_hour", "why"} & set(sent):
                assert f'value="{sent[name]}"' in text, sent

    def test_is_read_only_without_the_right(self, signed_in: Callable[[Role], Browser], job: Job, monkeypatch: Any) -> None:
        browser = signed_in(Role.OFFICE)
        monkeypatch.setattr("jobs.views.task_facts.may_change", lambda request: False)
        assert "It is begun now" not in browser.get(address(entry_of(job))).content.decode()
        assert browser.post(address(entry_of(job)), {"say": "begun_now"}).status_code == 403
        assert facts() == []


class TestNewsShow:
    def test_says_that_nothing_is_different_or_in_use(self, owner_client: Browser) -> None:
        assert "No days are in use yet" in owner_client.get("/days/news/").content.decode()
        timetable_in_use()
        assert "Nothing is different" in owner_client.get("/days/news/").content.decode()

    def test_takes_each_kind_of_news_and_lists_it(self, owner_client: Browser, job: Job, person: Person, clock: Any) -> None:
        clock.move_to(MONDAY + 8 * HOUR)
        coat, prepare = entry_of(job), entry_of(job, "prepare")
        late = {"say": "late", "late-task": f"{job.number}:{coat.task_key}", "late-day": "2027-03-01", "late-hour": "19:30"}
        done = {"say": "done", "done-task": f"{job.number}:{prepare.task_key}", "done-day": "2027-03-01", "done-hour": "11:30",
                "done-end_hour": "11:45"}  # fmt: skip
        away = {"say": "away", "away-who": str(person.pk), "away-from_day": "2027-03-03", "away-why": "a cold"}
        for sent in (late, done, away):
            answer = owner_client.post("/days/news/", sent)
            assert answer.status_code == 302, answer.content.decode()
        JobFactory(state="agreed", number=777)
        text = owner_client.get("/days/news/").content.decode()
        assert "“Build coat (2 of 6), position 1” of job " in text
        assert "cannot begin before Mon 19:30." in text
        assert "was done Mon 11:30 to 11:45 by Ilse" in text
        assert "Ilse is away Wed 00:00 to Thu 00:00: a cold." in text
        assert "Job 777 is “agreed” and not in the days in use." in text
        assert Absence.objects.get().person == person

    def test_asks_for_days_with_the_news_in_one_sentence(self, owner_client: Browser, job: Job, clock: Any) -> None:
        assert owner_client.post("/days/news/ask/")["Location"] == "/days/news/"
        assert Timetable.objects.count() == 1
        coat = entry_of(job)
        press(owner_client, address(coat), "Three hours later, Mon 19:35")
        answer = owner_client.post("/days/news/ask/")
        asked = Timetable.objects.order_by("-pk").first()
        assert asked is not None
        assert (asked.why, asked.base_id) == (Timetable.Reason.NEWS, Timetable.objects.in_use().pk)
        assert asked.news == [f"“{coat.label}” of job {job.number} cannot begin before Mon 19:35"]
        assert answer["Location"] == f"/days/proposal/{asked.pk}/"
        clock.move_to(MONDAY + HOUR)
        Timetable.objects.filter(pk=asked.pk).update(state="ready", started_at=MONDAY + HOUR)
        for where in (address(coat), f"/jobs/{job.number}/days/", "/days/news/"):
            text = owner_client.get(where).content.decode()
            assert "Work the days out again with this" not in text
            assert f'href="/days/proposal/{asked.pk}/"' in text

    def test_tells_of_days_of_jobs_that_the_days_in_use_do_not_go_by(self, owner_client: Browser, job: Job) -> None:
        def told(due: str | None, **fields: Any) -> str:
            Timetable.objects.update(job_ends=[{"job": job.number, "due": due}])
            Job.objects.filter(pk=job.pk).update(**fields)
            return owner_client.get("/days/news/").content.decode()

        wednesday, friday = "2027-03-10T17:00:00+00:00", "2027-03-12T17:00:00+00:00"
        assert "Nothing is different" in told(wednesday)
        text = told(wednesday, promised_on=datetime.date(2027, 3, 11))
        assert f"Job {job.number} is promised for Thu 11 Mar; the days in use go by Wed 10 Mar." in text
        # Nobody works on Sunday: its day ends with Friday's work, and with Thursday's where the studio is closed on Friday.
        assert "Nothing is different" in told(friday, promised_on=datetime.date(2027, 3, 14))
        assert "the days in use go by" in told("2027-03-11T17:00:00+00:00")
        Absence.objects.create(starts_at="2027-03-12T00:00Z", ends_at="2027-03-13T00:00Z", noted_at=MONDAY - HOUR)
        assert "Nothing is different" in told("2027-03-11T17:00:00+00:00")
        assert "promised for no day; the days in use go by Fri 12 Mar" in told(friday, promised_on=None)
        late = told(None, starts_at=MONDAY + 48 * HOUR)
        assert f"Job {job.number} is not to begin before Wed 06:00; the days in use begin it Mon 09:00." in late

    def test_tells_of_plans_that_have_other_tasks_now(self, owner_client: Browser, job: Job) -> None:
        assert "Something is different since" not in owner_client.get("/days/").content.decode()
        TimetableEntry.objects.filter(plan_key="coat_2_position_1").update(plan_key="coat_9")
        words = (
            f"The plan of job {job.number} is another one now: one of its tasks is not in the days in use "
            "and one of its tasks is no longer in it."
        )
        for where in ("/days/news/", "/days/"):
            assert words in owner_client.get(where).content.decode()
        press(owner_client, "/days/news/", "Work the days out again with this")
        asked = Timetable.objects.order_by("-pk").first()
        assert asked is not None
        assert asked.news == [words.removesuffix(".")]

    def test_tells_of_pins_that_are_gone_and_jobs_that_are_closed(self, owner_client: Browser, job: Job) -> None:
        TimetableEntry.objects.filter(pk=entry_of(job).pk).update(pinned=True)
        closed = JobFactory(state="delivered")
        TimetableEntry.objects.filter(plan_key="packing").update(job=closed)
        text = owner_client.get("/days/news/").content.decode()
        assert "is no longer pinned" in text
        assert f"Job {closed.number} is “delivered” and still in the days in use." in text

    def test_says_what_is_wrong(self, owner_client: Browser, job: Job) -> None:
        wrong: list[tuple[dict[str, str], str]] = [
            ({"say": "late", "late-task": "1:none", "late-day": "2027-03-01", "late-hour": "19:30"}, "not in it"),
            ({"say": "late", "late-task": "", "late-day": "", "late-hour": ""}, "Choose the task."),
            ({"say": "away", "away-who": "all", "away-from_day": "2027-03-03"}, "Choose one from the list"),
            ({"say": "away", "away-who": "", "away-from_day": "2027-03-32", "away-why": "flu"}, "Choose who is away."),
            ({"say": "sing"}, "Something is different"),
        ]
        for sent, words in wrong:
            answer = owner_client.post("/days/news/", sent)
            assert answer.status_code == 422, sent
            assert words in answer.content.decode(), sent
            assert facts() == [], sent
            assert ('value="flu"' in answer.content.decode()) is bool(sent.get("away-why")), sent

    def test_asks_as_often_for_much_news_as_for_little(
        self, owner_client: Browser, job: Job, person: Person, count_queries: Callable[[str], int]
    ) -> None:
        entries = list(TimetableEntry.objects.all())

        def tell(some: list[TimetableEntry]) -> None:
            for entry in some:
                fact = TaskFact.objects.create(
                    job=job, task_key=entry.task_key, pinned_at=entry.starts_at, noted_at=MONDAY + HOUR
                )
                fact.people.set([person])
                Absence.objects.create(person=person, starts_at=MONDAY, ends_at=MONDAY + HOUR, noted_at=MONDAY + HOUR)

        tell(entries[:2])
        few = count_queries("/days/news/")
        tell(entries[2:20])
        assert count_queries("/days/news/") == few
