"""Fitting words into a label: the largest type at which all of them stand there whole."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

MM_PER_PT = 25.4 / 72
LARGEST_PT, SMALLEST_PT, STEP_PT = 15.0, 5.0, 0.5
LEADING = 1.18
# The press sets words a hair wider or narrower than they measure here.
SLACK = 0.97
_EM = 200
REGULAR, BOLD = 400, 600


@dataclass(frozen=True, slots=True)
class Words:
    """One fact of a label, before it is broken into lines."""

    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class SetLine:
    """One line as it is set: its size and how far its baseline lies below the top."""

    text: str
    bold: bool
    size_mm: float
    baseline_mm: float


def fit(facts: Sequence[Words], *, width_mm: float, height_mm: float) -> list[SetLine] | None:
    """Return the lines at the largest type that fits, or None where they do not fit at the smallest that can be read."""
    points = LARGEST_PT
    while points >= SMALLEST_PT:
        lines = _set(facts, points * MM_PER_PT, width_mm * SLACK)
        if lines is not None and lines[-1].baseline_mm + 0.3 * lines[-1].size_mm <= height_mm:
            return lines
        points -= STEP_PT
    return None


def _set(facts: Sequence[Words], size_mm: float, width_mm: float) -> list[SetLine] | None:
    lines: list[SetLine] = []
    down = 0.0
    for words in facts:
        size = size_mm * (1.15 if words.bold else 1.0)
        for text in broken(words.text, bold=words.bold, ems=width_mm / size):
            lines.append(SetLine(text, words.bold, size, down + 0.85 * size))
            down += LEADING * size
    return lines or None


def broken(text: str, *, bold: bool, ems: float) -> list[str]:
    """Break words into lines of a width; a word too long for a line is broken within."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if width_ems(longer, bold=bold) <= ems:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width_ems(line, bold=bold) > ems and len(line) > 1:
            taken = _most(line, bold=bold, ems=ems)
            lines.append(line[:taken])
            line = line[taken:]
    return [*lines, line] if line else lines


def _most(word: str, *, bold: bool, ems: float) -> int:
    taken = 1
    while taken < len(word) - 1 and width_ems(word[: taken + 1], bold=bold) <= ems:
        taken += 1
    return taken


@lru_cache(maxsize=8192)
def width_ems(text: str, *, bold: bool) -> float:
    """Return how wide a text is, in ems of its type."""
    length: float = _font(BOLD if bold else REGULAR).getlength(text)
    return length / _EM


@cache
def _font(weight: int) -> Any:
    import fontpkg_source_sans_3
    from PIL import ImageFont

    font = ImageFont.truetype(str(Path(fontpkg_source_sans_3.ROOT) / "files" / "SourceSans3[wght].ttf"), _EM)
    font.set_variation_by_axes([weight])
    return font
