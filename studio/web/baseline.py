"""What a page showed when it was opened, so that figures that changed since can show the old one struck through.

A form that previews its figures carries the texts in one hidden field that lies outside the swapped part; each answer
pairs the new figures with them. The field comes back from a browser, so whatever does not read is dropped.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from studio.figures import Figure

FIELD = "baseline"
MOST_CHARACTERS = 60_000
MOST_FIGURES = 1_000
LONGEST_TEXT = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A figure beside the text it had when the page was opened; `was` is empty when it still reads the same."""

    figure: Figure
    was: str = ""


def texts_of(figures: Iterable[Figure], text: Callable[[Figure], str]) -> dict[str, str]:
    """Return what each figure reads as, by its key."""
    return {figure.key: text(figure) for figure in figures}


def write(texts: Mapping[str, str]) -> str:
    """Pack the texts for the hidden field."""
    return json.dumps(dict(texts), ensure_ascii=False, separators=(",", ":"))


def read(raw: str | None) -> dict[str, str]:
    """Unpack the hidden field; anything that this page did not write counts as nothing shown."""
    if not raw or len(raw) > MOST_CHARACTERS:
        return {}
    try:
        found = json.loads(raw)
    except (ValueError, RecursionError):
        return {}
    if not isinstance(found, dict) or len(found) > MOST_FIGURES:
        return {}
    return {
        key: value
        for key, value in found.items()
        if isinstance(value, str) and len(key) <= LONGEST_TEXT and len(value) <= LONGEST_TEXT
    }


def pair(figure: Figure, before: Mapping[str, str], text: Callable[[Figure], str]) -> Shown:
    """Set a figure beside its old text, if it had another one."""
    was = before.get(figure.key, "")
    return Shown(figure=figure, was="" if was == text(figure) else was)
