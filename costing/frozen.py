"""Figures as plain values for the inside of a frozen quote, with no more working than somebody reads."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from jobs.geometry.takeoff_store import figure_from_json, figure_to_json
from studio.figures import Figure, Given

DEPTH = 3


def pruned(figure: Figure, depth: int = DEPTH) -> Figure:
    """Cut a working off below a depth; what lies deeper stays as a plain input."""
    return replace(figure, given=tuple(_pruned_input(item, depth - 1) for item in figure.given))


def _pruned_input(item: Given | Figure, depth: int) -> Given | Figure:
    if not isinstance(item, Figure):
        return item
    if depth > 0:
        return pruned(item, depth)
    return Given(label=item.label, value=item.value, unit=item.unit, source=item.source, low=item.low, high=item.high)


def keep_figures(figures: Iterable[Figure]) -> list[dict[str, Any]]:
    """Turn figures into nested plain values."""
    return [figure_to_json(pruned(figure)) for figure in figures]


def read_figures(kept: object) -> list[Figure]:
    """Read what `keep_figures` wrote; a figure of another form is left out."""
    found: list[Figure] = []
    for item in kept if isinstance(kept, list) else ():
        try:
            found.append(figure_from_json(item if isinstance(item, Mapping) else {}))
        except (KeyError, TypeError, ValueError):
            continue
    return found
