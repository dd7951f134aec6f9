"""Timetables for tests of pages: a plan's tasks one after the other, each after the wait of the one before."""

import datetime
from itertools import pairwise
from typing import Any

from django.utils import timezone

from jobs.models import Job, Timetable, TimetableEntry
from jobs.services.plans import compute, plan_of
from studio.models import Person


def timetable_in_use(**fields: Any) -> Timetable:
    """Make a timetable that people go by from now on."""
    now = timezone.now()
    begun = now - datetime.timedelta(minutes=1)
    known = {"state": Timetable.State.READY, "begins_at": now, "used_at": now, "started_at": begun, "finished_at": now}
    made: Timetable = Timetable.objects.create(**(known | fields))
    return made


def lay_out(
    job: Job, timetable: Timetable, person: Person, *, begins_at: datetime.datetime, opens: int = 8, closes: int = 17
) -> list[TimetableEntry]:
    """Put the tasks of a job into a timetable, hands-on work by day only."""
    rows, at = [], begins_at
    for place, task in enumerate(compute(plan_of(job)).tasks):
        takes = datetime.timedelta(minutes=max(5, 5 * round(task.minutes.value / 5)))
        at = _by_day(at, min(takes, datetime.timedelta(hours=closes - opens)), opens, closes)
        takes = min(takes, datetime.timedelta(hours=closes - opens))
        waits = datetime.timedelta(minutes=-(-task.wait_after_min // 5) * 5)
        latest = at + takes + datetime.timedelta(minutes=task.latest_next_min) if task.latest_next_min else None
        rows.append(
            TimetableEntry(
                timetable=timetable, job=job, task_key=f"{task.key}#1", plan_key=task.key, label=task.label,
                stage=task.stage.value, place=place, starts_at=at, ends_at=at + takes,
                station="frame" if "frame" in task.station else "bench", waits_until_at=at + takes + waits,
                latest_next_at=latest, unattended=task.unattended,
            )
        )  # fmt: skip
        at = at + takes + waits
    for row, following in pairwise(rows):
        if row.latest_next_at is not None and following.starts_at > row.latest_next_at:
            following.late_min = int((following.starts_at - row.latest_next_at).total_seconds() // 60)
            following.remedy = "Clean the coat, abrade it, and make a patch test."
    made = TimetableEntry.objects.bulk_create(rows)
    for row in made:
        row.people.set([person])
    return list(made)


def _by_day(at: datetime.datetime, takes: datetime.timedelta, opens: int, closes: int) -> datetime.datetime:
    local = timezone.localtime(at)
    shuts = local.replace(hour=closes, minute=0)
    if local.hour < opens:
        return local.replace(hour=opens, minute=0)
    if local + takes > shuts or local.weekday() > 4:
        local = (local + datetime.timedelta(days=1)).replace(hour=opens, minute=0)
        while local.weekday() > 4:
            local += datetime.timedelta(days=1)
    return local
