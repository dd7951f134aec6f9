"""How long the days of many jobs take to draw and to show: prints medians and what one entry takes; asserts counts only."""

import datetime
from zoneinfo import ZoneInfo

import pytest
from django.test import Client as Browser

from jobs.models import Job, Timetable, TimetableEntry
from studio.models import Person, StudioProfile
from studio.web.context import using_profile
from studio.web.drawing import Band, DaysPlan, PieceRow, Work, day_sheet, week_sheets
from tests.benchmarks.bench_estimate import median_ms
from tests.factories import JobFactory, PersonFactory
from tests.jobs.views.timetable_rows import timetable

ZONE = ZoneInfo("Europe/Berlin")
MONDAY = datetime.date(2027, 3, 1)
BEGIN = datetime.datetime(2027, 3, 1, 8, tzinfo=ZONE)
DAYS, TASKS, ROUNDS = 21, 30, 5
MINUTE = datetime.timedelta(minutes=1)


def laid_out(jobs: int) -> DaysPlan:
    """Thirty tasks of each job over three weeks, each with its cure and window."""
    work = []
    for job in range(jobs):
        for task in range(TASKS):
            begins = BEGIN + datetime.timedelta(days=task * DAYS // TASKS, minutes=(job * 37 + task * 53) % 480)
            work.append(
                Work(
                    job=job, label="Build coat 2", begins=begins, ends=begins + 20 * MINUTE, people=(str(job % 3),),
                    station="bench", cures_until=begins + 140 * MINUTE, closes=begins + 400 * MINUTE,
                    late_min=30 * (task % 17 == 0),
                )
            )  # fmt: skip
    return DaysPlan(
        work=work, people={str(key): Band(label=f"Person {key}") for key in range(3)},
        stations={"bench": Band(label="bench place")},
        pieces={job: PieceRow(label=f"{job} Finial") for job in range(jobs)}, now=BEGIN, zone=ZONE,
    )  # fmt: skip


@pytest.mark.benchmark
def test_drawing(capsys: pytest.CaptureFixture[str]) -> None:
    with using_profile(StudioProfile(units="metric", locale="en_GB", currency="EUR")):
        for jobs in (10, 20, 40):
            plan = laid_out(jobs)
            weeks = median_ms(lambda _, plan=plan: week_sheets(plan, first=MONDAY, days=DAYS), ROUNDS)  # type: ignore[misc]
            each = [MONDAY + datetime.timedelta(days=day) for day in range(DAYS)]
            days = median_ms(lambda _, plan=plan, each=each: [day_sheet(plan, on=on) for on in each], ROUNDS)  # type: ignore[misc]
            size = sum(map(len, week_sheets(plan, first=MONDAY, days=DAYS))) + sum(len(day_sheet(plan, on=on)) for on in each)
            each_us = 1000 * (weeks[1] + days[1]) / len(plan.work)
            with capsys.disabled():
                print(  # noqa: T201
                    f"\n{jobs} jobs of {TASKS} tasks, {DAYS} days: week by week {weeks[1]:.0f} ms, by day {days[1]:.0f} ms of "
                    f"processor time; {each_us:.0f} µs and {size // len(plan.work)} bytes an entry"
                )


@pytest.mark.benchmark
@pytest.mark.django_db
def test_page(owner_client: Browser, capsys: pytest.CaptureFixture[str]) -> None:
    people: list[Person] = PersonFactory.create_batch(3)
    for jobs in (10, 40):
        Timetable.objects.all().delete()
        kept = timetable()
        made: list[Job] = JobFactory.create_batch(jobs, state=Job.State.AGREED)
        today = datetime.datetime.now(tz=ZONE)
        for place, work in enumerate(laid_out(jobs).work):
            begins = work.begins - BEGIN + today
            row = TimetableEntry.objects.create(
                timetable=kept, job=made[work.job], task_key=f"task_{place}", plan_key="task", label=work.label, stage="coats",
                starts_at=begins, ends_at=begins + 20 * MINUTE, waits_until_at=begins + 140 * MINUTE,
            )  # fmt: skip
            row.people.add(people[work.job % 3])
        for days in (7, 21):
            found = median_ms(lambda _, days=days: owner_client.get(f"/days/?days={days}"), 3)  # type: ignore[misc]
            size = len(owner_client.get(f"/days/?days={days}").content)
            with capsys.disabled():
                print(  # noqa: T201
                    f"\n{jobs} jobs, {days} days: the page takes {found[1]:.0f} ms of processor time, {size // 1000} kB"
                )
