"""Hatching: each material has its own pattern, as on an engineering drawing, and jobs theirs in a drawing of days."""

from enum import StrEnum

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe


class Hatch(StrEnum):
    """What a hatched surface is made of."""

    PIECE = "piece"
    RUBBER = "rubber"
    SCRAP = "scrap"
    RESIN = "resin"
    PLASTER = "plaster"
    LAMINATE = "laminate"
    BOARD = "board"
    CURE = "cure"
    WORK = "work"
    WORK_RISING = "work-rising"
    WORK_FALLING = "work-falling"
    WORK_LEVEL = "work-level"
    WORK_DOTTED = "work-dotted"
    WORK_UPRIGHT = "work-upright"

    @property
    def label(self) -> str:
        """The word for a drawing's key."""
        return {"laminate": "glass laminate", "cure": "curing"}.get(self.value, self.value.partition("-")[0])


_PEN = 'class="stroke" stroke="#1f282e" stroke-width="0.8" fill="none"'
_FINE = 'class="pale-stroke" stroke="#7a8186" stroke-width="0.8" fill="none"'
_DOT = 'class="ink-fill" fill="#1f282e"'
_CUT = 'class="paper-stroke" stroke="#ffffff" stroke-width="1.4" fill="none"'

# Size of the tile, the colour under the lines, and the lines.
_PATTERNS: dict[Hatch, tuple[int, int, str, str]] = {
    Hatch.PIECE: (9, 9, "piece-fill", f'<path d="M-1 10L10 -1M-1 1L1 -1M8 10L10 8" {_FINE}/>'),
    Hatch.RUBBER: (7, 7, "tint-b", f'<path d="M-1 -1L8 8M-1 6L1 8M6 -1L8 1" {_PEN}/>'),
    Hatch.SCRAP: (
        22,
        20,
        "tint-b",
        f'<path d="M2 3L9 1L12 7L6 10L1 8ZM14 2L20 4L21 9L15 9ZM4 13L10 12L12 18L5 19ZM14 12L20 13L18 19L14 17Z" {_PEN}/>',
    ),
    Hatch.RESIN: (8, 8, "paper-fill", f'<path d="M-1 9L9 -1M-1 -1L9 9" {_FINE}/>'),
    Hatch.PLASTER: (
        14,
        12,
        "paper-fill",
        f'<circle cx="3" cy="3" r="0.9" {_DOT}/><circle cx="10" cy="8" r="0.9" {_DOT}/><path d="M7 3h3M2 9h2" {_PEN}/>',
    ),
    Hatch.LAMINATE: (12, 8, "paper-fill", f'<path d="M0 2Q3 -1 6 2T12 2M0 6Q3 3 6 6T12 6" {_PEN}/>'),
    Hatch.BOARD: (26, 9, "paper-fill", f'<path d="M0 2.5H26M0 7H8M13 7H26M9 4.8H20" {_FINE}/>'),
    Hatch.CURE: (6, 6, "paper-fill", f'<path d="M-1 7L7 -1" {_PEN}/>'),
    # Hands-on work is ink; fine lines cut out of it tell jobs apart.
    Hatch.WORK: (8, 8, "ink-fill", ""),
    Hatch.WORK_RISING: (7, 7, "ink-fill", f'<path d="M-1 8L8 -1M-1 1L1 -1M6 8L8 6" {_CUT}/>'),
    Hatch.WORK_FALLING: (7, 7, "ink-fill", f'<path d="M-1 -1L8 8M-1 6L1 8M6 -1L8 1" {_CUT}/>'),
    Hatch.WORK_LEVEL: (8, 5, "ink-fill", f'<path d="M0 2.5H8" {_CUT}/>'),
    Hatch.WORK_DOTTED: (5, 5, "ink-fill", '<circle cx="2.5" cy="2.5" r="1.1" class="paper-fill" fill="#ffffff"/>'),
    Hatch.WORK_UPRIGHT: (5, 8, "ink-fill", f'<path d="M2.5 0V8" {_CUT}/>'),
}
_UNDER = {"piece-fill": "#f0efea", "tint-b": "#d5d9d8", "paper-fill": "#ffffff", "ink-fill": "#1f282e"}


def hatch(kind: Hatch, name: str) -> SafeString:
    """Return the pattern of a material under an id that is unique on the page."""
    across, down, under, lines = _PATTERNS[kind]
    return format_html(
        '<pattern id="{}" width="{}" height="{}" patternUnits="userSpaceOnUse">'
        '<rect width="{}" height="{}" class="{}" fill="{}"/>{}</pattern>',
        name, across, down, across, down, under, _UNDER[under], mark_safe(lines),  # noqa: S308 - from the table above
    )  # fmt: skip
