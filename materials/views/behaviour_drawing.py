"""Times against temperature and thickness against slope, drawn with their range and the studio's own points."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from materials.science.behaviour import CurvePoint, HeldCurve, TimeCurve
from materials.science.kinetics import COLDEST_C
from studio.models import StudioProfile
from studio.web.drawing import Canvas
from studio.web.quantities import own_unit, show
from studio.web.unit_table import US

WIDTH, HEIGHT = 420.0, 300.0
LEFT, RIGHT, TOP, FLOOR = 62.0, 410.0, 16.0, 256.0
TICKS_MIN = (
    0.5, 1, 2, 5, 10, 15, 20, 30, 45, 60, 90, 120, 180, 240, 360, 480, 720, 960, 1440, 2160, 2880, 4320, 5760, 10080, 20160,
    43200, 86400,
)  # fmt: skip
LEAST_BETWEEN = 24.0
DAY_WIDTH, DAY_HEIGHT = 44.0, 13.0
WARMEST_OFTEN_C = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One own point on a drawing; one that does not count or lies far off is drawn open."""

    at: float
    value: float
    day: str
    good: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """Turns what is drawn into places on the sheet."""

    first: float
    last: float
    least: float
    most: float
    logarithmic: bool

    def x(self, at: float) -> float:
        return LEFT + (at - self.first) / (self.last - self.first) * (RIGHT - LEFT)

    def y(self, value: float) -> float:
        turn: Callable[[float], float] = math.log if self.logarithmic else float
        share = (turn(value) - turn(self.least)) / (turn(self.most) - turn(self.least))
        return FLOOR - share * (FLOOR - TOP)


def time_drawing(
    curve: TimeCurve, *, label: str, marks: Sequence[Mark], fitted: Sequence[tuple[float, float]], profile: StudioProfile
) -> SafeString:
    """Draw a time against temperature on a logarithmic scale; below the lowest curing temperature the sheet is hatched."""
    values = [curve.points[0].high, curve.points[-1].low, *(mark.value for mark in marks), *(value for _, value in fitted)]
    last = max(WARMEST_OFTEN_C, curve.points[-1].at, *(mark.at + 1 for mark in marks))
    scale = _Scale(first=COLDEST_C, last=last, least=min(values) / 1.2, most=max(values) * 1.2, logarithmic=True)
    canvas = Canvas(width=WIDTH, height=HEIGHT, title=f"{label} against temperature", description=_time_words(curve, profile))
    _temperatures(canvas, scale, profile)
    _times(canvas, scale, profile)
    _stalled(canvas, scale, curve.stall.value)
    _curve(canvas, scale, curve.points)
    for start, end in zip(fitted[:-1:2], fitted[1::2], strict=False):
        canvas.line((scale.x(start[0]), scale.y(start[1])), (scale.x(end[0]), scale.y(end[1])), width=1.6)
    _own(canvas, scale, marks, ring=(scale.x(curve.reference.value), scale.y(curve.stated.value)))
    return canvas.svg()


def held_drawing(curve: HeldCurve, *, marks: Sequence[Mark], profile: StudioProfile) -> SafeString:
    """Draw what a slope holds, from nearly level to upright."""
    shown = [point for point in curve.points if point.at >= 14]
    most = max(shown[0].high, *(mark.value for mark in marks), 0.0) if marks else shown[0].high
    scale = _Scale(first=10, last=92, least=0.0, most=most * 1.05, logarithmic=False)
    said = "; ".join(
        f"{figure.given[1].value:g}°: {show(figure.value, 'mm', profile, low=figure.low, high=figure.high, keep=True)}"
        for figure in curve.table
    )
    canvas = Canvas(width=WIDTH, height=HEIGHT, title="Thickness held against the slope of the wall", description=said)
    for slope in range(15, 91, 15):
        x = scale.x(slope)
        canvas.line((x, TOP), (x, FLOOR), pen="pale-stroke", width=0.5)
        canvas.text((x, FLOOR + 17), f"{slope}°", size=13, anchor="middle", pale=True)
    canvas.text((RIGHT, FLOOR + 36), "slope from level; 90° is upright", size=13, anchor="end", pale=True)
    _thicknesses(canvas, scale, profile)
    _curve(canvas, scale, shown)
    _own(canvas, scale, marks, ring=(scale.x(90), scale.y(curve.upright.value)))
    return canvas.svg()


def _time_words(curve: TimeCurve, profile: StudioProfile) -> str:
    lines = "; ".join(
        f"{show(temp, 'degC', profile)}: {show(figure.value, 'min', profile, low=figure.low, high=figure.high)}"
        for temp, figure in zip(curve.temperatures_c, curve.table, strict=True)
    )
    return f"{lines}. Below {show(curve.stall.value, 'degC', profile)} it may never cure, so no time is drawn."


def _stalled(canvas: Canvas, scale: _Scale, stall_c: float) -> None:
    """Hatch what lies below the lowest curing temperature, and name it where there is room."""
    if stall_c <= scale.first:
        return
    left, right, step = LEFT, scale.x(stall_c), 11.0
    canvas.box((left, TOP), (right - left, FLOOR - TOP), fill="tint-a")
    across, down = right - left, FLOOR - TOP
    at = step
    while at < across + down:
        start = (left + at, TOP) if at <= across else (right, TOP + at - across)
        end = (left, TOP + at) if at <= down else (left + at - down, FLOOR)
        canvas.line(start, end, pen="stop-stroke", width=0.7)
        at += step
    canvas.line((right, TOP), (right, FLOOR), pen="stop-stroke", width=1.6)
    words, wide = ("may never cure", 92.0) if across > 96 else ("stalls", 40.0)
    if across > 44:
        middle = (left + right) / 2
        canvas.box((middle - wide / 2, TOP + 96), (wide, 20), fill="paper-fill")
        canvas.text((middle, TOP + 111), words, size=13, anchor="middle", bold=True)


def _temperatures(canvas: Canvas, scale: _Scale, profile: StudioProfile) -> None:
    shown_f = profile.units == US
    ticks = [(mark - 32) / 1.8 for mark in range(50, 141, 10)] if shown_f else [float(mark) for mark in range(5, 61, 5)]
    for at in (tick for tick in ticks if scale.first <= tick <= scale.last):
        x = scale.x(at)
        canvas.line((x, TOP), (x, FLOOR), pen="pale-stroke", width=0.5)
        canvas.text((x, FLOOR + 17), show(at, "degC", profile).number, size=13, anchor="middle", pale=True)
    canvas.line((LEFT, FLOOR), (RIGHT, FLOOR), width=1.4)
    canvas.text((RIGHT, FLOOR + 36), f"temperature, {own_unit('degC', profile)}", size=13, anchor="end", pale=True)


def _times(canvas: Canvas, scale: _Scale, profile: StudioProfile) -> None:
    free = FLOOR + LEAST_BETWEEN
    for minutes in (tick for tick in TICKS_MIN if scale.least <= tick <= scale.most):
        y = scale.y(minutes)
        if free - y < LEAST_BETWEEN:
            continue
        free = y
        canvas.line((LEFT, y), (RIGHT, y), pen="pale-stroke", width=0.5)
        canvas.text((LEFT - 7, y + 5), show(minutes, "min", profile), size=13, anchor="end", pale=True)
    canvas.line((LEFT, TOP), (LEFT, FLOOR), width=1.4)


def _thicknesses(canvas: Canvas, scale: _Scale, profile: StudioProfile) -> None:
    steps = [25.4 / 16 * n for n in (1, 2, 4, 8, 16, 32)] if profile.units == US else [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
    step = next((one for one in steps if scale.y(0) - scale.y(one) >= LEAST_BETWEEN), steps[-1])
    for place in range(int(scale.most / step) + 1):
        y = scale.y(place * step)
        canvas.line((LEFT, y), (RIGHT, y), pen="pale-stroke", width=0.5)
        canvas.text((LEFT - 7, y + 5), show(place * step, "mm", profile, keep=True), size=13, anchor="end", pale=True)
    canvas.line((LEFT, TOP), (LEFT, FLOOR), width=1.4)
    canvas.line((LEFT, FLOOR), (RIGHT, FLOOR), width=1.4)


def _curve(canvas: Canvas, scale: _Scale, points: Sequence[CurvePoint]) -> None:
    if len(points) < 2:
        return
    upper = [(scale.x(point.at), scale.y(min(point.high, scale.most))) for point in points]
    lower = [(scale.x(point.at), scale.y(max(point.low, scale.least))) for point in points]
    canvas.shape([*upper, *reversed(lower)], fill="tint-b", pen="pale-stroke", width=0.6)
    middle = [(scale.x(point.at), scale.y(point.value)) for point in points]
    canvas.shape(middle, pen="stroke", width=2, closed=False, round_joins=True)


def _own(canvas: Canvas, scale: _Scale, marks: Sequence[Mark], *, ring: tuple[float, float]) -> None:
    """Draw the stated value as a ring and own points as diamonds, each with its day where that covers nothing."""
    canvas.ring(ring, 5, fill="paper-fill", width=2)
    taken = [(ring[0] - 7, ring[1] - 7, 14.0, 14.0)]
    taken += [(scale.x(mark.at) - 7, scale.y(mark.value) - 7, 14.0, 14.0) for mark in marks]
    for mark in marks:
        x, y = scale.x(mark.at), scale.y(mark.value)
        fill = "ink-fill" if mark.good else "paper-fill"
        canvas.shape([(x, y - 6), (x + 6, y), (x, y + 6), (x - 6, y)], fill=fill, pen="stroke", width=1.4)
        for box in ((x + 8, y - 6), (x - 8 - DAY_WIDTH, y - 6), (x - DAY_WIDTH / 2, y - 22), (x - DAY_WIDTH / 2, y + 9)):
            place = (*box, DAY_WIDTH, DAY_HEIGHT)
            inside = box[0] >= LEFT and box[0] + DAY_WIDTH <= WIDTH and box[1] >= 0 and box[1] + DAY_HEIGHT <= FLOOR
            if inside and not any(_meet(place, other) for other in taken):
                taken.append(place)
                canvas.text((box[0] + DAY_WIDTH / 2, box[1] + 11), mark.day, size=12, anchor="middle")
                break


def _meet(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return (
        one[0] < other[0] + other[2]
        and other[0] < one[0] + one[2]
        and one[1] < other[1] + other[3]
        and other[1] < one[1] + one[3]
    )
