"""A strip of time: work in solid, curing hatched, and the last moment for the next coat."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas
from studio.web.drawing.hatching import Hatch
from studio.web.quantities import show

if TYPE_CHECKING:
    from studio.models import StudioProfile

WIDTH = 640.0
LABEL = 150.0
ROW = 30.0
HOUR_STEPS = (0.25, 0.5, 1, 2, 3, 4, 6, 8, 12, 24, 48, 72, 96, 168)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One coat or task: when it starts, how long hands are on it, how long it waits; all in minutes from the start.

    `latest_min` is the last moment, counted from the end of the hands-on time, at which the next coat still bonds.
    """

    label: str
    start_min: float
    hands_min: float
    wait_min: float = 0.0
    latest_min: float | None = None


def cure_strip(rows: Sequence[Stretch], *, title: str, profile: "StudioProfile | None" = None) -> SafeString:
    """Draw one line for each stretch under a scale of hours."""
    profile = profile or current_profile()
    last = max((_end(row) for row in rows), default=60.0) or 60.0
    scale = (WIDTH - LABEL - 16) / last
    canvas = Canvas(width=WIDTH, height=34 + ROW * len(rows) + 30, title=title, description=_words(rows, profile))
    _draw_hours(canvas, last=last, scale=scale, floor=34 + ROW * len(rows))
    for number, row in enumerate(rows):
        _draw_row(canvas, row, top=34 + ROW * number, scale=scale)
    _draw_key(canvas, 34 + ROW * len(rows) + 20, latest=any(row.latest_min is not None for row in rows))
    return canvas.svg()


def _end(row: Stretch) -> float:
    return row.start_min + row.hands_min + max(row.wait_min, row.latest_min or 0.0)


def _draw_hours(canvas: Canvas, *, last: float, scale: float, floor: float) -> None:
    step = next((hours for hours in HOUR_STEPS if hours * 60 * scale >= 54), HOUR_STEPS[-1])
    ticks = int(last / (step * 60)) + 1
    for tick in range(min(ticks, 60)):
        x = LABEL + tick * step * 60 * scale
        canvas.line((x, 26), (x, floor), pen="pale-stroke", width=0.5)
        canvas.text((x, 18), f"{tick * step:g} h", size=13, anchor="middle" if tick else "start", pale=True)


def _draw_row(canvas: Canvas, row: Stretch, *, top: float, scale: float) -> None:
    x, hands = LABEL + row.start_min * scale, max(row.hands_min * scale, 2.0)
    canvas.text((0, top + 18), _fitting(row.label))
    canvas.line((0, top + ROW), (WIDTH, top + ROW), pen="pale-stroke", width=0.4)
    if row.wait_min > 0:
        canvas.box((x + hands, top + 8), (row.wait_min * scale, 14), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.8)
    canvas.box((x, top + 5), (hands, 20), fill="ink-fill")
    if row.latest_min is not None:
        late = x + hands + row.latest_min * scale
        canvas.line((x + hands + row.wait_min * scale, top + 15), (late, top + 15), pen="pale-stroke", dashes="3 3")
        canvas.line((late, top + 4), (late, top + 26), pen="stop-stroke", width=2)
        canvas.shape([(late, top + 4), (late - 6, top + 4), (late, top + 12)], fill="stop-fill")


def _draw_key(canvas: Canvas, y: float, *, latest: bool) -> None:
    canvas.box((LABEL, y - 10), (16, 12), fill="ink-fill")
    canvas.text((LABEL + 22, y), "hands on", size=13, pale=True)
    canvas.box((LABEL + 92, y - 10), (22, 12), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.8)
    canvas.text((LABEL + 120, y), "curing", size=13, pale=True)
    if latest:
        canvas.line((LABEL + 184, y - 11), (LABEL + 184, y + 3), pen="stop-stroke", width=2)
        canvas.text((LABEL + 192, y), "latest for the next coat", size=13, pale=True)


def _fitting(label: str) -> str:
    return label if len(label) <= 22 else label[:21] + "…"


def _words(rows: Sequence[Stretch], profile: "StudioProfile") -> str:
    said = [
        f"{row.label}: from {show(row.start_min, 'min', profile)}, {show(row.hands_min, 'min', profile)} of work, then "
        f"{show(row.wait_min, 'min', profile)} of curing"
        for row in rows
    ]
    return "; ".join(said) or "Nothing is planned yet."
