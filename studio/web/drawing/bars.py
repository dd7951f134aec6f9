"""Level bars with their spread."""

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

WIDTH, ROW = 420.0, 46.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar: its length, and the range in which it may end; a hatch says what it is made of."""

    label: str
    value: float
    low: float | None = None
    high: float | None = None
    hatch: Hatch | None = None


def bars(rows: Sequence[Bar], *, unit: str, title: str, profile: "StudioProfile | None" = None) -> SafeString:
    """Draw bars from a common nought, each with its value at the right and its range as a line with end strokes."""
    profile = profile or current_profile()
    longest = max((max(row.value, row.high or 0.0) for row in rows), default=1.0) or 1.0
    scale = (WIDTH - 4) / longest
    said = "; ".join(f"{row.label}: {show(row.value, unit, profile)}" for row in rows) or "Nothing to compare yet."
    canvas = Canvas(width=WIDTH, height=8 + ROW * max(len(rows), 1), title=title, description=said)
    canvas.line((1, 4), (1, 4 + ROW * len(rows)), width=1.6)
    for number, row in enumerate(rows):
        top = 4 + ROW * number
        canvas.text((8, top + 17), row.label if len(row.label) <= 40 else row.label[:39] + "…", bold=True)
        canvas.text((WIDTH, top + 17), show(row.value, unit, profile, low=row.low, high=row.high), anchor="end")
        fill = canvas.paint(row.hatch) if row.hatch else "tint-b"
        canvas.box((1, top + 24), (max(row.value, 0.0) * scale, 15), fill=fill, pen="stroke")
        if row.low is not None and row.high is not None:
            left, right, y = 1 + max(row.low, 0.0) * scale, 1 + row.high * scale, top + 31.5
            canvas.line((left, y), (right, y), width=1.8)
            for x in (left, right):
                canvas.line((x, y - 5), (x, y + 5), width=1.8)
    return canvas.svg()
