"""Timetables with entries as the worker writes them, for page tests."""

import datetime
from typing import Any

from jobs.models import Job, Timetable, TimetableEntry
from studio.models import Account, Person

MONDAY = datetime.datetime(2027, 3, 1, 6, 0, tzinfo=datetime.UTC)
COST = {
    "late": 0, "lead": 700, "span": 100, "breaches": 0, "visits": 120, "sessions": 60, "moved": 0, "uneven": 20, "total": 1000,
    "windows": 0, "visit_count": 1,
}  # fmt: skip


def timetable(**fields: Any) -> Timetable:
    """A timetable that is found; in use unless it is said otherwise, found to cost 1000 where nothing costs less than 876."""
    known = {
        "state": Timetable.State.READY, "begins_at": MONDAY, "horizon_steps": 4000, "cost": COST, "list_cost": 2500, "bound": 876,
        "bound_reason": "To find the bound, each job was decided by itself.", "finished_at": MONDAY, "used_at": MONDAY,
    }  # fmt: skip
    made: Timetable = Timetable.objects.create(**{**known, **fields})
    return made


def entry(
    of: Timetable, job: Job, *people: Person, at: datetime.datetime = MONDAY, minutes: int = 60, **fields: Any
) -> TimetableEntry:
    """One task of an hour; `key` tells tasks apart."""
    key = fields.pop("key", f"task_{TimetableEntry.objects.count()}#1")
    known = {"label": "Print coat", "stage": "coats", "plan_key": key.partition("#")[0]}
    made: TimetableEntry = TimetableEntry.objects.create(
        timetable=of, job=job, task_key=key, starts_at=at, ends_at=at + datetime.timedelta(minutes=minutes), **{**known, **fields}
    )
    made.people.set(people)
    return made


def busy(by: Account | None = None, **fields: Any) -> Timetable:
    """A search that the worker is at since nine seconds."""
    known = {
        "state": Timetable.State.WORKING, "seconds": 20, "attempts": 1, "started_at": MONDAY - datetime.timedelta(seconds=9),
        "asked_by": by,
    }  # fmt: skip
    made: Timetable = Timetable.objects.create(**{**known, **fields})
    return made
