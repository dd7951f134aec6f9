"""The page of a job's run: what it shows to whom, what typing does, keeping and going back, and its drawings."""

import datetime
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from costing.inputs import planned, terms_of
from costing.models import PriceTerms
from costing.runs_drawing import LINES, choice_drawing, run_drawing
from costing.services.runs import FIELDS, bench_hours, run_sheet, with_run_values
from jobs.models import Job, Plan
from studio.access import Role
from studio.models import Person, StudioProfile, WorkingHours
from tests.costing.rows import make_job
from tests.factories import PersonFactory
from tests.jobs.views.timetable_rows import entry, timetable

pytestmark = pytest.mark.django_db

TYPED = {"learning_percent": "90", "learning_model": "unit", "spare_molds": "2", "castings": "40", "standing": "300"}


@pytest.fixture
def job(db: None) -> Job:
    """Return a job whose run outlives its mold."""
    return make_job(castings=40)


def at_the_bench(person: Person, weekday: int, *, ends: int) -> None:
    WorkingHours.objects.create(person=person, weekday=weekday, starts_at=datetime.time(8), ends_at=datetime.time(ends))


def text_of(response: Any) -> str:
    return re.sub(r"\s+", " ", response.content.decode())


def post(browser: Client, job: Job, to: str, **data: str) -> Any:
    return browser.post(f"/jobs/{job.number}/run/{to}/", data)


class TestRunShow:
    def test_shows_quantities_practice_molds_and_days(self, office: Client, job: Job) -> None:
        html = text_of(office.get(f"/jobs/{job.number}/run/"))
        for words in (
            "What each casting costs and sells for", "The run at other quantities", "pay for the molds",
            "No learning: each takes the same", "those of the first casting out of a new mold",
            "Molds that the run uses up, on average", "Expected cost by the number of further molds",
            "made beforehand. One would pay once a stop costs more than", "No further mold is priced", "Delivery in parts",
            "nine to five, Monday to Friday",
        ):  # fmt: skip
            assert words in html
        keys = [key for key in re.findall(r'data-figure="([^"]+)"', html) if not key.startswith("title_")]
        assert len(keys) > 60
        assert len(set(keys)) > 0.9 * len(keys)
        for page in ("price", "castings"):
            assert f'href="/jobs/{job.number}/run/"' in text_of(office.get(f"/jobs/{job.number}/{page}/"))

    def test_says_what_will_stand_there_where_nothing_is_cast(self, office: Client, job: Job) -> None:
        Plan.objects.filter(job=job).update(resin=None)
        html = text_of(office.get(f"/jobs/{job.number}/run/"))
        assert "No castings are planned yet" in html
        assert f'href="/jobs/{job.number}/castings/"' in html
        Plan.objects.filter(job=job).update(rubber=None)
        assert "No rubber is chosen yet" in text_of(office.get(f"/jobs/{job.number}/run/"))

    def test_is_not_for_who_may_not_see_money(self, signed_in: Callable[[Role], Client], job: Job) -> None:
        StudioProfile.objects.update(money_hidden_from_makers=True)
        maker = signed_in(Role.MAKER)
        assert maker.get(f"/jobs/{job.number}/run/").status_code == 403
        assert f"/jobs/{job.number}/run/" not in text_of(maker.get(f"/jobs/{job.number}/castings/"))

    def test_asks_the_database_as_often_for_many_people_as_for_one(self, office: Client, job: Job) -> None:
        office.get(f"/jobs/{job.number}/run/")
        counts = []
        for _ in range(3):
            at_the_bench(PersonFactory(), 0, ends=12)
            with CaptureQueriesContext(connection) as found:
                office.get(f"/jobs/{job.number}/run/")
            counts.append(len(found))
        assert len(set(counts)) == 1


class TestRunTry:
    def test_shows_what_typing_does_and_keeps_nothing(self, office: Client, job: Job) -> None:
        before = office.get(f"/jobs/{job.number}/run/").context["baseline"]
        answer = office.post(f"/jobs/{job.number}/run/try/", {**TYPED, "baseline": before}, headers={"HX-Request": "true"})
        html = text_of(answer)
        assert answer.status_code == 200
        for words in (
            "Nothing is kept yet",
            "Unit (Crawford)",
            "Cumulative average (Wright)",
            "in the price",
            'class="was"',
            "Priced: 2 further molds",
        ):
            assert words in html
        assert not PriceTerms.objects.filter(job=job).exists()

    def test_without_scripts_shows_the_whole_page_and_keeps_what_was_typed(self, office: Client, job: Job) -> None:
        html = text_of(post(office, job, "try", **TYPED))
        assert 'value="90"' in html
        assert "Priced: 2 further molds" in html

    @pytest.mark.parametrize(
        ("name", "value", "words"),
        [("learning_percent", "40", "Learning rate"), ("spare_molds", "99", "Further molds"), ("castings", "0", "run of")],
    )
    def test_says_what_is_wrong_and_shows_the_kept_figures(
        self, office: Client, job: Job, name: str, value: str, words: str
    ) -> None:
        answer = post(office, job, "try", **{**TYPED, name: value})
        assert answer.status_code == 422
        assert words in text_of(answer)
        assert f'value="{value}"' in text_of(answer)
        assert "The run at other quantities" in text_of(answer)


class TestRunKeep:
    def test_keeps_learning_and_molds_alone_and_goes_back(self, office: Client, job: Job) -> None:
        PriceTerms.objects.create(job=job, margin_percent=Decimal(33))
        assert post(office, job, "keep", **TYPED, revision="0").url == f"/jobs/{job.number}/run/"
        kept = PriceTerms.objects.get(job=job)
        assert (kept.learning_percent, kept.learning_model, kept.spare_molds) == (Decimal(90), "unit", 2)
        assert kept.margin_percent == Decimal(33)
        html = text_of(office.get(f"/jobs/{job.number}/run/"))
        assert "Put the terms before that back" in html
        assert "Further mold" in text_of(office.get(f"/jobs/{job.number}/price/"))
        post(office, job, "back")
        kept.refresh_from_db()
        assert (kept.learning_percent, kept.spare_molds, kept.margin_percent) == (None, None, Decimal(33))

    def test_is_refused_over_newer_terms_and_loses_nothing(self, office: Client, job: Job) -> None:
        PriceTerms.objects.create(job=job, revision=4)
        answer = post(office, job, "keep", **TYPED, revision="3")
        assert "kept other terms" in text_of(answer)
        assert 'value="90"' in text_of(answer)
        assert 'name="revision" value="4"' in text_of(answer)
        assert PriceTerms.objects.get(job=job).learning_percent is None

    def test_keeps_nothing_that_does_not_read(self, office: Client, job: Job) -> None:
        assert post(office, job, "keep", **{**TYPED, "learning_percent": "12"}).status_code == 422
        assert not PriceTerms.objects.filter(job=job).exists()

    def test_going_back_without_a_change_says_so(self, office: Client, job: Job) -> None:
        post(office, job, "back")
        assert "nothing to put back" in text_of(office.get(f"/jobs/{job.number}/run/"))


class TestRunSheet:
    def test_row_of_this_run_is_what_the_price_says(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        tried = with_run_values(terms_of(job), dict(zip(FIELDS, (Decimal(85), "cumulative", 1), strict=True)))
        sheet = run_sheet(planned(job), tried, profile)
        assert sheet is not None
        row = next(point for point in sheet.rows if point.quantity == 40)
        assert sheet.estimate.run is not None
        assert row.run.each.unit_price == sheet.estimate.run.each.unit_price
        assert row.molds == 2
        # Price with its share × castings is the sum of the mold's, the further mold's and the castings' lines.
        assert 40 * row.price_with.value == pytest.approx(float(sum(line.net for line in sheet.estimate.lines)))

    def test_molds_step_up_where_seven_tenths_of_a_life_end(self, job: Job) -> None:
        sheet = run_sheet(planned(job), terms_of(job), StudioProfile.objects.current())
        assert sheet is not None
        molds = {point.quantity: point.molds for point in sheet.curve}
        # exact: a mold of 30 castings is counted on for 21.
        assert (molds[1], molds[21], molds[22], molds[42], molds[43]) == (1, 1, 2, 2, 3)

    def test_says_dates_where_the_timetable_begins_casting(self, job: Job) -> None:
        at_the_bench(PersonFactory(), 0, ends=12)
        monday = timezone.make_aware(datetime.datetime(2031, 3, 3, 9))
        entry(timetable(used_at=timezone.now()), job, at=monday, key="castings", plan_key="castings")
        sheet = run_sheet(planned(job), terms_of(job), StudioProfile.objects.current())
        assert sheet is not None
        assert sheet.begins_on == datetime.date(2031, 3, 3)
        for dated in sheet.parts:
            # exact: the studio works on Mondays alone.
            assert dated.on == datetime.date(2031, 3, 3) + datetime.timedelta(weeks=round(dated.part.ready_day.value) - 1)

    def test_bench_hours_are_of_everybody_on_an_average_day(self, db: None) -> None:
        one, other = PersonFactory(), PersonFactory()
        for person, weekday, ends in ((one, 0, 12), (one, 1, 16), (other, 0, 16)):
            at_the_bench(person, weekday, ends=ends)
        found, weekdays = bench_hours()
        assert found.value == pytest.approx((4 + 8 + 8) / 2)
        assert weekdays == {0, 1}


class TestDrawings:
    def test_draw_what_the_sheet_says(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        sheet = run_sheet(planned(job), terms_of(job), profile)
        assert sheet is not None
        svg = str(run_drawing(sheet.curve, sheet.count, profile))
        paths = re.findall(r'<path d="M([^"]+)" class="stroke"', svg)
        assert len(paths) == len(LINES)
        for path in paths:
            assert len(path.split("L")) == len(sheet.curve)
        price, cost = (
            [float(spot.split()[1]) for spot in paths[place].split("L")] for place in (0, 1)
        )  # fmt: skip
        assert all(above < below for above, below in zip(price, cost, strict=True))
        assert sheet.life is not None
        bars = str(choice_drawing(sheet.life.choice, 100.0, profile, decided=None))
        assert bars.count(">least</text>") == 1

    def test_draw_nothing_where_nothing_costs_anything(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        sheet = run_sheet(planned(job), terms_of(job), profile)
        assert sheet is not None
        assert run_drawing(sheet.curve[:1], 1, profile) == ""
