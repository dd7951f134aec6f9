"""Local times as people write them, turned into moments of UTC where clocks change twice a year; the zone is given.

Moments are told in UTC, because two times of one zone are compared and subtracted by what the clocks show.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from studio.errors import StudioError


class NoSuchTime(StudioError):
    """The clocks jump over this time of this day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalMoment:
    """The moment of a local time; `twice` when the clocks go back over it, so that the first of two is meant."""

    at: datetime
    twice: bool = False


def moment_of(day: date, clock: time, zone: tzinfo) -> LocalMoment:
    """Return the moment of a local time; of one that comes twice the first; refuse one that the clocks jump over."""
    typed = datetime.combine(day, clock.replace(fold=0), tzinfo=zone)
    if typed.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != typed.replace(tzinfo=None):
        there = typed.astimezone(UTC).astimezone(zone)
        raise NoSuchTime(
            f"There is no {clock:%H:%M} on {day}: the clocks go forward over it. Write {there:%H:%M} or an earlier time."
        )
    return LocalMoment(at=typed.astimezone(UTC), twice=typed.utcoffset() != typed.replace(fold=1).utcoffset())


def start_of_day(day: date, zone: tzinfo) -> datetime:
    """Return the first moment of a day, also where the clocks jump over midnight or come back to it."""
    return datetime.combine(day, time(), tzinfo=zone).astimezone(UTC)


def whole_days(starts_at: datetime, ends_at: datetime, zone: tzinfo) -> tuple[date, date] | None:
    """Return the first and the last day of a stretch that begins and ends as days do; None for any other stretch."""
    first, following = starts_at.astimezone(zone).date(), ends_at.astimezone(zone).date()
    if following <= first or start_of_day(first, zone) != starts_at or start_of_day(following, zone) != ends_at:
        return None
    return first, following - timedelta(days=1)


def twice_words(day: date, clock: time) -> str:
    """Say which of two equal times was taken."""
    return f"On {day} the clocks go back and {clock:%H:%M} comes twice; the first one is taken."
