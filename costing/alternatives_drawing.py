"""Hours against spend: every way of a job as a numbered mark, the plan in use in ink."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from costing.services.alternatives import WayRow, WaysTable
from studio.figures import Figure
from studio.models import StudioProfile
from studio.web.drawing import Canvas
from studio.web.quantities import show
from studio.web.unit_table import US

WIDTH, HEIGHT = 460.0, 340.0
LEFT, RIGHT, TOP, FLOOR = 78.0, 12.0, 30.0, 286.0
MARK = 11.0
MOST_TICKS = 5
KILOGRAM_G, POUND_G = 1000.0, 453.59237
Spot = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axis:
    """A range of values laid over a length of the sheet; `size` is how much of them the unit of its numbers holds."""

    low: float
    high: float
    start: float
    end: float
    size: float = 1.0

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self) -> Iterator[tuple[float, float]]:
        """Go through round values, each with the step between them."""
        step = _step((self.high - self.low) / self.size / MOST_TICKS) * self.size
        for number in range(math.ceil(self.low / step - 1e-9), math.floor(self.high / step + 1e-9) + 1):
            yield number * step, step


def ways_drawing(table: WaysTable, profile: StudioProfile) -> SafeString | str:
    """Draw hours across against spend up, or against fresh rubber where money may not be seen; nothing for one way alone."""
    rows = table.rows
    if len(rows) < 2:
        return ""
    upward = [_up(row) for row in rows]
    money = upward[0].unit == "money"
    across = _axis([row.hours.value for row in rows], LEFT + 18, WIDTH - RIGHT - 14)
    size = 1.0 if money else POUND_G if profile.units == US else KILOGRAM_G
    up = _axis([figure.value for figure in upward], FLOOR - 16, TOP + 14, size)
    title = "Hours against spend on material" if money else "Hours against fresh rubber"
    canvas = Canvas(width=WIDTH, height=HEIGHT, title=title, description=_words(rows, upward, profile))
    _draw_frame(canvas, across, up, upward[0].unit, profile)
    if money and table.rate is not None and table.used is not None:
        _draw_equal_cost(canvas, table.used, table.rate.value, across, up)
    _draw_marks(
        canvas, rows, [(across.at(row.hours.value), up.at(figure.value)) for row, figure in zip(rows, upward, strict=True)]
    )
    return canvas.svg()


def _up(row: WayRow) -> Figure:
    return row.rubber if row.material is None else row.material


def _axis(values: Sequence[float], start: float, end: float, size: float = 1.0) -> _Axis:
    low, high = min(values), max(values)
    # Ways that hardly differ stand close together: the axis never spans less than a tenth of what they take.
    spare = max(0.1 * (high - low), 0.05 * max(abs(high), 1e-6))
    return _Axis(low=max(low - spare, 0.0), high=high + spare, start=start, end=end, size=size)


def _step(rough: float) -> float:
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step for step in (power, 2 * power, 5 * power, 10 * power) if step >= rough * (1 - 1e-9))


def _draw_frame(canvas: Canvas, across: _Axis, up: _Axis, unit: str, profile: StudioProfile) -> None:
    canvas.line((LEFT, TOP), (LEFT, FLOOR), width=1.2)
    canvas.line((LEFT, FLOOR), (WIDTH - RIGHT, FLOOR), width=1.2)
    for value, step in across.ticks():
        x, words = across.at(value), show(value, "h", profile, keep=True, low=value - step / 2, high=value + step / 2)
        canvas.line((x, FLOOR), (x, FLOOR + 5))
        canvas.text((x, FLOOR + 20), words, size=13, anchor="middle", pale=True)
    for value, step in up.ticks():
        y, words = up.at(value), show(value, unit, profile, low=value - step / 2, high=value + step / 2)
        canvas.line((LEFT - 5, y), (LEFT, y))
        canvas.line((LEFT, y), (WIDTH - RIGHT, y), pen="pale-stroke", width=0.4)
        canvas.text((LEFT - 8, y + 4.5), words, size=13, anchor="end", pale=True)
    canvas.text((WIDTH - RIGHT, FLOOR + 42), "Hands-on hours", anchor="end")
    canvas.text((4, TOP - 14), "Material" if unit == "money" else "Fresh rubber", anchor="start")


def _draw_equal_cost(canvas: Canvas, used: WayRow, rate: float, across: _Axis, up: _Axis) -> None:
    """Draw where a way costs as much as the plan in use: below the line it costs less."""
    if used.material is None or rate <= 0:
        return
    ends = []
    for hours in (across.low, across.high):
        ends.append((hours, used.material.value - rate * (hours - used.hours.value)))
    clipped = _clipped(ends[0], ends[1], up.low, up.high)
    if clipped is None:
        return
    start, end = ((across.at(hours), up.at(spend)) for hours, spend in clipped)
    canvas.line(start, end, pen="look-stroke", width=1.4, dashes="6 4")


def _clipped(start: Spot, end: Spot, low: float, high: float) -> tuple[Spot, Spot] | None:
    """Cut a falling line to a band of heights."""
    (x0, y0), (x1, y1) = start, end
    if y0 <= y1 or y1 > high or y0 < low:
        return None

    def at(height: float) -> Spot:
        return (x0 + (y0 - height) / (y0 - y1) * (x1 - x0), height)

    return (at(high) if y0 > high else start, at(low) if y1 < low else end)


def _draw_marks(canvas: Canvas, rows: Sequence[WayRow], spots: Sequence[Spot]) -> None:
    """Draw the number of each way where it lies, or clear of the others with a line to its dot."""
    places: list[Spot] = []
    for spot in spots:
        places.append(_clear(spot, places))
        if places[-1] != spot:
            canvas.line(spot, places[-1], pen="pale-stroke", width=1)
            canvas.ring(spot, 2.5, fill="ink-fill")
    for row, place in zip(rows, places, strict=True):
        canvas.ring(place, MARK, fill="paper-fill", width=2.6 if row.used else 1.2)
        if row.used:
            canvas.ring(place, MARK + 4, width=1.2)
        canvas.text((place[0], place[1] + 4.5), row.number, size=13, anchor="middle", bold=row.used)


def _clear(spot: Spot, taken: Sequence[Spot]) -> Spot:
    """Return the spot, or the nearest place round it where a mark covers no other."""
    for reach in range(12):
        for turn in range(1 if reach == 0 else 12):
            angle = math.radians(30 * turn - 90)
            place = (spot[0] + reach * MARK * math.cos(angle), spot[1] + reach * MARK * math.sin(angle))
            inside = LEFT + MARK < place[0] < WIDTH - MARK and TOP - MARK < place[1] < FLOOR - MARK
            if (reach == 0 or inside) and all(math.dist(place, other) >= 2.5 * MARK for other in taken):
                return place
    return spot


def _words(rows: Sequence[WayRow], upward: Sequence[Figure], profile: StudioProfile) -> str:
    told = "; ".join(
        f"{row.number} {row.label}: {show(row.hours.value, 'h', profile, keep=True)}, {show(figure.value, figure.unit, profile)}"
        for row, figure in zip(rows, upward, strict=True)
    )
    return f"Hours grow to the right. {told}."
