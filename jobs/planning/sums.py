"""Sums and products of figures that keep their spread and their working."""

from collections.abc import Sequence

from studio.figures import COMPUTED, Figure, Given, Source, high_end, low_end


def total(key: str, label: str, unit: str, figures: Sequence[Figure], *, formula: str = "sum") -> Figure:
    """Add figures; their spreads add too, because one measured piece makes all of them large or small together."""
    return Figure(
        key=key,
        label=label,
        value=sum(figure.value for figure in figures),
        unit=unit,
        formula=formula,
        given=tuple(figures),
        low=sum(low_end(figure) for figure in figures),
        high=sum(high_end(figure) for figure in figures),
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


def fact(label: str, value: float, unit: str, source: Source = COMPUTED) -> Given:
    """Return a plain number as an input of a working."""
    return Given(label=label, value=value, unit=unit, source=source)
