"""Moments that are offered by one press: when a late task may begin, when a done one was begun."""

import datetime
from dataclasses import dataclass

from django.utils import timezone

from jobs.calendar import studio_hours
from jobs.job_days.times import said_at
from jobs.models import TaskFact, TimetableEntry
from studio.local_time import start_of_day

_GRID = datetime.timedelta(minutes=5)
_WORD = {1: "One hour later", 3: "Three hours later"}
# Nobody works for longer than this: no morning is offered.
_LOOK_AHEAD_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A moment as a button: the moment and its words."""

    at: datetime.datetime
    words: str

    @property
    def value(self) -> str:
        """The moment as the button sends it."""
        return self.at.isoformat()


def on_the_grid(moment: datetime.datetime) -> datetime.datetime:
    """Return a moment at the next full five minutes."""
    past = datetime.timedelta(minutes=moment.minute % 5, seconds=moment.second, microseconds=moment.microsecond)
    return moment if not past else moment - past + _GRID


def late_choices(entry: TimetableEntry) -> list[Choice]:
    """Offer begins later than planned: hours after the plan, or after now where that has passed, and the next morning."""
    now = timezone.now()
    planned = max(entry.starts_at, now)
    hours = [(words, on_the_grid(planned + datetime.timedelta(hours=count))) for count, words in _WORD.items()]
    choices = [Choice(at=at, words=f"{words}, {said_at(at)}") for words, at in hours]
    morning = _next_morning(timezone.localdate(planned))
    tomorrow = timezone.localdate(now) + datetime.timedelta(days=1)
    words = "Tomorrow morning" if timezone.localdate(morning) == tomorrow else "The next morning of work"
    return [*choices, Choice(at=morning, words=f"{words}, {said_at(morning)}")]


def begin_of_done(entry: TimetableEntry | None, fact: TaskFact | None, now: datetime.datetime) -> datetime.datetime | None:
    """Return when a task that is done now was begun, as far as that can be told; None where it cannot."""
    if fact is not None and fact.began_at is not None and fact.began_at < now:
        return fact.began_at
    if entry is None:
        return None
    return entry.starts_at if entry.starts_at < now else now - (entry.ends_at - entry.starts_at)


def _next_morning(after: datetime.date) -> datetime.datetime:
    """Return when somebody is at the bench first on the next day on which anybody is."""
    hours, zone = studio_hours(), timezone.get_current_timezone()
    for number in range(1, _LOOK_AHEAD_DAYS + 1):
        day = after + datetime.timedelta(days=number)
        stretches = hours.stretches(day)
        if stretches:
            return datetime.datetime.combine(day, stretches[0][0], tzinfo=zone)
    return start_of_day(after + datetime.timedelta(days=1), zone)
