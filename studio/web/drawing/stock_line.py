"""The free stock of one material over the days ahead, as steps, with the level below which it is ordered again."""

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.safestring import SafeString

from studio.web.context import current_profile
from studio.web.drawing.canvas import Canvas
from studio.web.formats import day_text, locale_code
from studio.web.quantities import show

if TYPE_CHECKING:
    from studio.models import StudioProfile

WIDTH, HEIGHT = 420.0, 132.0
LEFT, RIGHT, TOP, FLOOR = 6.0, 414.0, 20.0, 106.0
_LEAST_DAYS = 7


def stock_line(
    steps: Sequence[tuple[datetime.date, float]],
    *,
    low_at_g: float | None,
    short_on: datetime.date | None,
    title: str,
    profile: "StudioProfile | None" = None,
) -> SafeString:
    """Draw the stock at the end of each day on which it changes; below the line of nought is what is missing. [g]"""
    profile = profile or current_profile()
    locale, today = locale_code(profile), timezone.localdate()
    said = "; ".join(f"{day_text(on, today, locale)}: {show(stock, 'g', profile)}" for on, stock in steps)
    canvas = Canvas(width=WIDTH, height=HEIGHT, title=title, description=said)
    first = steps[0][0]
    days = max((steps[-1][0] - first).days + 1, _LEAST_DAYS)
    most = max(*(stock for _, stock in steps), low_at_g or 0.0, 1.0)
    least = min(*(stock for _, stock in steps), 0.0)

    def x(on: datetime.date) -> float:
        return LEFT + (RIGHT - LEFT) * (on - first).days / days

    def y(grams: float) -> float:
        return FLOOR - (FLOOR - TOP) * (grams - least) / (most - least)

    ends = [*(x(on) for on, _ in steps[1:]), RIGHT]
    for (on, stock), end in zip(steps, ends, strict=True):
        if stock < 0:
            canvas.box((x(on), y(0)), (end - x(on), y(stock) - y(0)), fill="shut-fill", pen="stop-stroke")
        elif stock > 0:
            canvas.box((x(on), y(stock)), (end - x(on), y(0) - y(stock)), fill="tint-a")
    points: list[tuple[float, float]] = []
    for (on, stock), end in zip(steps, ends, strict=True):
        points += [(x(on), y(stock)), (end, y(stock))]
    canvas.shape(points, pen="stroke", width=1.6, closed=False)
    canvas.line((LEFT, y(0)), (RIGHT, y(0)), width=1)
    if low_at_g:
        canvas.line((LEFT, y(low_at_g)), (RIGHT, y(low_at_g)), pen="look-stroke", width=1.6, dashes="7 4")
        canvas.text((RIGHT, y(low_at_g) - 4), "order again", size=13, anchor="end", pale=True)
    if short_on is not None:
        at = x(short_on)
        canvas.line((at, TOP - 4), (at, FLOOR), pen="stop-stroke", width=2)
        late = at > WIDTH / 2
        words = f"short {day_text(short_on, today, locale)}"
        canvas.text((at - 5 if late else at + 5, TOP - 6), words, size=13, anchor="end" if late else "start", bold=True)
    canvas.text((LEFT, HEIGHT - 8), day_text(first, today, locale), size=13, pale=True)
    last = first + datetime.timedelta(days=days)
    canvas.text((RIGHT, HEIGHT - 8), day_text(last, today, locale), size=13, anchor="end", pale=True)
    return canvas.svg()
