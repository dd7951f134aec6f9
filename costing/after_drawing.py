"""Plan against fact as bars to both sides of a line: less than planned to the left, more to the right."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from costing.engine.variances import Split
from costing.services.after import Comparison
from studio.figures import Figure
from studio.models import StudioProfile
from studio.web.drawing.canvas import Canvas
from studio.web.drawing.hatching import Hatch
from studio.web.quantities import show

WIDTH, TOP, ROW, BAR = 460.0, 34.0, 44.0, 12.0
MIDDLE, REACH = 230.0, 140.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A difference; the part of the price is hatched."""

    figure: Figure
    hatched: bool = False


def hours_drawing(found: Comparison, profile: StudioProfile) -> SafeString | str:
    """Draw the hours of each stage against the plan."""
    rows = [(pair.label, [Bar(figure=pair.difference)]) for pair in found.stages if pair.difference is not None]
    return _drawn(rows, "Hours, less and more than planned", profile)


def money_drawing(found: Comparison, profile: StudioProfile) -> SafeString | str:
    """Draw what each cost differs by: above by quantity, below by price or rate."""
    return _drawn([(label, _bars(one)) for label, one in found.splits], "Money, less and more than planned", profile)


def _bars(one: Split) -> list[Bar]:
    return [Bar(figure=one.quantity.figure), Bar(figure=one.price.figure, hatched=True)]


def _drawn(rows: Sequence[tuple[str, Sequence[Bar]]], title: str, profile: StudioProfile) -> SafeString | str:
    longest = max((abs(bar.figure.value) for _, bars in rows for bar in bars), default=0.0)
    if longest <= 0:
        return ""
    words = "; ".join(f"{bar.figure.label} {_said(bar.figure, profile)}" for _, bars in rows for bar in bars)
    deep = sum(_height(bars) for _, bars in rows)
    canvas = Canvas(width=WIDTH, height=TOP + deep + 4, title=title, description=words)
    canvas.text((MIDDLE - 8, 14), "less", anchor="end", pale=True)
    canvas.text((MIDDLE + 8, 14), "more than planned", pale=True)
    top = TOP
    for label, bars in rows:
        canvas.text((0, top), label if len(label) <= 48 else label[:47] + "…", bold=True)
        for number, bar in enumerate(bars):
            _bar(canvas, bar, top + 7 + number * (BAR + 4), REACH / longest, profile)
        # Long names run across the middle, so the line stands beside the bars alone.
        canvas.line((MIDDLE, top + 4), (MIDDLE, top + 10 + len(bars) * (BAR + 4)), width=1.6)
        top += _height(bars)
    return canvas.svg()


def _bar(canvas: Canvas, bar: Bar, y: float, scale: float, profile: StudioProfile) -> None:
    value = bar.figure.value
    length = abs(value) * scale
    left = MIDDLE - length if value < 0 else MIDDLE
    if length > 0:
        canvas.box((left, y), (length, BAR), fill=canvas.paint(Hatch.PLASTER) if bar.hatched else "tint-b", pen="stroke")
    at = (MIDDLE - length - 6, "end") if value < 0 else (MIDDLE + length + 6, "start")
    canvas.text((at[0], y + BAR - 1.5), _said(bar.figure, profile), size=13, anchor=at[1], pale=True)


def _height(bars: Sequence[Bar]) -> float:
    return ROW + (len(bars) - 1) * (BAR + 4)


def _said(figure: Figure, profile: StudioProfile) -> str:
    said = str(show(figure.value, figure.unit, profile))
    return f"+{said}" if figure.value > 0 else said
