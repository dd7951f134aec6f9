"""The studio's hours and the clock times of a job's coats."""

import datetime
from collections import defaultdict
from collections.abc import Iterable

from django.utils import timezone

from jobs.models import Job
from jobs.planning.results import MoldPlan
from jobs.planning.work.handout_times import CureCalendar, WorkingHours, cure_calendar
from studio.figures import Figure, Given, Source, SourceKind
from studio.models import WorkingHours as HoursRow

Stretch = tuple[datetime.time, datetime.time]
USUAL_DAY: tuple[Stretch, ...] = ((datetime.time(9), datetime.time(17)),)
USUAL_WEEK = range(5)


def studio_hours() -> WorkingHours:
    """Return when somebody works at the bench; Monday to Friday, nine to five, until hours are entered."""
    rows = HoursRow.objects.filter(where=HoursRow.Where.BENCH, person__active=True).order_by("weekday", "starts_at")
    found: dict[int, list[Stretch]] = defaultdict(list)
    for row in rows:
        found[row.weekday].append((row.starts_at, row.ends_at))
    if not found:
        return WorkingHours(by_weekday=dict.fromkeys(USUAL_WEEK, USUAL_DAY))
    return WorkingHours(by_weekday={weekday: joined(stretches) for weekday, stretches in found.items()})


def joined(stretches: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """Join stretches that touch or overlap: somebody is at the bench as long as anybody is."""
    whole: list[Stretch] = []
    for starts, ends in sorted(stretches):
        if whole and starts <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(whole[-1][1], ends))
        else:
            whole.append((starts, ends))
    return tuple(whole)


def usual_start() -> datetime.datetime:
    """Return tomorrow at nine in the studio's time, for jobs whose start is not decided."""
    tomorrow = timezone.localdate() + datetime.timedelta(days=1)
    return timezone.make_aware(datetime.datetime.combine(tomorrow, datetime.time(9)))


def calendar_of(job: Job, plan: MoldPlan, hours: WorkingHours) -> CureCalendar:
    """Lay a job's coats out on the clock from its start, or from tomorrow at nine."""
    return cure_calendar(plan, starts_at=timezone.localtime(job.starts_at or usual_start()), hours=hours)


def days_figure(calendar: CureCalendar) -> Figure:
    """Count the calendar days from the first coat to the blanket's rest."""
    first, last = calendar.coats[0].starts_at, calendar.blanket_ready_at
    days = (last.date() - first.date()).days + 1
    return Figure(
        key="calendar_days",
        label="Days",
        value=float(days),
        unit="day",
        formula="day the blanket has rested − day of the first coat + 1",
        given=(
            Given(
                label="Coats, with the nights between them",
                value=float(len(calendar.coats)),
                unit="1",
                source=Source(kind=SourceKind.COMPUTED, text="the coats' windows within the hours at the bench"),
            ),
        ),
        note="Shell and castings come after these days.",
    )
