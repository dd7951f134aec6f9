"""What the days ahead hold: coats by clock time and promised days of all open jobs."""

import datetime
from dataclasses import dataclass, field

from django.db.models import Q
from django.utils import timezone

from jobs.calendar import calendar_of, studio_hours
from jobs.errors import JobNotReady
from jobs.inputs import materials_of
from jobs.models import Job, TakeoffRecord
from jobs.planning.work.handout_times import CoatTime
from jobs.services.plans import as_far_as_decided, compute_with
from jobs.studies.following import shapes_for
from materials.inputs import specs
from studio.figures import WorkingError
from studio.services.rates import current_rates

DAYS = 21


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatOn:
    """One coat of one job on the clock."""

    job: Job
    coat: CoatTime


@dataclass(slots=True, kw_only=True)
class DayAhead:
    """One day: its coats, the jobs promised for it, the jobs whose blanket has rested."""

    on: datetime.date
    coats: list[CoatOn] = field(default_factory=list)
    promised: list[Job] = field(default_factory=list)
    rested: list[Job] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysAhead:
    """The days that hold something, what is overdue, and open jobs that no day is set for."""

    days: tuple[DayAhead, ...]
    overdue: tuple[Job, ...]
    unset: tuple[Job, ...]
    not_ready: tuple[tuple[Job, str], ...]


def days_ahead() -> DaysAhead:
    """Lay out the coming weeks in a number of queries that does not grow with the jobs."""
    today = timezone.localdate()
    jobs = list(
        Job.objects.still_open()
        .select_related("client", "piece", "plan", "plan__scrap_bin")
        .prefetch_related("plan__own_minutes")
        .order_by("promised_on", "number")
    )
    days: dict[datetime.date, DayAhead] = {}
    not_ready = _lay_out(jobs, days)
    last = today + datetime.timedelta(days=DAYS)
    for job in jobs:
        if job.promised_on is not None and today <= job.promised_on <= last:
            _day(days, job.promised_on).promised.append(job)
    kept = [day for on, day in sorted(days.items()) if today <= on <= last]
    for day in kept:
        day.coats.sort(key=lambda item: item.coat.starts_at)
    return DaysAhead(
        days=tuple(kept),
        overdue=tuple(job for job in jobs if job.promised_on is not None and job.promised_on < today),
        unset=tuple(job for job in jobs if job.starts_at is None),
        not_ready=tuple(not_ready),
    )


def _lay_out(jobs: list[Job], days: dict[datetime.date, DayAhead]) -> list[tuple[Job, str]]:
    started = [job for job in jobs if job.starts_at is not None]
    rates, hours, records = current_rates(), studio_hours(), _records(started)
    known = specs(chosen for job in started for chosen in materials_of(job.plan))
    not_ready: list[tuple[Job, str]] = []
    shapes = shapes_for([(job.plan, records.get(job.piece.pk)) for job in started], rates)
    for job, shape in zip(started, shapes, strict=True):
        try:
            record = records.get(job.piece.pk)
            made = compute_with(as_far_as_decided(job.plan), record, rates=rates, specs=known, shape=shape)
            calendar = calendar_of(job, made, hours)
        except (JobNotReady, WorkingError) as error:
            not_ready.append((job, str(error)))
            continue
        for coat in calendar.coats:
            _day(days, coat.starts_at.date()).coats.append(CoatOn(job=job, coat=coat))
        _day(days, calendar.blanket_ready_at.date()).rested.append(job)
    return not_ready


def _records(jobs: list[Job]) -> dict[int, TakeoffRecord]:
    """Return the takeoff in use of each piece, in one query."""
    newest: dict[int, TakeoffRecord] = {}
    rows = TakeoffRecord.objects.filter(Q(piece__job__in=[job.pk for job in jobs])).order_by("used_at", "pk")
    for record in rows:
        newest[record.piece_id] = record
    return newest


def _day(days: dict[datetime.date, DayAhead], on: datetime.date) -> DayAhead:
    return days.setdefault(on, DayAhead(on=on))
