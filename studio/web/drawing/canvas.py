"""The sheet a drawing is made on: lines, shapes and text in viewBox units, and the marks of a workshop drawing."""

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import count
from typing import TYPE_CHECKING

from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe

from studio.web.drawing.hatching import Hatch, hatch
from studio.web.quantities import show
from studio.web.unit_table import US

if TYPE_CHECKING:
    from studio.models import StudioProfile

FONT = "Source Sans 3"
# What a class paints on screen, a print takes from these; black, white and greys that stay apart in a copy.
STROKES = {
    "stroke": "#1f282e", "pale-stroke": "#7a8186", "stop-stroke": "#333333", "look-stroke": "#555555", "paper-stroke": "#ffffff",
}  # fmt: skip
FILLS = {
    "paper-fill": "#ffffff", "piece-fill": "#f0efea", "tint-a": "#e4e0d6", "tint-b": "#c3c8c7", "ink-fill": "#1f282e",
    "stop-fill": "#333333", "look-fill": "#777777", "shut-fill": "#ececea",
}  # fmt: skip

Point = tuple[float, float]
_numbers = count(1)


class Canvas:
    """A drawing of a given size that collects its marks in order."""

    def __init__(self, *, width: float, height: float, title: str, description: str, true_size: bool = False) -> None:
        self.width, self.height = width, height
        # A sheet to scale keeps its size on paper, 96 units to the inch; any other fills the room that it is given.
        self.classes = "drawing true-size" if true_size else "drawing"
        self.title, self.description = title, description
        self.name = f"drawing-{next(_numbers)}"
        self._marks: list[str] = []
        self._hatches: dict[Hatch, SafeString] = {}

    def svg(self) -> SafeString:
        """Return the drawing as markup."""
        defs = f"<defs>{''.join(self._hatches.values())}</defs>" if self._hatches else ""
        across, down, name = _n(self.width), _n(self.height), self.name
        return _joined(
            (
                f'<svg class="{self.classes}" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {across} {down}" '
                f'width="{across}" height="{down}" role="img" aria-labelledby="{name}-title {name}-desc" '
                f'font-family="{FONT}" font-size="14"><title id="{name}-title">{escape(self.title)}</title>'
                f'<desc id="{name}-desc">{escape(self.description)}</desc>{defs}',
                *self._marks,
                "</svg>",
            )
        )

    def paint(self, kind: Hatch) -> str:
        """Return what to fill with for a material's hatching."""
        if kind not in self._hatches:
            self._hatches[kind] = hatch(kind, f"{self.name}-{kind.value}")
        return f"url(#{self.name}-{kind.value})"

    def line(self, start: Point, end: Point, *, pen: str = "stroke", width: float = 1, dashes: str = "") -> None:
        """Draw a straight line."""
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        (x1, y1), (x2, y2) = start, end
        self._marks.append(
            f'<line x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}" class="{pen}" stroke="{STROKES[pen]}" '
            f'stroke-width="{_n(width)}"{dashed}/>'
        )

    def shape(
        self,
        points: Sequence[Point],
        *,
        fill: str = "none",
        pen: str = "",
        width: float = 1,
        closed: bool = True,
        round_joins: bool = False,
        dashes: str = "",
    ) -> None:
        """Draw a line through points; `fill` is a fill class, "none", or what `paint` returned."""
        path = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + ("Z" if closed else "")
        classes = " ".join(name for name in (pen, fill if fill in FILLS else "") if name)
        stroke = f' stroke="{STROKES[pen]}" stroke-width="{_n(width)}"' if pen else ""
        joins = ' stroke-linejoin="round"' if round_joins else ""
        joins += f' stroke-dasharray="{dashes}"' if dashes else ""
        self._marks.append(f'<path d="{path}" class="{classes}" fill="{FILLS.get(fill, fill)}"{stroke}{joins}/>')

    def region(self, loops: Iterable[Sequence[Point]], *, fill: str, pen: str = "", width: float = 1) -> None:
        """Fill an area that may have holes: loops that run the other way round."""
        path = "".join("M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in loop) + "Z" for loop in loops)
        if not path:
            return
        classes = " ".join(name for name in (pen, fill if fill in FILLS else "") if name)
        stroke = format_html(' stroke="{}" stroke-width="{}"', STROKES[pen], _n(width)) if pen else ""
        self._marks.append(
            format_html(
                '<path d="{}" class="{}" fill="{}"{} stroke-linejoin="round"/>', path, classes, FILLS.get(fill, fill), stroke
            )
        )

    def band(self, points: Sequence[Point], *, tint: str, width: float) -> None:
        """Draw an even band along a closed line, half of it to each side: a coat before its piece is drawn over it."""
        path = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + "Z"
        color = FILLS.get(tint) or STROKES[tint]
        name = f"{tint}-band" if tint in FILLS else tint
        self._marks.append(
            format_html(
                '<path d="{}" class="{}" fill="none" stroke="{}" stroke-width="{}" stroke-linejoin="round"/>',
                path, name, color, _n(width),
            )
        )  # fmt: skip

    def box(self, corner: Point, size: Point, *, fill: str = "none", pen: str = "", width: float = 1) -> None:
        """Draw a rectangle from its upper left corner."""
        (x, y), (across, down) = corner, size
        self.shape([(x, y), (x + across, y), (x + across, y + down), (x, y + down)], fill=fill, pen=pen, width=width)

    def ring(self, middle: Point, radius: float, *, fill: str = "none", pen: str = "stroke", width: float = 1) -> None:
        """Draw a circle."""
        classes = " ".join(name for name in (pen, fill if fill in FILLS else "") if name)
        self._marks.append(
            format_html(
                '<circle cx="{}" cy="{}" r="{}" class="{}" fill="{}" stroke="{}" stroke-width="{}"/>',
                _n(middle[0]), _n(middle[1]), _n(radius), classes, FILLS.get(fill, fill), STROKES[pen], _n(width),
            )
        )  # fmt: skip

    def text(
        self, at: Point, words: object, *, size: float = 14, anchor: str = "start", pale: bool = False, bold: bool = False
    ) -> None:
        """Write a word; `anchor` is start, middle or end."""
        weight = mark_safe(' font-weight="600"') if bold else ""
        self._marks.append(
            format_html(
                '<text x="{}" y="{}" class="{}" fill="{}" font-family="{}" font-size="{}" text-anchor="{}"{}>{}</text>',
                _n(at[0]), _n(at[1]), "pale-text" if pale else "", "#444444" if pale else "#1f282e", FONT, _n(size), anchor,
                weight, words,
            )
        )  # fmt: skip


def dimension(canvas: Canvas, start: Point, end: Point, words: object, *, side: float = -6) -> None:
    """Draw a dimension line with arrowheads and its measure; upright ones have it at their left."""
    canvas.line(start, end, pen="pale-stroke")
    for tip, tail in ((start, end), (end, start)):
        angle = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
        wings = [(tip[0] + 8 * math.cos(angle + turn), tip[1] + 8 * math.sin(angle + turn)) for turn in (-0.28, 0.28)]
        canvas.shape([tip, *wings], fill="ink-fill")
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if abs(start[0] - end[0]) < abs(start[1] - end[1]):
        canvas.text((middle[0] + side, middle[1] + 5), words, anchor="end" if side < 0 else "start")
    else:
        canvas.text((middle[0], middle[1] + side), words, anchor="middle")


def scale_bar(canvas: Canvas, at: Point, *, px_per_mm: float, longest_px: float, profile: "StudioProfile") -> None:
    """Draw a bar of a round length in the studio's unit, half of it solid; none when even the shortest is too long."""
    steps_mm = [25.4 * n for n in (0.5, 1, 2, 4, 6, 12, 24, 48)] if profile.units == US else [5, 10, 20, 50, 100, 200, 500, 1000]
    length_mm = max((step for step in steps_mm if step * px_per_mm <= longest_px), default=0.0)
    if not length_mm:
        return
    length = length_mm * px_per_mm
    canvas.box(at, (length / 2, 5), fill="ink-fill", pen="stroke")
    canvas.box((at[0] + length / 2, at[1]), (length / 2, 5), fill="paper-fill", pen="stroke")
    canvas.text((at[0], at[1] - 5), "0", size=12, anchor="middle", pale=True)
    canvas.text((at[0] + length, at[1] - 5), show(length_mm, "mm", profile, keep=True), size=12, anchor="middle", pale=True)


@lru_cache(maxsize=8192)
def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _joined(parts: Iterable[str]) -> SafeString:
    # Marks hold numbers and names of this module; words that come from outside were escaped where they were put in.
    return mark_safe("".join(parts))  # noqa: S308
