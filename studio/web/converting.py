"""Conversion between units, by the unit library's own values, fetched once for each pair."""

from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from studio.web.unit_table import unit_of


@cache
def registry() -> Any:
    """Make the unit registry the first time it is wanted; it takes an eighth of a second.

    Without the library's cache in the home folder: that names files of the environment which filled it, and breaks every
    other once that is gone.
    """
    import pint

    return pint.UnitRegistry(non_int_type=Decimal, cache_folder=None)


@cache
def _in_base_units(key: str) -> Fraction:
    """Return how many base units make one of `key`; counts and money are their own base."""
    if "/" in key:
        over, *under = key.split("/")
        size = _in_base_units(over)
        for part in under:
            size /= _in_base_units(part)
        return size
    expression = unit_of(key).expression
    if not expression:
        return Fraction(1)
    return Fraction(registry().Quantity(Decimal(1), expression).to_base_units().magnitude)


@cache
def factor(source: str, target: str) -> Fraction:
    """Return what a number in `source` is multiplied with to be in `target`."""
    return _in_base_units(source) / _in_base_units(target)


def convert(value: Fraction, source: str, target: str) -> Fraction:
    """Express a value in another unit of the same kind; temperatures keep their offset."""
    if source == target:
        return value
    if unit_of(source).kind == "temperature":
        return (value - 32) * Fraction(5, 9) if source == "degF" else value * Fraction(9, 5) + 32
    return value * factor(source, target)


def to_decimal(value: Fraction, digits: int = 15) -> Decimal:
    """Turn an exact fraction into a decimal of at most `digits` significant digits, without trailing noughts."""
    from decimal import Context

    number = Context(prec=digits).divide(Decimal(value.numerator), Decimal(value.denominator))
    return number.normalize() + 0 if number else Decimal(0)
