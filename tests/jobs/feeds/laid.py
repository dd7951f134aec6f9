"""A timetable in use by hand, so that what reads it is tested without a search."""

import datetime
from typing import Any

from jobs.models import Job, Timetable, TimetableEntry
from studio.models import Person

MONDAY = datetime.datetime(2027, 3, 1, 9, 0, tzinfo=datetime.UTC)


def timetable_in_use(begins_at: datetime.datetime = MONDAY) -> Timetable:
    """Make an empty timetable that people go by; the one before is put by."""
    Timetable.objects.filter(put_by_at=None).update(put_by_at=begins_at)
    return Timetable.objects.create(state=Timetable.State.READY, begins_at=begins_at, used_at=begins_at)


def entry(timetable: Timetable, job: Job, key: str, at: datetime.datetime, *people: Person, **fields: Any) -> TimetableEntry:
    """Add one task of 45 minutes."""
    minutes = fields.pop("minutes", 45)
    made = TimetableEntry.objects.create(
        timetable=timetable, job=job, task_key=key, starts_at=at, ends_at=at + datetime.timedelta(minutes=minutes),
        **{"plan_key": key.partition("#")[0], "label": key, "stage": "coats", "station": "bench", **fields},
    )  # fmt: skip
    made.people.set(people)
    return made
