import datetime
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser

from jobs.days_shown.before_after import PLANNED_ANEW
from jobs.models import Job, Timetable, TimetableEntry
from studio.models import Absence, WorkingHours
from tests.factories import JobFactory, PersonFactory
from tests.jobs.views.timetable_rows import MONDAY, busy, entry, timetable

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
DAY = datetime.timedelta(days=1)
HTMX = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def _on_monday() -> Iterator[None]:
    with time_machine.travel(MONDAY, tick=False):
        yield


def agreed(**fields: Any) -> Job:
    job: Job = JobFactory(**{"state": Job.State.AGREED, **fields})
    return job


def read(page: Any) -> str:
    """The words of a page, with spaces as they are read."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page.content.decode()))


class TestDaysShow:
    def test_offers_the_one_action_when_nothing_is_planned(self, owner_client: Browser) -> None:
        assert "No job is agreed or being made." in read(owner_client.get("/days/"))
        agreed(promised_on=datetime.date(2027, 3, 9), title="Promised urn")
        JobFactory(title="Late urn", promised_on=datetime.date(2027, 2, 1))
        JobFactory(title="Closed urn", promised_on=datetime.date(2027, 2, 1), state=Job.State.DELIVERED)
        text = read(owner_client.get("/days/"))
        assert "Plan the days" in text
        assert "Promised urn" in text
        assert "Late urn" in text
        assert "Closed urn" not in text

    def test_says_what_the_timetable_in_use_is_worth(self, owner_client: Browser, account: Any) -> None:
        job = agreed(promised_on=datetime.date(2027, 3, 2), title="Urn")
        kept = timetable(used_by=account)
        entry(kept, job, late_min=40, remedy="Clean and abrade.")
        entry(kept, job, at=MONDAY + 3 * DAY, visit=True)
        page = owner_client.get("/days/")
        text = read(page)
        assert f"by {account.name}: 2 tasks of 1 job" in text
        # 1 − 876 / 1000
        assert "at most 13 % from the best there can be." in text
        assert "How that is known To find the bound, each job was decided by itself." in text
        told = page.context["told"]
        assert told.gap.value == pytest.approx(12.4)
        assert told.against_list.value == pytest.approx(40.0)
        assert (told.broken, told.visits, told.late) == (1, 1, (job,))
        assert "Clean and abrade." in text

    def test_says_what_is_proved_and_what_is_not_known(self, owner_client: Browser) -> None:
        kept = timetable(bound=1000, bound_reason="Proved: no schedule costs less.")
        assert "These are the best days there can be. How that is known Proved" in read(owner_client.get("/days/"))
        Timetable.objects.filter(pk=kept.pk).update(bound=None, bound_reason="")
        assert "How far they are from the best there can be is not known." in read(owner_client.get("/days/"))

    def test_draws_the_days_and_writes_them_down(self, owner_client: Browser) -> None:
        job, ada, bo = agreed(title="Urn"), PersonFactory(name="Ada"), PersonFactory(name="Bo")
        kept = timetable()
        cure = {"waits_until_at": MONDAY + 5 * DAY, "latest_next_at": MONDAY + 6 * DAY}
        entry(kept, job, ada, bo, at=MONDAY + 3 * HOUR, station="frame", mixes="Tin rubber", pinned=True, **cure)
        page = owner_client.get("/days/")
        text = read(page)
        assert [day.on.day for day in page.context["book"]] == [1, 2, 3, 4, 5, 6, 7]
        assert page.content.decode().count("<svg") == 1 + 1 + 7
        assert "09:00 to 10:00" in text
        for words in (
            "mixes Tin rubber",
            "pinned",
            "Ada, Bo",
            "rotating frame",
            "cures until Sat 06:00",
            "next by Sun 7 Mar 06:00",
        ):
            assert words in text
        assert "Nobody has to come in." in text

    def test_shows_the_days_person_and_job_that_were_chosen(self, owner_client: Browser) -> None:
        one, other, ada, bo = agreed(title="Urn"), agreed(title="Vase"), PersonFactory(name="Ada"), PersonFactory(name="Bo")
        kept = timetable()
        entry(kept, one, ada)
        entry(kept, other, bo, at=MONDAY + DAY)
        entry(kept, one, bo, at=MONDAY + 9 * DAY)

        def lines(asked: dict[str, Any], **how: Any) -> list[tuple[str, int]]:
            book = owner_client.get("/days/", asked, **how).context["book"]
            return [(line.job.title, day.on.day) for day in book for line in day.lines]

        assert lines({}) == [("Urn", 1), ("Vase", 2)]
        assert lines({"days": 14}) == [("Urn", 1), ("Vase", 2), ("Urn", 10)]
        assert lines({"begin": "2027-03-02", "days": 14, "person": bo.pk}) == [("Vase", 2), ("Urn", 10)]
        assert lines({"days": 21, "job": one.number}, headers=HTMX) == [("Urn", 1), ("Urn", 10)]
        assert "Nothing is laid out for these days" in read(owner_client.get("/days/", {"begin": "2027-05-01"}))

    def test_says_what_is_wrong_with_a_choice(self, owner_client: Browser) -> None:
        timetable()
        for asked in ({"begin": "soon"}, {"begin": "9999-01-01"}, {"days": "8"}, {"person": "9999"}, {"job": "x"}):
            page = owner_client.get("/days/", asked)
            assert page.status_code == 422
            assert "The coming days of all are shown." in read(page)

    def test_shades_hours_that_are_not_worked(self, owner_client: Browser) -> None:
        ada = PersonFactory(name="Ada")
        WorkingHours.objects.create(person=ada, weekday=0, starts_at=datetime.time(8), ends_at=datetime.time(12))
        WorkingHours.objects.create(person=ada, weekday=1, starts_at=datetime.time(8), ends_at=datetime.time(12))
        Absence.objects.create(starts_at=MONDAY + DAY, ends_at=MONDAY + 2 * DAY)
        entry(timetable(), agreed(), ada)
        drawn = owner_client.get("/days/").content.decode().split("<svg")[1]
        shut = next(path for path in re.findall(r'<path d="([^"]+)" class="shut-fill"', drawn))
        # Monday until eight, then from twelve on: on Tuesday all is closed. 132 + 8 h × 5.75, 132 + 12 h × 5.75
        assert [loop.split("L")[:2] for loop in shut.split("M")[1:]] == [
            [f"132 {_y(shut)}", f"178 {_y(shut)}"], [f"201 {_y(shut)}", f"1098 {_y(shut)}"],
        ]  # fmt: skip

    def test_names_what_is_not_laid_out_with_the_page_for_it(self, owner_client: Browser) -> None:
        job = agreed(title="Unmeasured urn")
        said = {"job": job.number, "title": job.title, "sentence": "It is not measured yet.", "page": "jobs:piece_show"}
        doubt = {"kind": "remark", "job": None, "title": "", "sentence": "No hours are entered.", "page": "studio:people_list"}
        timetable(left_out=[doubt, {"kind": "job", **said}])
        page = owner_client.get("/days/")
        assert f'href="/jobs/{job.number}/piece/"' in page.content.decode()
        assert [line.kind for line in page.context["left_out"]] == ["job", "remark"]
        assert "No hours are entered." in read(page)

    def test_hostile_names_stay_words(self, owner_client: Browser) -> None:
        hostile = '<script>alert("1")</script>'
        entry(
            timetable(news=[hostile]),
            agreed(title=hostile),
            PersonFactory(name=hostile),
            label=hostile,
            late_min=5,
            remedy=hostile,
        )
        assert hostile not in owner_client.get("/days/").content.decode()

    def test_asks_as_often_for_many_entries_as_for_few(self, owner_client: Browser, count_queries: Callable[[str], int]) -> None:
        kept, ada = timetable(), PersonFactory()
        entry(kept, agreed(promised_on=datetime.date(2027, 3, 3)), ada)
        few = count_queries("/days/?days=14")
        for place in range(8):
            entry(kept, agreed(promised_on=datetime.date(2027, 3, 3)), ada, PersonFactory(), at=MONDAY + place * HOUR)
        assert count_queries("/days/?days=14") == few


def _y(path: str) -> str:
    return path.split("M")[1].split("L", maxsplit=1)[0].split()[1]


class TestTheSearch:
    def test_tells_what_it_has_found_so_far(self, owner_client: Browser) -> None:
        steps = [{"seconds": 0.4, "cost": 2000, "windows": 3}, {"seconds": 2.5, "cost": 1100, "windows": 1}]
        busy(steps=steps, news=["Coat 2 is late."], list_cost=2500)
        page = owner_client.get("/days/?search", headers=HTMX)
        text = read(page)
        assert "9 of 20 s" in text
        assert page.context["search"].best.share == pytest.approx(100 * 1100 / 2500)
        assert "Windows broken 1" in text
        assert "Coat 2 is late." in text
        assert "<h1" not in page.content.decode()
        assert "HX-Refresh" not in page
        assert 'hx-trigger="every 1s"' in page.content.decode()

    def test_has_the_page_loaded_anew_once_it_is_over(self, owner_client: Browser) -> None:
        timetable(used_at=None)
        answer = owner_client.get("/days/?search", headers=HTMX)
        assert answer["HX-Refresh"] == "true"
        assert "See what they change" in read(answer)

    def test_is_asked_for_once_and_stopped(self, owner_client: Browser) -> None:
        assert owner_client.post("/days/ask/").status_code == 302
        owner_client.post("/days/ask/")
        asked = Timetable.objects.get()
        assert asked.state == Timetable.State.QUEUED
        text = read(owner_client.get("/days/"))
        assert "Stop and take the best found" in text
        assert "Plan the days anew" not in text
        Timetable.objects.filter(pk=asked.pk).update(state=Timetable.State.WORKING, attempts=1)
        owner_client.post("/days/stop/")
        asked.refresh_from_db()
        assert asked.stop_asked_at == MONDAY
        assert "It ends with the best that it has found." in read(owner_client.get("/days/"))

    def test_a_stop_without_a_search_is_answered_in_words(self, owner_client: Browser) -> None:
        assert "No search is under way." in read(owner_client.post("/days/stop/", follow=True))
        timetable(used_at=None)
        assert "has ended already" in read(owner_client.post("/days/stop/", follow=True))

    def test_says_why_it_was_refused_and_may_be_tried_again(self, owner_client: Browser) -> None:
        refused = busy(state=Timetable.State.REFUSED, reason="Nobody can lay the print coat.")
        text = read(owner_client.get("/days/"))
        assert "No days were found. Nobody can lay the print coat." in text
        assert "Try again" in text
        owner_client.post(f"/days/put-by/{refused.pk}/")
        assert "No days were found." not in read(owner_client.get("/days/"))


class TestTimetableShow:
    @pytest.fixture
    def pair(self) -> tuple[Timetable, Timetable]:
        """The days in use, and a proposal in which one task is two days later, one with somebody else, one job new."""
        ada, bo = PersonFactory(name="Ada"), PersonFactory(name="Bo")
        urn, vase = agreed(title="Urn", promised_on=datetime.date(2027, 3, 2)), agreed(title="Vase")
        used = timetable()
        why = {"job": urn.number, "key": "coat_2#1", "why": "Coat 1 is late."}
        new = timetable(used_at=None, base=used, why=Timetable.Reason.NEWS, news=["Coat 1 of the urn is late."], moved=[why])
        for one in (used, new):
            entry(one, urn, ada, key="coat_1#1")
        entry(used, urn, ada, key="coat_2#1", at=MONDAY + DAY)
        entry(new, urn, ada, key="coat_2#1", at=MONDAY + 3 * DAY, late_min=60, remedy="Abrade.", label="Build coat 1")
        entry(used, urn, ada, key="coat_3#1", at=MONDAY + 4 * HOUR)
        entry(new, urn, bo, key="coat_3#1", at=MONDAY + 4 * HOUR, visit=True)
        entry(new, vase, bo, key="coat_1#1", at=MONDAY + DAY)
        return used, new

    def test_sets_before_beside_after(self, owner_client: Browser, pair: tuple[Timetable, Timetable]) -> None:
        page = owner_client.get(f"/days/proposal/{pair[1].pk}/")
        changes, text = page.context["changes"], read(page)
        # Of what the search says nothing, the job is planned otherwise than in the days that it began from.
        assert [(move.now.task_key, move.why) for move in changes.moves] == [
            ("coat_3#1", PLANNED_ANEW),
            ("coat_2#1", "Coat 1 is late."),
        ]
        assert changes.kept == 1
        assert [(change.job.title, change.days_later, change.late) for change in changes.jobs] == [
            ("Urn", 2, True),
            ("Vase", 0, False),
        ]
        for words in (
            "Coat 1 of the urn is late.",
            "2 days later",
            "after its day",
            "new",
            "Tue 06:00 Thu 06:00",
            "Abrade.",
            "moved",
        ):
            assert words in text
        assert "stroke-dasharray" in page.content.decode()

    def test_is_used_put_by_and_gone_back_from(self, owner_client: Browser, pair: tuple[Timetable, Timetable]) -> None:
        used, new = pair
        text = read(owner_client.post(f"/days/use/{new.pk}/", follow=True))
        assert "These days are in use." in text
        assert "Go back to the days before" in text
        assert Timetable.objects.in_use() == new
        # Of days in use the page says against which it once was set.
        assert len(owner_client.get(f"/days/proposal/{new.pk}/").context["changes"].moves) == 2
        assert "used already" in read(owner_client.post(f"/days/use/{new.pk}/", follow=True))
        owner_client.post("/days/back/")
        assert Timetable.objects.in_use() == used

    def test_is_put_by(self, owner_client: Browser, pair: tuple[Timetable, Timetable]) -> None:
        used, new = pair
        owner_client.post(f"/days/put-by/{new.pk}/")
        assert Timetable.objects.proposal() is None
        assert Timetable.objects.in_use() == used
        page = read(owner_client.get(f"/days/proposal/{new.pk}/"))
        assert "put by" in page
        assert "Use these days" not in page
        assert "go by these days" in read(owner_client.post(f"/days/put-by/{used.pk}/", follow=True))

    def test_says_that_there_is_nothing_to_go_back_to(self, owner_client: Browser) -> None:
        timetable()
        assert "no timetable before this one" in read(owner_client.post("/days/back/", follow=True))

    def test_offers_no_way_back_from_the_first_days(self, owner_client: Browser) -> None:
        first = timetable(used_at=None)
        entry(first, agreed(promised_on=datetime.date(2027, 3, 9)))
        text = read(owner_client.get(f"/days/proposal/{first.pk}/"))
        assert "No days are in use yet to set these beside." in text
        assert "by its day" in text
        assert "days before" not in read(owner_client.post(f"/days/use/{first.pk}/", follow=True))

    def test_a_search_is_shown_on_the_days_page(self, owner_client: Browser) -> None:
        assert owner_client.get(f"/days/proposal/{busy().pk}/")["Location"] == "/days/"
        assert owner_client.get("/days/proposal/999999/").status_code == 404

    def test_asks_as_often_for_many_moves_as_for_few(
        self, pair: tuple[Timetable, Timetable], count_queries: Callable[[str], int]
    ) -> None:
        used, new = pair
        few = count_queries(f"/days/proposal/{new.pk}/")
        for place in range(8):
            job, person = agreed(promised_on=datetime.date(2027, 3, 3)), PersonFactory()
            entry(used, job, person, key="shell#1")
            entry(new, job, person, key="shell#1", at=MONDAY + place * DAY)
        assert TimetableEntry.objects.filter(timetable=new).count() == 12
        assert count_queries(f"/days/proposal/{new.pk}/") == few
