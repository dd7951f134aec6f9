"""A small studio for tests of days: people with hours, stations, and a timetable found by a short search."""

import datetime
from typing import Any

from django.utils import timezone

from jobs.days import working
from jobs.days.clock import Grid
from jobs.days.freezing import problem_from_json
from jobs.days.questions import entries_on_grid
from jobs.models import Job, Plan, Timetable
from jobs.scheduling.problem import Problem
from jobs.scheduling.result import Entry
from studio.models import Person, Station, WorkingHours
from tests.factories import PersonFactory, StationFactory, planned_job

Where = WorkingHours.Where
# A Monday before the clocks change in Europe.
MONDAY = datetime.datetime(2026, 3, 2, 6, tzinfo=datetime.UTC)
WEEKDAYS = range(5)


def hours(person: Person, weekdays: Any, opens: str, closes: str, where: str = Where.BENCH) -> None:
    """Enter hours on some weekdays."""
    for weekday in weekdays:
        WorkingHours.objects.create(
            person=person, weekday=weekday, starts_at=datetime.time.fromisoformat(opens),
            ends_at=datetime.time.fromisoformat(closes), where=where,
        )  # fmt: skip


def add_person(name: str, *, evenings: bool = False, **fields: Any) -> Person:
    """Return somebody who is there on weekdays from eight to five."""
    trained = {"isocyanate_trained_on": datetime.date(2025, 3, 1), "isocyanate_trained_until_on": datetime.date(2030, 2, 28)}
    person: Person = PersonFactory(name=name, **{**trained, **fields})
    hours(person, WEEKDAYS, "08:00", "17:00")
    if evenings:
        hours(person, WEEKDAYS, "19:00", "21:00", Where.HOME)
    return person


def add_stations() -> None:
    """Add two bench places and a frame."""
    StationFactory(kind=Station.Kind.BENCH, places=2)
    StationFactory(kind=Station.Kind.FRAME, places=1)


def agreed_drum(**fields: Any) -> Job:
    """Return a job that is agreed: a drum laid in one position, two castings of it."""
    job: Job = planned_job(**{"state": Job.State.AGREED, **fields})
    Plan.objects.filter(job=job).update(positions=1, castings=2, shell_pieces=1)
    return Job.objects.get(pk=job.pk)


def looked_for(*, seconds: int = 1, **fields: Any) -> Timetable:
    """Return a timetable that the worker has looked for."""
    made = Timetable.objects.create(seconds=seconds, **fields)
    working.process(made.pk)
    found: Timetable = Timetable.objects.get(pk=made.pk)
    return found


def to_use(timetable: Timetable) -> Timetable:
    """Let people go by a timetable."""
    timetable.used_at = timezone.now()
    timetable.save(update_fields=["used_at"])
    return timetable


def as_laid(timetable: Timetable) -> tuple[Problem, dict[str, Entry]]:
    """Return the problem that a timetable keeps, and its rows as the core knows them."""
    problem = problem_from_json(timetable.problem)
    grid = Grid(begins_at=timetable.begins_at, step_min=timetable.step_min)
    return problem, entries_on_grid(timetable, problem, grid)
