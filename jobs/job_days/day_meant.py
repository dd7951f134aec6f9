"""Whether a timetable goes by the day that a job is promised for now."""

import datetime

from django.utils import timezone

from jobs.calendar import studio_hours
from jobs.planning.work.handout_times import WorkingHours
from studio.models import Absence

_LOOK_BACK = datetime.timedelta(days=60)


def hours_with_closed_days(since: datetime.date) -> WorkingHours:
    """Return when anybody is at the bench, without the days on which the whole studio is closed."""
    closed: set[datetime.date] = set()
    for row in Absence.objects.filter(person=None, ends_at__date__gte=since - _LOOK_BACK):
        first, last = timezone.localdate(row.starts_at), timezone.localdate(row.ends_at - datetime.timedelta(seconds=1))
        closed |= {first + datetime.timedelta(days=number) for number in range((last - first).days + 1)}
    return WorkingHours(by_weekday=studio_hours().by_weekday, days_off=frozenset(closed))


def means_day(due: datetime.datetime | None, promised_on: datetime.date | None, hours: WorkingHours) -> bool:
    """Say whether the end of a day's work is that of the promised day.

    A promised day without hours at the bench ends with the last day before it that has any.
    """
    if due is None or promised_on is None:
        return due is None and promised_on is None
    on = timezone.localdate(due)
    # What ends at midnight belongs to the day before.
    if timezone.localtime(due).time() == datetime.time(0):
        on -= datetime.timedelta(days=1)
    if not promised_on - _LOOK_BACK <= on <= promised_on:
        return False
    between = (on + datetime.timedelta(days=number) for number in range(1, (promised_on - on).days + 1))
    return not any(hours.stretches(day) for day in between)
