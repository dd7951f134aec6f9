"""Drawings of a run: cost and price of each casting from one to many, and what more or fewer molds are expected to cost."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from costing.engine.runs.choice import Choice
from costing.engine.runs.curve import Point
from studio.models import StudioProfile
from studio.web.drawing import Canvas
from studio.web.drawing.hatching import Hatch
from studio.web.quantities import show

WIDTH, HEIGHT = 460.0, 340.0
LEFT, RIGHT, TOP, FLOOR = 82.0, 30.0, 34.0, 286.0
MOST_TICKS = 7
_BARS_HIGH, _BARS_FLOOR = 250.0, 190.0
Spot = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the curve: its letter, what it is, the value of a point, and how it is drawn."""

    letter: str
    label: str
    value: Callable[[Point], float]
    width: float
    dashes: str = ""


LINES = (
    Line(letter="A", label="price of each with its share of the molds", value=lambda point: point.price_with.value, width=2.6),
    Line(letter="B", label="cost of each with its share", value=lambda point: point.cost_with.value, width=1.4, dashes="9 4"),
    Line(letter="C", label="price of each without molds", value=lambda point: point.run.each.price.value, width=1.3),
    Line(letter="D", label="cost of each without", value=lambda point: point.run.each.cost.value, width=1.4, dashes="2 4"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _LogAxis:
    """A range of values above nought laid over a length of the sheet, each doubling as long as the one before."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + math.log(value / self.low) / math.log(self.high / self.low) * (self.end - self.start)

    def ticks(self, *choices: tuple[float, ...]) -> Iterator[float]:
        """Go through round values within the range, by the first of the choices of steps that makes not too many."""
        first, last = math.floor(math.log10(self.low)), math.ceil(math.log10(self.high))
        for steps in (*choices, (1, 2, 5), (1, 3), (1,)):
            found = [step * 10.0**power for power in range(first, last + 1) for step in steps]
            inside = [value for value in found if self.low * 0.999 <= value <= self.high * 1.001]
            if len(inside) <= MOST_TICKS:
                break
        yield from inside


def run_drawing(curve: Sequence[Point], count: int, profile: StudioProfile) -> SafeString | str:
    """Draw what each casting costs and sells for from one to many; nothing where nothing costs anything."""
    lines = [(line, [line.value(point) for point in curve]) for line in LINES]
    values = [value for _, found in lines for value in found]
    if len(curve) < 2 or min(values, default=0.0) <= 0:
        return ""
    across = _LogAxis(low=1.0, high=float(curve[-1].quantity), start=LEFT, end=WIDTH - RIGHT)
    spare = 1.12
    up = _LogAxis(low=min(values) / spare, high=max(values) * spare, start=FLOOR, end=TOP)
    canvas = Canvas(width=WIDTH, height=HEIGHT, title="What each casting costs and sells for", description=_words(curve, profile))
    _draw_frame(canvas, across, up, profile)
    x = across.at(count)
    canvas.line((x, TOP), (x, FLOOR), pen="look-stroke", width=1.2, dashes="5 4")
    canvas.text((x, TOP - 6), f"this run, {count}", size=13, anchor="end" if x > WIDTH / 2 else "start")
    for line, found in lines:
        spots = [(across.at(point.quantity), up.at(value)) for point, value in zip(curve, found, strict=True)]
        canvas.shape(spots, pen="stroke", width=line.width, closed=False, round_joins=True, dashes=line.dashes)
    _draw_letters(canvas, [(line.letter, up.at(found[-1])) for line, found in lines])
    return canvas.svg()


def _draw_frame(canvas: Canvas, across: _LogAxis, up: _LogAxis, profile: StudioProfile) -> None:
    canvas.line((LEFT, TOP), (LEFT, FLOOR), width=1.2)
    canvas.line((LEFT, FLOOR), (WIDTH - RIGHT, FLOOR), width=1.2)
    for value in across.ticks():
        x = across.at(value)
        canvas.line((x, FLOOR), (x, FLOOR + 5))
        canvas.text((x, FLOOR + 20), show(value, "1", profile), size=13, anchor="middle", pale=True)
    for value in up.ticks((1, 1.5, 2, 3, 5, 7)):
        y, rough = up.at(value), 10 if value >= 10 else 0
        canvas.line((LEFT - 5, y), (LEFT, y))
        canvas.line((LEFT, y), (WIDTH - RIGHT, y), pen="pale-stroke", width=0.4)
        words = show(value, "money", profile, low=value - rough, high=value + rough)
        canvas.text((LEFT - 8, y + 4.5), words, size=13, anchor="end", pale=True)
    canvas.text((WIDTH - RIGHT, FLOOR + 42), "Castings in the run, doubling by even steps", anchor="end")
    canvas.text((4, TOP - 20), "Each casting", anchor="start")


def _draw_letters(canvas: Canvas, ends: Sequence[tuple[str, float]]) -> None:
    """Write the letter of each line at its right end, clear of the others."""
    last = -math.inf
    for letter, y in sorted(ends, key=lambda end: end[1]):
        last = max(y, last + 15)
        canvas.text((WIDTH - RIGHT + 8, last + 4.5), letter, bold=True)


def _words(curve: Sequence[Point], profile: StudioProfile) -> str:
    told = [curve[0], curve[len(curve) // 2], curve[-1]]
    said = "; ".join(
        f"{'1 casting' if point.quantity == 1 else f'{point.quantity} castings'}: "
        + ", ".join(f"{line.letter} {show(line.value(point), 'money', profile)}" for line in LINES)
        for point in told
    )
    return f"{'; '.join(f'{line.letter} is the {line.label}' for line in LINES)}. {said}."


def choice_drawing(choice: Choice, now: float, profile: StudioProfile, *, decided: int | None) -> SafeString | str:
    """Draw the expected cost of each number of further molds as a bar: what they cost, and under hatching what a stop costs."""
    most = max(row.cost.value for row in choice.rows)
    if most <= 0:
        return ""
    told = "; ".join(f"{row.further} further: {show(row.cost.value, 'money', profile)}" for row in choice.rows)
    canvas = Canvas(
        width=WIDTH, height=_BARS_HIGH, title="Expected cost by the number of further molds",
        description=f"{told}. The least is at {choice.best.further}.",
    )  # fmt: skip
    step = (WIDTH - 20) / len(choice.rows)
    for place, row in enumerate(choice.rows):
        left, wide = 10 + step * place + 0.16 * step, 0.68 * step
        solid, whole = (_BARS_FLOOR - 30) * row.further * now / most, (_BARS_FLOOR - 30) * row.cost.value / most
        canvas.box((left, _BARS_FLOOR - solid), (wide, solid), fill="tint-b", pen="stroke")
        canvas.box((left, _BARS_FLOOR - whole), (wide, whole - solid), fill=canvas.paint(Hatch.CURE), pen="stroke")
        middle, best = left + wide / 2, row is choice.best
        words = show(row.cost.value, "money", profile, low=row.cost.value - 10, high=row.cost.value + 10)
        canvas.text((middle, _BARS_FLOOR - whole - 7), words, size=12 if step > 64 else 10, anchor="middle", bold=best)
        canvas.text((middle, _BARS_FLOOR + 18), row.further, anchor="middle", bold=best)
        marks = [word for word, holds in (("least", best), ("priced", row.further == decided)) if holds]
        for line, word in enumerate(marks):
            canvas.text((middle, _BARS_FLOOR + 33 + 13 * line), word, size=12, anchor="middle")
    canvas.line((10, _BARS_FLOOR), (WIDTH - 10, _BARS_FLOOR), width=1.2)
    return canvas.svg()
