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

WIDTH = 420.0
LEFT, TOP = 8.0, 30.0
ROW = 46.0
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
    scale = (WIDTH - LEFT - 22) / last
    floor = TOP + ROW * len(rows)
    canvas = Canvas(width=WIDTH, height=floor + 32, title=title, description=_words(rows, profile))
    _draw_hours(canvas, last=last, scale=scale, floor=floor)
    for number, row in enumerate(rows):
        _draw_row(canvas, row, top=TOP + ROW * number, scale=scale)
    _draw_key(canvas, floor + 22, latest=any(row.latest_min is not None for row in rows))
    return canvas.svg()


def _end(row: Stretch) -> float:
    return row.start_min + row.hands_min + max(row.wait_min, row.latest_min or 0.0)


def _draw_hours(canvas: Canvas, *, last: float, scale: float, floor: float) -> None:
    step = next((hours for hours in HOUR_STEPS if hours * 60 * scale >= 46), HOUR_STEPS[-1])
    ticks = int(last / (step * 60)) + 1
    for tick in range(min(ticks, 60)):
        x = LEFT + tick * step * 60 * scale
        canvas.line((x, TOP - 8), (x, floor), pen="pale-stroke", width=0.5)
        canvas.text((x, TOP - 14), f"{tick * step:g} h", size=13, anchor="middle" if tick else "start", pale=True)


def _draw_row(canvas: Canvas, row: Stretch, *, top: float, scale: float) -> None:
    x, hands = LEFT + row.start_min * scale, max(row.hands_min * scale, 2.0)
    right = row.start_min * scale > (WIDTH - LEFT) * 0.6
    label_at = (x + hands, top + 15) if right else (x, top + 15)
    canvas.text(label_at, _fitting(row.label), anchor="end" if right else "start", bold=True)
    canvas.line((LEFT, top + ROW), (WIDTH, top + ROW), pen="pale-stroke", width=0.4)
    bar = top + 22
    if row.wait_min > 0:
        canvas.box((x + hands, bar + 2), (row.wait_min * scale, 13), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.8)
    canvas.box((x, bar), (hands, 17), fill="ink-fill")
    if row.latest_min is not None:
        late = x + hands + row.latest_min * scale
        canvas.line((x + hands + row.wait_min * scale, bar + 8.5), (late, bar + 8.5), pen="pale-stroke", dashes="3 3")
        canvas.line((late, bar - 2), (late, bar + 19), pen="stop-stroke", width=2)
        canvas.shape([(late, bar - 2), (late - 7, bar - 2), (late, bar + 7)], fill="stop-fill")


def _draw_key(canvas: Canvas, y: float, *, latest: bool) -> None:
    canvas.box((LEFT, y - 10), (16, 12), fill="ink-fill")
    canvas.text((LEFT + 22, y), "hands on", size=13, pale=True)
    canvas.box((LEFT + 96, y - 10), (22, 12), fill=canvas.paint(Hatch.CURE), pen="stroke", width=0.8)
    canvas.text((LEFT + 124, y), "curing", size=13, pale=True)
    if latest:
        canvas.line((LEFT + 186, y - 11), (LEFT + 186, y + 3), pen="stop-stroke", width=2)
        canvas.text((LEFT + 194, y), "latest for the next coat", size=13, pale=True)


def _fitting(label: str) -> str:
    return label if len(label) <= 40 else label[:39] + "…"


def _words(rows: Sequence[Stretch], profile: "StudioProfile") -> str:
    said = [
        f"{row.label}: from {show(row.start_min, 'min', profile)}, {show(row.hands_min, 'min', profile)} of work, then "
        f"{show(row.wait_min, 'min', profile)} of curing"
        for row in rows
    ]
    return "; ".join(said) or "Nothing is planned yet."
