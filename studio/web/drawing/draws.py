"""How draws spread over days: one square for each draw on the day for which it ended, with the days that are marked."""

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas
from studio.web.formats import day_text, locale_code

if TYPE_CHECKING:
    from studio.models import StudioProfile

WIDTH, EDGE, TOP = 420.0, 6.0, 30.0
TALLEST = 130.0
_LABEL = 64.0


def draws_by_day(
    counts: Sequence[tuple[datetime.date, int]],
    *,
    marks: Mapping[str, datetime.date],
    title: str,
    profile: "StudioProfile | None" = None,
) -> SafeString:
    """Draw how many draws ended for each day from the first to the last; `marks` are days by the words above them."""
    profile = profile or current_profile()
    days = [on for on, _ in counts] + list(marks.values())
    first, last = min(days), max(days)
    wide = (WIDTH - 2 * EDGE) / ((last - first).days + 1)
    square = min(wide - 1, TALLEST / max((count for _, count in counts), default=1), 16.0)
    tall = max((count for _, count in counts), default=0) * square
    floor = TOP + tall
    words = "; ".join(f"{day_text(on, first, locale_code(profile))}: {count}" for on, count in counts)
    canvas = Canvas(width=WIDTH, height=floor + 30, title=title, description=words)

    def middle(on: datetime.date) -> float:
        return EDGE + wide * ((on - first).days + 0.5)

    for on, count in counts:
        for number in range(count):
            corner = (middle(on) - square / 2 + 0.5, floor - square * (number + 1) + 0.5)
            canvas.box(corner, (square - 1, square - 1), fill="ink-fill")
    canvas.line((0, floor + 1), (WIDTH, floor + 1), width=1.2)
    _draw_marks(canvas, [(words, middle(on)) for words, on in marks.items()], floor)
    _draw_days(canvas, first, last, middle(first), middle(last), locale_code(profile))
    return canvas.svg()


def _draw_marks(canvas: Canvas, marks: Sequence[tuple[str, float]], floor: float) -> None:
    """Draw each mark as a line; the words of the first stand at its left, those of later ones at its right."""
    places: dict[float, list[str]] = {}
    for words, x in marks:
        places.setdefault(x, []).append(words)
    for place, (x, said) in enumerate(places.items()):
        words = " and ".join(said)
        wide = 8.0 * len(words)
        left = (place == 0 and len(places) > 1 and x > wide + 6) or x > WIDTH - wide - 6
        canvas.line((x, 6), (x, floor + 6), pen="look-stroke", width=2)
        canvas.text((x - 5 if left else x + 5, 18), words, size=14, anchor="end" if left else "start", bold=True)


def _draw_days(canvas: Canvas, first: datetime.date, last: datetime.date, left: float, right: float, locale: str) -> None:
    y = canvas.height - 8
    today = timezone.localdate()
    if right - left < 2 * _LABEL:
        canvas.text(((left + right) / 2, y), _span(first, last, today, locale), size=13, anchor="middle", pale=True)
        return
    canvas.text((max(left - 20, 0), y), day_text(first, today, locale), size=13, pale=True)
    canvas.text((min(right + 20, WIDTH), y), day_text(last, today, locale), size=13, anchor="end", pale=True)


def _span(first: datetime.date, last: datetime.date, today: datetime.date, locale: str) -> str:
    said = day_text(first, today, locale)
    return said if first == last else f"{said} to {day_text(last, today, locale)}"
