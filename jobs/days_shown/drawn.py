"""Entries of a timetable as a drawing takes them."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Max
from django.utils import timezone
from django.utils.safestring import SafeString

from jobs.days.clock import local
from jobs.days_shown.hours import MIDNIGHT, OpenHours
from jobs.models import Job, Timetable, TimetableEntry
from studio.models import Person, Station
from studio.web.drawing import Band, DaysPlan, PieceRow, Work, day_sheet, week_sheets

WEEK_DAYS = 7
# How long ago a task may have ended whose cure, station or window still shows.
LONGEST_WAIT = datetime.timedelta(days=21)


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """Where a task stood before it moved, and with whom."""

    starts_at: datetime.datetime
    ends_at: datetime.datetime
    people: tuple[int, ...] = ()


def begins(on: datetime.date) -> datetime.datetime:
    """Return when a day begins in the studio."""
    return local(on, MIDNIGHT)


def ends_of(timetable: Timetable) -> dict[int, datetime.datetime]:
    """Return when each job ends, by its key."""
    rows = TimetableEntry.objects.filter(timetable=timetable).values("job").annotate(last=Max("ends_at")).order_by("job")
    return {row["job"]: row["last"] for row in rows}


def days_plan(
    entries: Sequence[TimetableEntry],
    *,
    people: Sequence[Person],
    first: datetime.date,
    days: int,
    ends: Mapping[int, datetime.datetime],
    before: Mapping[tuple[int, str], Before] | None = None,
    now: datetime.datetime | None = None,
) -> DaysPlan:
    """Put together what the drawings of some days show.

    Parameters
    ----------
    entries : sequence of TimetableEntry
        With jobs and people at hand.
    people : sequence of Person
        Who gets a band, in this order.
    first, days
        The days that are drawn.
    ends : mapping of job key to moment
        When each job ends, also beyond these days.
    before : mapping of job key and task key to Before, optional
        Where moved tasks stood.
    now : datetime, optional
        The moment that is marked; this one if not given.
    """
    hours = OpenHours(people, first=first, days=days)
    open_ = hours.anybody()
    jobs = sorted({entry.job_id: entry.job for entry in entries}.values(), key=lambda job: job.number)
    kinds = [kind for kind in Station.Kind if any(entry.station == kind for entry in entries)]
    return DaysPlan(
        work=[_work(entry, (before or {}).get((entry.job_id, entry.task_key))) for entry in entries],
        people={str(person.pk): Band(label=person.name, open=hours.of(person)) for person in people},
        stations={kind.value: Band(label=str(kind.label)) for kind in kinds},
        pieces={job.number: _row(job, hours, ends.get(job.pk)) for job in jobs},
        now=timezone.localtime(now),
        zone=timezone.get_current_timezone(),
        open=open_,
    )


def _row(job: Job, hours: OpenHours, end: datetime.datetime | None) -> PieceRow:
    due = hours.end_of(job.promised_on) if job.promised_on else None
    return PieceRow(label=f"{job.number} {job.title}", promised=due, late=is_late(job, end))


def is_late(job: Job, end: datetime.datetime | None) -> bool:
    """Say whether a job ends after the day that it is promised for."""
    return job.promised_on is not None and end is not None and timezone.localtime(end).date() > job.promised_on


def _work(entry: TimetableEntry, was: Before | None) -> Work:
    return Work(
        job=entry.job.number,
        label=entry.label,
        begins=entry.starts_at,
        ends=entry.ends_at,
        people=tuple(str(person.pk) for person in entry.people.all()),
        station=entry.station,
        held_until=entry.station_until_at,
        cures_until=entry.waits_until_at,
        closes=entry.latest_next_at,
        late_min=entry.late_min,
        unattended=entry.unattended,
        pinned=entry.pinned,
        visit=entry.visit,
        done=entry.done,
        was=(was.starts_at, was.ends_at) if was else None,
        was_people=tuple(str(key) for key in was.people) if was else (),
    )


def weeks_drawn(plan: DaysPlan, *, first: datetime.date, days: int) -> list[SafeString]:
    """Draw the days week by week, from the first one on."""
    return [
        sheet
        for place in range(0, days, WEEK_DAYS)
        for sheet in week_sheets(plan, first=first + datetime.timedelta(days=place), days=min(WEEK_DAYS, days - place))
    ]


def day_drawn(plan: DaysPlan, on: datetime.date) -> SafeString:
    """Draw one day, empty where nothing is done or cures."""
    day = begins(on), begins(on + datetime.timedelta(days=1))
    if not any(work.begins < day[1] and work.over > day[0] for work in plan.work):
        return SafeString("")
    return day_sheet(plan, on=on)
