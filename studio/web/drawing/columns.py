"""Upright columns on a common floor, one for each month or day."""

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

WIDTH, HEIGHT = 420.0, 190.0
TOP, FLOOR = 30.0, 158.0
GAP = 0.28


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: a short word below it, the full words for its description, and whether it is still growing."""

    short: str
    label: str
    value: float
    running: bool = False


def columns(
    rows: Sequence[Column], *, unit: str, title: str, hatch: Hatch | None = None, profile: "StudioProfile | None" = None
) -> SafeString:
    """Draw columns from nought; the highest says how much it is, what is less than nought hangs below the floor as a mark."""
    profile = profile or current_profile()
    highest = max((row.value for row in rows), default=0.0)
    said = "; ".join(f"{row.label}: {show(row.value, unit, profile)}" for row in rows) or "Nothing yet."
    canvas = Canvas(width=WIDTH, height=HEIGHT, title=title, description=said)
    step = (WIDTH - 2) / max(len(rows), 1)
    scale = (FLOOR - TOP) / highest if highest > 0 else 0.0
    fill = canvas.paint(hatch) if hatch else "tint-b"
    marked = False
    for number, row in enumerate(rows):
        left, across = 1 + step * number + step * GAP / 2, step * (1 - GAP)
        height = max(row.value, 0.0) * scale
        if height > 0:
            top = FLOOR - height
            canvas.box((left, top), (across, height), fill="paper-fill" if row.running else fill, pen="stroke", width=1.2)
        elif row.value < 0:
            canvas.line((left, FLOOR + 4), (left + across, FLOOR + 4), pen="look-stroke", width=2.4)
        if row.value == highest > 0 and not marked:
            marked = True
            side = "start" if number < len(rows) / 3 else "end" if number > len(rows) * 2 / 3 else "middle"
            at = {"start": left, "end": left + across, "middle": left + across / 2}[side]
            canvas.text((at, TOP - 8), show(row.value, unit, profile), anchor=side, bold=True)
        canvas.text((left + across / 2, FLOOR + 20), row.short, size=12, anchor="middle", pale=True)
    canvas.line((1, FLOOR), (WIDTH - 1, FLOOR), width=1.6)
    return canvas.svg()
