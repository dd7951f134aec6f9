"""The grid of times: steps of equal length, and the studio's clock that changes twice a year."""

import datetime
from dataclasses import dataclass

from django.utils import timezone

UTC = datetime.UTC


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Steps of `step_min` minutes of real time from `begins_at` on.

    A day on which the clock changes has 23 or 25 hours of steps; no step is longer than another.
    """

    begins_at: datetime.datetime
    step_min: int = 5

    def at(self, step: int) -> datetime.datetime:
        """Return the moment of a step, in the zone that is in force."""
        return timezone.localtime(self.begins_at.astimezone(UTC) + datetime.timedelta(minutes=step * self.step_min))

    def step_of(self, moment: datetime.datetime, *, up: bool = False) -> int:
        """Return the last step that is not after a moment, or with `up` the first that is not before it."""
        # Two moments of one zone are subtracted by what its clocks show; in UTC by the time that passes.
        passed = moment.astimezone(UTC) - self.begins_at.astimezone(UTC)
        step = datetime.timedelta(minutes=self.step_min)
        return -(-passed // step) if up else passed // step


def local(on: datetime.date, at: datetime.time) -> datetime.datetime:
    """Return the moment at which the studio's clock shows a time of a day.

    A time that the clock skips in spring is taken as if the clock had not been changed yet; one that it shows twice in
    autumn is the first of the two.
    """
    return datetime.datetime.combine(on, at, tzinfo=timezone.get_current_timezone())


def whole_hour(moment: datetime.datetime) -> datetime.datetime:
    """Return the last full hour of the studio's clock that is not after a moment."""
    shown = timezone.localtime(moment)
    return moment - datetime.timedelta(minutes=shown.minute, seconds=shown.second, microseconds=shown.microsecond)
