"""The working of a figure, unfolded in place: formula, inputs with units and sources, spread, and what lies beneath."""

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from django.utils.html import conditional_escape, format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from studio.figures import Figure, Given, Source, SourceKind
from studio.web.quantities import Shown, show, show_range

if TYPE_CHECKING:
    from studio.models import StudioProfile

DEEPEST = 4
MOST_LINES = 80


@dataclass(slots=True)
class _Room:
    """How many lines one working may still unfold; figures made of figures would otherwise fill the page."""

    lines: int = MOST_LINES


def quantity_html(shown: Shown) -> SafeString:
    """Print a number and its unit as one piece that stays together in a line."""
    return format_html('<span class="value">{}</span>', number_html(shown))


@lru_cache(maxsize=8192)
def number_html(shown: Shown) -> SafeString:
    """Print a number with its paler unit beside it."""
    if not shown.unit:
        return format_html('<span class="number">{}</span>', shown.number)
    joint = "" if shown.unit.startswith("/") else "\u00a0"
    return format_html('<span class="number">{}</span>{}<span class="unit">{}</span>', shown.number, joint, shown.unit)


def shown_of(item: Figure | Given, profile: "StudioProfile") -> Shown:
    """Show a figure, or an input, with the digits that its spread allows; what was typed keeps its own."""
    if isinstance(item, Given) and item.source.kind in {SourceKind.TYPED, SourceKind.MEASURED}:
        return show(item.value, item.unit, profile)
    return show(item.value, item.unit, profile, low=item.low, high=item.high)


def figure_text(figure: Figure, profile: "StudioProfile") -> str:
    """Write a figure as its page shows it; what a page compares an old number by."""
    return str(shown_of(figure, profile))


def figure_html(figure: Figure, profile: "StudioProfile", *, was: str = "") -> SafeString:
    """Print a figure that opens to its working, with the old number struck through where there was one."""
    old = format_html('<s class="was">{}</s> ', was) if was else mark_safe("")
    return format_html(
        '<details class="figure" data-figure="{}"><summary>{}<span class="value">{}</span>'
        '<span class="mark" aria-hidden="true"></span><span class="unseen">: working of {}</span></summary>{}</details>',
        figure.key,
        old,
        number_html(shown_of(figure, profile)),
        figure.label,
        working_html(figure, profile),
    )


def working_html(figure: Figure, profile: "StudioProfile") -> SafeString:
    """Print the working of a figure by itself."""
    return _working(figure, profile, depth=1, room=_Room())


def _working(figure: Figure, profile: "StudioProfile", *, depth: int, room: _Room) -> SafeString:
    parts = [format_html('<p class="formula">{}</p>', figure.formula)]
    if figure.given:
        lines = format_html_join("", "{}", ((_line(item, profile, depth=depth, room=room),) for item in figure.given))
        parts.append(format_html('<ul class="inputs">{}</ul>', lines))
    spread = _spread(figure, profile)
    if spread:
        parts.append(format_html('<p class="spread">Between {}</p>', spread.replace(" to ", " and ", 1)))
    if figure.source.kind != SourceKind.COMPUTED or figure.source.text:
        parts.append(format_html('<p class="source">{}</p>', source_words(figure.source)))
    if figure.note:
        parts.append(format_html('<p class="note">{}</p>', figure.note))
    return format_html('<div class="working">{}</div>', mark_safe("".join(parts)))  # noqa: S308 - each part is escaped


def _line(item: Figure | Given, profile: "StudioProfile", *, depth: int, room: _Room) -> SafeString:
    """Print one input; a figure among them opens in turn while there is room."""
    room.lines -= 1
    value = number_html(shown_of(item, profile))
    if isinstance(item, Figure) and depth < DEEPEST and room.lines > 0 and (item.given or item.formula):
        return format_html(
            '<li><details class="nested"><summary><span class="label">{}</span> <span class="value">{}</span>'
            '<span class="mark" aria-hidden="true"></span></summary>{}</details></li>',
            item.label,
            value,
            _working(item, profile, depth=depth + 1, room=room),
        )
    return format_html(
        '<li><span class="label">{}</span> <span class="value">{}</span> <span class="source">{}</span></li>',
        item.label,
        value,
        _origin(item, profile),
    )


def _origin(item: Figure | Given, profile: "StudioProfile") -> SafeString:
    words = source_words(item.source)
    spread = _spread(item, profile)
    return conditional_escape(f"{words}; {spread}" if spread else words)


def _spread(item: Figure | Given, profile: "StudioProfile") -> str:
    if item.low is None or item.high is None or item.low == item.high:
        return ""
    return show_range(item.low, item.high, item.unit, profile)


def source_words(source: Source) -> str:
    """Say where a number comes from."""
    return f"{source.kind.value}: {source.text}" if source.text else source.kind.value
