import datetime
import io
from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from jobs.day_sheet import day_bounds, day_of
from jobs.documents.day_sheet import render_day_sheet
from jobs.errors import JobsError
from jobs.models import DaySheet, Job, Plan, Timetable
from jobs.services.day_sheets import DAY_SHEET_KIND
from jobs.services.plans import mold_plan
from studio.access import Role
from studio.models import Document, Person, StudioProfile
from tests.factories import AccountFactory, JobFactory, PersonFactory, planned_job
from tests.jobs.feeds.laid import MONDAY, entry, timetable_in_use

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
ON = MONDAY.date()


@pytest.fixture(autouse=True)
def in_london() -> Iterator[None]:
    StudioProfile.objects.current()
    StudioProfile.objects.update(time_zone="Europe/London", locale="en_GB")
    with time_machine.travel(MONDAY, tick=False):
        yield


@pytest.fixture
def laid() -> tuple[Job, Person, Person, Timetable]:
    """Two coats of a job on a Monday, the second by two people; another job's work for one of them in the evening."""
    job = planned_job(title="Finial", client__name="Orchard House")
    Plan.objects.filter(job=job).update(positions=1)
    ann, bo, table = PersonFactory(name="Ann"), PersonFactory(name="Bo"), timetable_in_use()
    entry(
        table, job, "coat_1#1", MONDAY, ann, label="Print coat (1 of 4)", unattended=False,
        waits_until_at=MONDAY + 2 * HOUR, latest_next_at=MONDAY + 4.25 * HOUR,
    )  # fmt: skip
    entry(
        table, job, "coat_2#1", MONDAY + 3 * HOUR, ann, bo, label="Build coat (2 of 4)", minutes=35, late_min=200,
        remedy="Abrade it.", waits_until_at=MONDAY + 26 * HOUR, latest_next_at=MONDAY + 30 * HOUR,
    )  # fmt: skip
    entry(table, job, "coat_3#1", MONDAY + 27 * HOUR, bo, label="Build coat (3 of 4)")
    entry(table, JobFactory(title="Not measured"), "release#1", MONDAY + 10 * HOUR, ann, label="Release the piece", visit=True)
    return job, ann, bo, table


class TestDay:
    def test_has_the_person_s_tasks_with_what_comes_before_and_after(self, laid: tuple[Job, Person, Person, Timetable]) -> None:
        job, ann, _, _ = laid
        day = day_of(ann, ON)
        first, second, third = day.tasks
        assert [task.entry.label[:5] for task in day.tasks] == ["Print", "Build", "Relea"]
        assert first.begin_by_at is None
        assert second.begin_by_at == MONDAY + 4.25 * HOUR
        assert second.together_with == ("Bo",)
        assert [(one.label, one.starts_at, one.people) for one in first.following] == [
            ("Build coat (2 of 4)", MONDAY + 3 * HOUR, ("Ann", "Bo"))
        ]
        assert [one.people for one in second.following] == [("Bo",)]
        assert first.weighed is not None
        assert [line.whole_g for line in first.weighed.lines] == [mix.mass.value for mix in mold_plan(job).coats[0].mixes]
        assert third.weighed is None
        assert [(one.title, "measured" in why) for one, why in day.not_known] == [("Not measured", True)]
        assert day.minutes == 45 + 35 + 45
        # Bo has no hours and is at work with Ann at noon alone.
        assert day.alone == ((MONDAY, MONDAY + 0.75 * HOUR), (MONDAY + 10 * HOUR, MONDAY + 10.75 * HOUR))
        keys = [caution.key for caution in day.cautions]
        assert keys.count("sheets") == 1
        assert "alone" in keys
        assert (day.before_on, day.after_on) == (None, None)
        assert day_of(ann, ON + datetime.timedelta(days=3)).before_on == ON

    def test_of_a_change_of_the_clocks_has_23_or_25_hours(self) -> None:
        # published: Directive 2000/84/EC, last Sundays of March and October.
        with timezone.override("Europe/London"):
            bounds = [day_bounds(datetime.date(2027, month, day)) for month, day in ((3, 28), (3, 29), (10, 31))]
        lengths = [(end.timestamp() - begin.timestamp()) / 3600 for begin, end in bounds]
        assert lengths == [23, 24, 25]


class TestDaySheetShow:
    def test_shows_the_day_and_prints_it(self, laid: tuple[Job, Person, Person, Timetable]) -> None:
        job, ann, bo, _ = laid
        browser = Client()
        browser.force_login(AccountFactory(role=Role.MAKER))
        address = f"/days/people/{ann.pk}/2027-03-01/"
        page = " ".join(browser.get(address).content.decode().split())
        for words in (
            "Print coat (1 of 4)", "You are alone", "09:00 to 09:45", "19:00 to 19:45", "outside of hours", "Abrade it.",
            f"{job.number} Finial", "do not leave it alone", "/days/people/" + f"{bo.pk}/2027-03-01/", "2027-02-28", "2027-03-02",
        ):  # fmt: skip
            assert words in page, words
        assert browser.post(f"{address}print/").status_code == 302
        browser.post(f"{address}print/")
        assert DaySheet.objects.count() == 1
        assert Document.objects.filter(kind=DAY_SHEET_KIND, subject_id=DaySheet.objects.get().pk).count() == 2
        assert "Day sheet of Ann, 01 Mar 2027" in browser.get(address).content.decode()

    def test_says_that_nothing_is_planned(self) -> None:
        ann = PersonFactory(name="Ann")
        browser = Client()
        browser.force_login(AccountFactory(role=Role.OFFICE))
        assert "No days are in use yet" in browser.get(f"/days/people/{ann.pk}/2027-03-01/").content.decode()
        entry(timetable_in_use(), JobFactory(), "coat_1#1", MONDAY + 48 * HOUR, ann)
        page = browser.get(f"/days/people/{ann.pk}/2027-03-01/").content.decode()
        assert "Nothing is planned for Ann on this day." in page
        assert f"/days/people/{ann.pk}/2027-03-03/" in page

    @pytest.mark.parametrize("typed", ["20270301", "2027-02-30", "0001-01-01", "9999-12-31", "today", "2027-3-1"])
    def test_knows_no_day_that_is_none(self, typed: str) -> None:
        browser = Client()
        browser.force_login(AccountFactory())
        assert browser.get(f"/days/people/{PersonFactory().pk}/{typed}/").status_code == 404


class TestDaySheetPrint:
    @pytest.mark.parametrize(("paper", "width_pt"), [("A4", 595), ("Letter", 612)])
    def test_has_the_entries_times_and_the_plan_s_weights(
        self, laid: tuple[Job, Person, Person, Timetable], paper: str, width_pt: int
    ) -> None:
        job, ann, _, _ = laid
        StudioProfile.objects.update(paper=paper)
        sheet = DaySheet.objects.create(person=ann, on=ON)
        rendered = render_day_sheet(Document(kind=DAY_SHEET_KIND, subject_id=sheet.pk, title="Day sheet"))
        reader = PdfReader(io.BytesIO(rendered.content))
        assert round(float(reader.pages[0].mediabox.width)) == width_pt
        text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
        for words in (
            "Ann", "09:00 to 09:45", "12:00 to 12:35", "19:00 to 19:45", "Begin by 13:15", "Then it waits until 11:00",
            "Window closes Tue 2 Mar 15:00", "together with Bo", "You are alone", "Abrade it.", "Do not leave it alone",
            "Really weighed", "Caution", "safety data sheets",
        ):  # fmt: skip
            assert words in text, words
        whole = mold_plan(job).coats[1].mixes[0].mass.value
        assert f"{whole:.3g}" in text
        assert text.count("build coat (3 of 4), Tue 2 Mar 12:00, Bo") == 1

    def test_says_that_its_person_is_gone(self) -> None:
        with pytest.raises(JobsError, match="gone"):
            render_day_sheet(Document(kind=DAY_SHEET_KIND, subject_id=987654, title="Day sheet"))
