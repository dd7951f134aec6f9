"""Sums and products of figures that keep their spread and their working."""

from collections.abc import Sequence

from studio.figures import COMPUTED, Figure, Given, Source


def total(key: str, label: str, unit: str, figures: Sequence[Figure], *, formula: str = "sum") -> Figure:
    """Add figures; their spreads add too, because one measured piece makes all of them large or small together."""
    return Figure(
        key=key,
        label=label,
        value=sum(figure.value for figure in figures),
        unit=unit,
        formula=formula,
        given=tuple(figures),
        low=sum(figure.value if figure.low is None else figure.low for figure in figures),
        high=sum(figure.value if figure.high is None else figure.high for figure in figures),
    )


def scaled(
    figure: Figure,
    factor: float,
    *,
    key: str,
    label: str,
    unit: str,
    formula: str,
    given: tuple[Given | Figure, ...] = (),
    note: str = "",
) -> Figure:
    """Multiply a figure and its spread by a number."""
    return Figure(
        key=key,
        label=label,
        value=figure.value * factor,
        unit=unit,
        formula=formula,
        given=(figure, *given),
        low=None if figure.low is None else figure.low * factor,
        high=None if figure.high is None else figure.high * factor,
        note=note,
    )


def count(key: str, label: str, value: int, *, formula: str, given: tuple[Given | Figure, ...] = ()) -> Figure:
    """Return a whole number as a figure."""
    return Figure(key=key, label=label, value=float(value), unit="1", formula=formula, given=given)


def low_end(part: Given | Figure) -> float:
    """Return the low end of a number's range, or the number where it has none."""
    return part.value if part.low is None else part.low


def high_end(part: Given | Figure) -> float:
    """Return the high end of a number's range, or the number where it has none."""
    return part.value if part.high is None else part.high


def fact(label: str, value: float, unit: str, source: Source = COMPUTED) -> Given:
    """Return a plain number as an input of a working."""
    return Given(label=label, value=value, unit=unit, source=source)
