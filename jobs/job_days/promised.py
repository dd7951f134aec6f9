"""The answer to when a job could be done, as its page shows it: the days to promise, and how the draws spread."""

import datetime
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from jobs.calendar import studio_hours
from jobs.days.said import worded
from jobs.models import DaysQuestion
from jobs.planning.work.handout_times import WorkingHours

EVEN, NINE = 0.5, 0.9
_LOOK_AHEAD_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOfDraws:
    """One day: how many draws ended for it, and the share that had ended by then."""

    on: datetime.date
    ended: int
    by_then: float

    @property
    def percent(self) -> int:
        """The share in percent."""
        return int(100 * self.by_then)


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedDays:
    """By which day a job is done with an even chance and with nine in ten; None where it lies beyond what was looked at."""

    even_on: datetime.date | None
    nine_on: datetime.date | None
    draws: int
    missed: int
    beside: int
    by_hand: int
    remarks: tuple[str, ...]
    days: tuple[DayOfDraws, ...]


def promised_days(question: DaysQuestion) -> PromisedDays:
    """Read an answer."""
    told = question.answer or {}
    hours = studio_hours()
    ends = Counter(promised_day(_moment(end), hours) for end in told["ends"])
    draws, gone, days = told["draws"], 0, []
    for on in sorted(ends):
        gone += ends[on]
        days.append(DayOfDraws(on=on, ended=ends[on], by_then=gone / draws))
    return PromisedDays(
        even_on=promised_day(_moment(told["even_at"]), hours) if told["even_at"] else None,
        nine_on=promised_day(_moment(told["nine_in_ten_at"]), hours) if told["nine_in_ten_at"] else None,
        draws=draws,
        missed=told["missed"],
        beside=told["beside"],
        by_hand=told["by_hand"],
        remarks=tuple(worded(one) for one in told["remarks"]),
        days=tuple(days),
    )


def promised_day(end: datetime.datetime, hours: WorkingHours) -> datetime.date:
    """Return the day to promise for an end: that day, or where nobody is at the bench as late as that, the next day of work.

    A promised day ends with its hours at the bench.
    """
    local = timezone.localtime(end)
    stretches = hours.stretches(local.date())
    if stretches and local.time() <= stretches[-1][1]:
        return local.date()
    following = (local.date() + datetime.timedelta(days=number) for number in range(1, _LOOK_AHEAD_DAYS + 1))
    return next((day for day in following if hours.stretches(day)), local.date())


def spread(days: Sequence[DayOfDraws]) -> int:
    """Return how many days lie between the first end that was drawn and the last."""
    return (days[-1].on - days[0].on).days if days else 0


def _moment(text: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(text)
