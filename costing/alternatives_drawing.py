"""Hours against spend: every way of a job as a numbered mark, those that no other beats joined and named."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from django.utils.safestring import SafeString

from costing.placing import Placing, Spot
from costing.services.alternatives import WayRow, WaysTable
from studio.figures import Figure
from studio.models import StudioProfile
from studio.web.drawing import Canvas, Hatch
from studio.web.quantities import show
from studio.web.unit_table import US

WIDTH, HEIGHT = 480.0, 400.0
LEFT, RIGHT, TOP, FLOOR = 76.0, 10.0, 30.0, 346.0
MARK = 11.0
MOST_TICKS = 5
KILOGRAM_G, POUND_G = 1000.0, 453.59237
EQUAL, BEFORE, BEATEN = "14 4 2 4", "3 4", "1.5 4"


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


def ways_drawing(table: WaysTable, profile: StudioProfile, before: WaysTable | None = None) -> SafeString | str:
    """Draw hours across against spend up, or against fresh rubber where money may not be seen; nothing for one way alone.

    `before` is the same table at what counts now, where something else is tried: its line of equal cost stands beside the new.
    """
    rows = sorted(table.rows, key=lambda row: row.number)
    if len(rows) < 2:
        return ""
    upward = [row.material or row.rubber for row in rows]
    money = upward[0].unit == "money"
    across = _axis([row.hours.value for row in rows], LEFT + 18, WIDTH - RIGHT - 16)
    size = 1.0 if money else POUND_G if profile.units == US else KILOGRAM_G
    up = _axis([figure.value for figure in upward], FLOOR - 18, TOP + 16, size)
    title = f"Hours against {_upward_words(rows[0]).lower()}"
    canvas = Canvas(width=WIDTH, height=HEIGHT, title=title, description=_words(table, rows, upward, profile))
    spots = {
        row.number: (across.at(row.hours.value), up.at(figure.value)) for row, figure in zip(rows, upward, strict=True)
    }  # fmt: skip
    joined = [spots[number] for number in table.frontier.joined]
    _draw_beaten_ground(canvas, joined)
    _draw_frame(canvas, across, up, rows[0], profile)
    if before is not None and before.rate != table.rate:
        _draw_equal_cost(canvas, before, across, up, BEFORE, "pale-stroke")
    equal = _draw_equal_cost(canvas, table, across, up, EQUAL, "look-stroke")
    canvas.shape(joined, pen="stroke", width=2.2, closed=False, round_joins=True)
    _draw_marks(canvas, rows, spots, table, profile, equal)
    return canvas.svg()


def _upward_words(row: WayRow) -> str:
    """Say what is drawn upward."""
    if row.material is None:
        return "Fresh rubber"
    return "Spend on material with markup" if row.material.label != "Material" else "Spend on material"


def _axis(values: Sequence[float], start: float, end: float, size: float = 1.0) -> _Axis:
    low, high = min(values), max(values)
    # Ways that hardly differ stand close together: the axis never spans less than a tenth of what they take.
    spare = max(0.08 * (high - low), 0.05 * max(abs(high), 1e-6))
    return _Axis(low=max(low - spare, 0.0), high=high + spare, start=start, end=end, size=size)


def _step(rough: float) -> float:
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step for step in (power, 2 * power, 5 * power, 10 * power) if step >= rough * (1 - 1e-9))


def _draw_beaten_ground(canvas: Canvas, joined: Sequence[Spot]) -> None:
    """Hatch where a way would be beaten: as many hours and as much money as one that is there, or more."""
    edge = [(joined[0][0], TOP), joined[0]]
    for (_, y), (x, y2) in pairwise(joined):
        edge += [(x, y), (x, y2)]
    edge += [(WIDTH - RIGHT, joined[-1][1]), (WIDTH - RIGHT, TOP)]
    canvas.shape(edge, fill=canvas.paint(Hatch.PIECE))


def _draw_frame(canvas: Canvas, across: _Axis, up: _Axis, row: WayRow, profile: StudioProfile) -> None:
    unit = (row.material or row.rubber).unit
    canvas.line((LEFT, TOP), (LEFT, FLOOR), width=1.2)
    canvas.line((LEFT, FLOOR), (WIDTH - RIGHT, FLOOR), width=1.2)
    for value, step in across.ticks():
        x, words = across.at(value), show(value, "h", profile, keep=True, low=value - step / 2, high=value + step / 2)
        canvas.line((x, FLOOR), (x, FLOOR + 5))
        canvas.text((x, FLOOR + 20), words, size=13, anchor="middle", pale=True)
    for value, step in up.ticks():
        y, words = up.at(value), show(value, unit, profile, low=value - step / 2, high=value + step / 2)
        canvas.line((LEFT - 5, y), (LEFT, y))
        canvas.text((LEFT - 8, y + 4.5), words, size=13, anchor="end", pale=True)
    canvas.text((WIDTH - RIGHT, FLOOR + 42), "Hands-on hours", anchor="end")
    canvas.text((4, TOP - 14), _upward_words(row), anchor="start")


def _draw_equal_cost(
    canvas: Canvas, table: WaysTable, across: _Axis, up: _Axis, dashes: str, pen: str
) -> tuple[Spot, Spot] | None:  # fmt: skip
    """Draw where everything costs as much as the cheapest way: nothing lies below it."""
    cheapest, rate = table.cheapest, table.rate
    if cheapest is None or cheapest.material is None or rate is None:
        return None
    spend, hours = cheapest.material.value, cheapest.hours.value
    ends = [(at, spend - rate.value * (at - hours)) for at in (across.low, across.high)]
    clipped = _clipped(ends[0], ends[1], up.low, up.high)
    if clipped is None:
        return None
    start, end = ((across.at(at), up.at(value)) for at, value in clipped)
    canvas.line(start, end, pen=pen, width=1.8 if dashes == EQUAL else 1.2, dashes=dashes)
    return start, end


def _clipped(start: Spot, end: Spot, low: float, high: float) -> tuple[Spot, Spot] | None:
    """Cut a line that falls or is level to a band of heights."""
    (x0, y0), (x1, y1) = start, end
    if y1 > high or y0 < low:
        return None

    def at(height: float) -> Spot:
        return (x0 + (y0 - height) / (y0 - y1) * (x1 - x0), height)

    return (at(high) if y0 > high else start, at(low) if y1 < low else end)


def _draw_marks(
    canvas: Canvas, rows: Sequence[WayRow], spots: dict[int, Spot], table: WaysTable, profile: StudioProfile,
    equal: tuple[Spot, Spot] | None,
) -> None:  # fmt: skip
    """Draw the number of each way where it lies, or clear of the others with a line to its dot, and what it is called by."""
    placing = Placing(left=LEFT, right=WIDTH - RIGHT, top=TOP, floor=FLOOR, mark=MARK)
    # Those that no other beats come first, so that they lie nearest to where they belong.
    ordered = sorted(rows, key=lambda row: (not row.joined, row.number))
    places = {row.number: placing.mark_for(spots[row.number]) for row in ordered}
    placing.avoid([spots[number] for number in table.frontier.joined])
    if equal is not None:
        placing.avoid(equal)
    for row in ordered:
        better = row.beaten_by
        if better is not None:
            canvas.line(spots[row.number], spots[better.number], pen="pale-stroke", width=1, dashes=BEATEN)
    if equal is not None and table.rate is not None:
        words = f"equal cost at {show(table.rate.value, 'money/h', profile)}"
        any(_label(canvas, placing, _along(equal, share), (words,), needed=False) for share in (0.72, 0.5, 0.9, 0.25, 0.05))
    for row in ordered:
        if row.joined:
            _label(canvas, placing, places[row.number], _called(row, table.joined()), needed=True)
    for row in ordered:
        if row.beaten_by is not None:
            _label(canvas, placing, places[row.number], (f"beaten by {row.beaten_by.number}",), needed=False)
    for row in reversed(ordered):
        spot, place, pen = spots[row.number], places[row.number], "stroke" if row.joined else "pale-stroke"
        if place != spot:
            canvas.line(spot, place, pen="pale-stroke", width=1)
            canvas.ring(spot, 2.5, fill="ink-fill", pen=pen)
        if row.cheapest:
            canvas.box(
                (place[0] - MARK - 4, place[1] - MARK - 4),
                (2 * MARK + 8, 2 * MARK + 8),
                fill="paper-fill",
                pen="stroke",
                width=1.6,
            )
        canvas.ring(place, MARK, fill="paper-fill", pen=pen, width=2.4 if row.joined else 1)
        if row.used:
            canvas.ring(place, MARK + 4, pen=pen, width=1.2)
        canvas.text((place[0], place[1] + 4.5), row.number, size=13, anchor="middle", bold=row.joined, pale=not row.joined)


def _called(row: WayRow, joined: Sequence[WayRow]) -> tuple[str, ...]:
    """Return at most two lines: what a way is best at, and what sets it apart from the others that none beats."""
    if not row.names:
        return ("the plan in use",) if row.used else (row.label,)
    others = {name for other in joined if other is not row for name in other.names}
    own = next((name for name in row.names[1:] if name not in others), None)
    return (row.names[0], own) if own else row.names[:2]


def _along(ends: tuple[Spot, Spot], share: float) -> Spot:
    (x0, y0), (x1, y1) = ends
    return (x0 + share * (x1 - x0), y0 + share * (y1 - y0))


def _label(canvas: Canvas, placing: Placing, at: Spot, lines: Sequence[str], *, needed: bool) -> bool:
    found = placing.label_for(at, lines, needed=needed)
    if found is None:
        return False
    corner, size = found
    canvas.box(corner, size, fill="paper-fill")
    for number, line in enumerate(lines):
        canvas.text((corner[0] + 3, corner[1] + 12 + 14 * number), line, size=13, pale=not needed or number > 0)
    return True


def _words(table: WaysTable, rows: Sequence[WayRow], upward: Sequence[Figure], profile: StudioProfile) -> str:
    told = "; ".join(
        f"{row.number} {row.label}: {show(row.hours.value, 'h', profile, keep=True)}, "
        f"{show(figure.value, figure.unit, profile)}{_said(row)}"
        for row, figure in zip(rows, upward, strict=True)
    )
    joined = ", ".join(map(str, table.frontier.joined))
    equal = f" Chain line: equal cost at {show(table.rate.value, 'money/h', profile)}." if table.rate else ""
    return f"Hours grow to the right. {told}. Joined by a line: {joined}.{equal}"


def _said(row: WayRow) -> str:
    if row.beaten_by is not None:
        return f", beaten by {row.beaten_by.number}"
    if row.same_as is not None:
        return f", the same as {row.same_as.number}"
    return f" ({', '.join(row.names)})" if row.names else ""
