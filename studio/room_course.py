"""How a day's and a night's temperature, or a logger's record, become temperatures by the hour. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from decimal import ROUND_HALF_UP, Decimal

from studio.errors import StudioError
from studio.local_time import start_of_day

WARMS_AT_H = 8
HOUR = timedelta(hours=1)
DAY_MIN = 24 * 60
TENTH = Decimal("0.1")


class NoCourse(StudioError):
    """A record does not tell how the room is round the clock."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayNight:
    """A day from the hour the room warms, with the night that follows it. [°C]"""

    on: date
    day_c: Decimal
    night_c: Decimal


def hours_of_days(days: Sequence[DayNight], *, zone: tzinfo, warm_h: float) -> dict[datetime, Decimal]:
    """Return the mean temperature of every hour of some days, by its beginning in UTC.

    Parameters
    ----------
    days : sequence of DayNight
        Days in order; the hours before the first one warms are as its own night.
    zone : tzinfo
        The zone whose clocks say when the room warms.
    warm_h : float
        Hours of the day that the room is as warm as by day, 0 to 24. [h]

    Returns
    -------
    dict
        From the first day's beginning until the room warms on the day after the last, so that a night is whole. The room is as
        warm as by day for `warm_h` from 8 o'clock and as by night otherwise, the same law by which cures are taken over nights;
        an hour in which it cools is the mean of both by their minutes.
    """
    by_date = {one.on: one for one in days}
    found: dict[datetime, Decimal] = {}
    for on in [*by_date, *(one + timedelta(days=1) for one in by_date if one + timedelta(days=1) not in by_date)]:
        for begins_at in hours_of(on, zone):
            since_warm, room_day = _since_warm(begins_at, zone)
            held = by_date.get(room_day) or (by_date.get(on) if room_day < on else None)
            if held is None or (on not in by_date and room_day == on):
                continue
            share = _warm_share(since_warm, warm_h)
            found[begins_at] = _tenth(share * held.day_c + (1 - share) * held.night_c)
    return found


def days_of_hours(hours: Mapping[datetime, Decimal], on: Iterable[date], *, zone: tzinfo, warm_h: float) -> dict[date, DayNight]:
    """Return those days whose hours, as far as they are known, are just a day and a night: what a form can show again."""
    warm: dict[date, set[Decimal]] = defaultdict(set)
    cool: dict[date, set[Decimal]] = defaultdict(set)
    for begins_at, temperature_c in hours.items():
        since_warm, room_day = _since_warm(begins_at, zone)
        share = _warm_share(since_warm, warm_h)
        if share in {0, 1}:
            (warm if share else cool)[room_day].add(temperature_c)
    return {
        day: DayNight(on=day, day_c=next(iter(warm[day])), night_c=next(iter(cool[day] or warm[day])))
        for day in on
        if len(warm[day]) == 1 and len(cool[day]) == (1 if warm_h < 24 else 0)
    }


def hours_of_readings(readings: Iterable[tuple[datetime, Decimal]], zone: tzinfo) -> dict[datetime, Decimal]:
    """Return the mean of a logger's readings by the hour they were taken in."""
    by_hour: dict[datetime, list[Decimal]] = defaultdict(list)
    for moment, temperature_c in readings:
        clock = moment.astimezone(zone)
        into = timedelta(minutes=clock.minute, seconds=clock.second, microseconds=clock.microsecond)
        by_hour[moment.astimezone(UTC) - into].append(temperature_c)
    return {begins_at: _tenth(sum(found, Decimal(0)) / len(found)) for begins_at, found in sorted(by_hour.items())}


def usual_course(readings: Iterable[tuple[datetime, Decimal]], *, days: Iterable[date], zone: tzinfo) -> dict[datetime, Decimal]:
    """Return days that are each like the record's mean day: at every hour of the clock the mean of what was read then."""
    by_clock: dict[int, list[Decimal]] = defaultdict(list)
    for moment, temperature_c in readings:
        by_clock[moment.astimezone(zone).hour].append(temperature_c)
    missing = [hour for hour in range(24) if hour not in by_clock]
    if missing:
        said = ", ".join(f"{hour:02d}:00" for hour in missing[:6]) + (" and more" if len(missing) > 6 else "")
        raise NoCourse(f"A usual day needs a reading in each of its hours; there is none in the hours from {said}.")
    means = {hour: _tenth(sum(found, Decimal(0)) / len(found)) for hour, found in by_clock.items()}
    return {begins_at: means[begins_at.astimezone(zone).hour] for on in days for begins_at in hours_of(on, zone)}


def hours_of(on: date, zone: tzinfo) -> list[datetime]:
    """Return the beginnings of the hours of a day in UTC: 24 of them, one less or more where the clocks change."""
    begins_at, ends_at = start_of_day(on, zone), start_of_day(on + timedelta(days=1), zone)
    return [begins_at + number * HOUR for number in range(-(-(ends_at - begins_at) // HOUR))]


def _since_warm(begins_at: datetime, zone: tzinfo) -> tuple[int, date]:
    """Return the minutes since the room warmed, as clocks show them, and the day on which it did."""
    local = begins_at.astimezone(zone)
    minutes = local.hour * 60 + local.minute - WARMS_AT_H * 60
    return minutes % DAY_MIN, local.date() - timedelta(days=1 if minutes < 0 else 0)


def _warm_share(since_warm: int, warm_h: float) -> Decimal:
    """Return the share of an hour in which the room is as warm as by day."""
    warm_min = min(max(Decimal(str(warm_h)), Decimal(0)), Decimal(24)) * 60
    return min(max(warm_min - since_warm, Decimal(0)), Decimal(60)) / 60


def _tenth(temperature_c: Decimal) -> Decimal:
    return temperature_c.quantize(TENTH, rounding=ROUND_HALF_UP)
