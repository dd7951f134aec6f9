"""Timetables and their entries as rows, for tests that need no search."""

import datetime
from typing import Any

from django.utils import timezone

from jobs.models import Job, Timetable, TimetableEntry
from studio.models import Person
from tests.factories import JobFactory, PersonFactory

NOON = datetime.datetime(2026, 3, 2, 12, tzinfo=datetime.UTC)


def found(**fields: Any) -> Timetable:
    """Return a timetable that is found and not yet used."""
    made: Timetable = Timetable.objects.create(**{"state": Timetable.State.READY, "begins_at": NOON, **fields})
    return made


def in_use(**fields: Any) -> Timetable:
    """Return a timetable that people go by."""
    return found(used_at=timezone.now(), **fields)


def entry(
    timetable: Timetable,
    *,
    job: Job | None = None,
    key: str = "coat_1",
    hours: float = 0,
    length_h: float = 1,
    people: tuple[Person, ...] | None = None,
    **fields: Any,
) -> TimetableEntry:
    """Return an entry that begins so many hours after noon; done by somebody new unless people are given."""
    starts = NOON + datetime.timedelta(hours=hours)
    made: TimetableEntry = TimetableEntry.objects.create(
        **{
            "timetable": timetable, "job": job or JobFactory(), "task_key": key, "plan_key": key.partition("#")[0],
            "label": "Print coat", "stage": "coats", "starts_at": starts,
            "ends_at": starts + datetime.timedelta(hours=length_h), **fields,
        }
    )  # fmt: skip
    made.people.set((PersonFactory(),) if people is None else people)
    return made
