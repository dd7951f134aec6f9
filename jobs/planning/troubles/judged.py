"""What a judgement of one trouble consists of, and how its figures are kept apart from the plan's own."""

from collections.abc import Iterable
from dataclasses import dataclass

from studio.figures import Figure, Given

GOOD, LOOK, STOP = "good", "look", "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """How a trouble stands in one plan: `tone`, what that means, and the figures that decide."""

    tone: str
    words: str
    figures: tuple[Figure, ...] = ()


def good(words: str, *figures: Figure | None) -> Judged:
    """Judge that nothing warns."""
    return Judged(tone=GOOD, words=words, figures=_there(figures))


def look(words: str, *figures: Figure | None) -> Judged:
    """Judge that it wants watching, or that something is missing to tell."""
    return Judged(tone=LOOK, words=words, figures=_there(figures))


def stop(words: str, *figures: Figure | None) -> Judged:
    """Judge that it will spoil the work unless something is changed."""
    return Judged(tone=STOP, words=words, figures=_there(figures))


def plain(key: str, given: Given, *, label: str | None = None) -> Figure:
    """Return an input as a figure."""
    return Figure(
        key=key, label=label or given.label, value=given.value, unit=given.unit, formula="as given", given=(given,),
        low=given.low, high=given.high, source=given.source,
    )  # fmt: skip


def _there(figures: Iterable[Figure | None]) -> tuple[Figure, ...]:
    return tuple(figure for figure in figures if figure is not None)
