"""The room's temperature over the days ahead: a curve by the hour, with what is usual and where it is colder than that."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone
from django.utils.safestring import SafeString

from studio.models import StudioProfile
from studio.room_course import HOUR, hours_of
from studio.web.drawing import Canvas
from studio.web.formats import day_text, locale_code
from studio.web.quantities import own_unit, show
from studio.web.unit_table import US
from studio.workrates import WORK_RATES

WIDTH, HEIGHT = 420.0, 280.0
LEFT, RIGHT, TOP, FLOOR = 40.0, 414.0, 22.0, 216.0
# The range of a heated workshop, as the table of work rates has it.
HEATED = WORK_RATES["use_temp_c"]
LEAST_BETWEEN = 16.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLine:
    """One day in the table beside the drawing; no temperatures where none are known."""

    on: date
    coldest_c: Decimal | None
    warmest_c: Decimal | None
    hours_below: int


def room_lines(hours: Mapping[datetime, Decimal], days: Sequence[date], usual_c: Decimal) -> list[RoomLine]:
    """Return what the drawing shows, day by day."""
    zone = timezone.get_current_timezone()
    lines = []
    for on in days:
        known = [hours[begins_at] for begins_at in hours_of(on, zone) if begins_at in hours]
        lines.append(
            RoomLine(
                on=on,
                coldest_c=min(known, default=None),
                warmest_c=max(known, default=None),
                hours_below=sum(temperature_c < usual_c for temperature_c in known),
            )
        )
    return lines


def room_drawing(
    hours: Mapping[datetime, Decimal], lines: Sequence[RoomLine], *, now: datetime, profile: StudioProfile
) -> SafeString:
    """Draw the days ahead; hours that are not known are left out of the curve."""
    zone, usual = timezone.get_current_timezone(), float(profile.workshop_temp_c)
    days = [line.on for line in lines]
    slots = [begins_at for on in days for begins_at in hours_of(on, zone)]
    values = [float(hours[begins_at]) for begins_at in slots if begins_at in hours]
    least, most = min([*values, usual, HEATED.low]) - 2, max([*values, usual, HEATED.high]) + 2
    canvas = Canvas(width=WIDTH, height=HEIGHT, title="Room temperature by the hour", description=_words(lines, profile))
    begins_at, ends_at = slots[0], slots[-1] + HOUR

    def x(moment: datetime) -> float:
        return LEFT + (moment - begins_at) / (ends_at - begins_at) * (RIGHT - LEFT)

    def y(temperature_c: float) -> float:
        return FLOOR - (temperature_c - least) / (most - least) * (FLOOR - TOP)

    canvas.box((LEFT, y(HEATED.high)), (RIGHT - LEFT, y(HEATED.low) - y(HEATED.high)), fill="tint-b")
    for stretch in _stretches(slots, hours):
        _below(canvas, [(x(at), x(at + HOUR), y(float(hours[at]))) for at in stretch], y(usual))
    _degrees(canvas, least, most, y, profile)
    _days(canvas, days, [x(hours_of(on, zone)[0]) for on in days], profile)
    canvas.line((LEFT, y(usual)), (RIGHT, y(usual)), width=1.2, dashes="10 4")
    for stretch in _stretches(slots, hours):
        points = [point for at in stretch for point in ((x(at), y(float(hours[at]))), (x(at + HOUR), y(float(hours[at]))))]
        canvas.shape(points, pen="stroke", width=2, closed=False, round_joins=True)
    if begins_at <= now < ends_at:
        canvas.line((x(now), TOP - 6), (x(now), FLOOR), pen="look-stroke", width=1.6)
        canvas.text((x(now) + 3, TOP - 8), "now", size=12, bold=True)
    return canvas.svg()


def _stretches(slots: Sequence[datetime], hours: Mapping[datetime, Decimal]) -> list[list[datetime]]:
    """Return runs of hours that are known, without a gap in any."""
    runs: list[list[datetime]] = []
    for begins_at in (slot for slot in slots if slot in hours):
        if runs and begins_at - runs[-1][-1] == HOUR:
            runs[-1].append(begins_at)
        else:
            runs.append([begins_at])
    return runs


def _below(canvas: Canvas, bars: Sequence[tuple[float, float, float]], usual_y: float) -> None:
    """Hatch upright what lies between the curve and the usual temperature where it is colder than that."""
    step = 4.0
    for left, right, low in bars:
        if low <= usual_y + 0.5:
            continue
        at = -(-left // step) * step
        while at < right:
            canvas.line((at, usual_y), (at, low), pen="stop-stroke", width=0.8)
            at += step


def _degrees(canvas: Canvas, least: float, most: float, y: object, profile: StudioProfile) -> None:
    assert callable(y)
    shown_f = profile.units == US
    ticks = [(mark - 32) / 1.8 for mark in range(-20, 141, 5)] if shown_f else [float(mark) for mark in range(-30, 61, 2)]
    free = FLOOR + LEAST_BETWEEN
    for at in (tick for tick in ticks if least <= tick <= most):
        if free - y(at) < LEAST_BETWEEN:
            continue
        free = y(at)
        canvas.line((LEFT, y(at)), (RIGHT, y(at)), pen="pale-stroke", width=0.4)
        canvas.text((LEFT - 6, y(at) + 4), show(at, "degC", profile).number, size=13, anchor="end", pale=True)
    canvas.line((LEFT, TOP), (LEFT, FLOOR), width=1.4)
    canvas.line((LEFT, FLOOR), (RIGHT, FLOOR), width=1.4)
    canvas.text((LEFT - 6, TOP - 8), own_unit("degC", profile), size=13, anchor="end", pale=True)


def _days(canvas: Canvas, days: Sequence[date], starts: Sequence[float], profile: StudioProfile) -> None:
    """Write the first letters of the weekdays and the days of the month under the curve, Mondays in full."""
    for on, start, end in zip(days, starts, [*starts[1:], RIGHT], strict=True):
        canvas.line((start, TOP), (start, FLOOR + 5), pen="pale-stroke", width=0.8 if on.weekday() == 0 else 0.4)
        middle = (start + end) / 2
        letters = day_text(on, on, locale_code(profile))
        canvas.text((middle, FLOOR + 17), letters[:1], size=13, anchor="middle", bold=on.weekday() == 0)
        canvas.text((middle, FLOOR + 33), on.day, size=13, anchor="middle", pale=True)
    canvas.text((RIGHT, FLOOR + 54), "hatched: colder than usual; tinted: a heated workshop", size=13, anchor="end", pale=True)


def _words(lines: Sequence[RoomLine], profile: StudioProfile) -> str:
    known = [line for line in lines if line.coldest_c is not None]
    if not known:
        return "No temperature is known in these days."
    said = "; ".join(
        f"{day_text(line.on, line.on, locale_code(profile))}: {show(line.coldest_c, 'degC', profile)} to "
        f"{show(line.warmest_c, 'degC', profile)}"
        for line in known
    )
    return f"{said}. Usual: {show(profile.workshop_temp_c, 'degC', profile)}."


def days_from(first_on: date, number: int) -> list[date]:
    """Return so many days in a row."""
    return [first_on + timedelta(days=turn) for turn in range(number)]
