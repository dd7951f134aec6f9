"""The door for quantities: what people type becomes a number in a known unit, and numbers become what they read.

`parse("2 lb 3 oz", unit="g", profile=profile)` reads; `show(1240, "g", profile)` writes "1.24 kg" or "2.73 lb".
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from studio.web.context import current_profile
from studio.web.converting import convert, to_decimal
from studio.web.digits import known, rounded
from studio.web.formats import NO_VALUE, currency_decimals, locale_code, money_text, number_text
from studio.web.reading import parse
from studio.web.unit_table import ladder, preferred, unit_of

if TYPE_CHECKING:
    from studio.models import StudioProfile

__all__ = ["Shown", "own_number", "own_unit", "parse", "show", "show_range"]

LEAST_WHOLE_SPREAD = 5
Number = float | int | Decimal


@dataclass(frozen=True, slots=True)
class Shown:
    """A number as it is read: its digits, and its unit for the paler print beside them."""

    number: str
    unit: str = ""

    def __str__(self) -> str:
        """Join both with a space that does not break."""
        joint = "" if self.unit.startswith("/") else "\u00a0"
        return f"{self.number}{joint}{self.unit}" if self.unit else self.number


class _Manner(NamedTuple):
    """All of a profile that changes how a number is written."""

    units: str
    locale: str
    currency: str


def show(
    value: Number | None,
    unit: str,
    profile: "StudioProfile | None" = None,
    *,
    low: Number | None = None,
    high: Number | None = None,
    keep: bool = False,
) -> Shown:
    """Write a number in the studio's units with no more digits than are known.

    `low` and `high` are its range; `keep` stays with the studio's unit for `unit` and does not go from g to kg.
    """
    if value is None or not isfinite(value):
        return Shown(NO_VALUE)
    profile = profile or current_profile()
    return _shown(value, unit, _Manner(profile.units, locale_code(profile), profile.currency), low, high, keep)


# A page of figures writes hundreds of numbers, most of them as the last time.
@lru_cache(maxsize=16_384)
def _shown(value: Number, unit: str, manner: _Manner, low: Number | None, high: Number | None, keep: bool) -> Shown:
    exact = Fraction(str(value))
    if unit == "money" or unit.startswith("money/"):
        return _money(exact, unit, manner, spread=_half_width(low, high, unit, preferred(unit, manner.units)))
    if unit_of(unit).kind == "time" and not keep:
        return _duration(convert(exact, unit, "min"), unit, manner.locale)
    target = preferred(unit, manner.units) if keep else _fitting(exact, unit, manner.units)
    amount = to_decimal(convert(exact, unit, target))
    number, places = known(amount, _half_width(low, high, unit, target))
    return Shown(number_text(number, places, manner.locale), unit_of(target).symbol)


def show_range(low: Number, high: Number, unit: str, profile: "StudioProfile | None" = None) -> str:
    """Write a range, its unit once: "1.1 to 1.4 kg"."""
    profile = profile or current_profile()
    first, last = show(low, unit, profile, low=low, high=high), show(high, unit, profile, low=low, high=high)
    if first == last:
        return str(last)
    joined = first.unit == last.unit and "h" not in f"{first.number}{last.number}"  # "1 h 30 min" holds two units
    return f"{first.number} to {last}" if joined else f"{first} to {last}"


def own_unit(unit: str, profile: "StudioProfile | None" = None) -> str:
    """Return the symbol of the unit in which this studio reads a bare number."""
    return unit_of(preferred(unit, (profile or current_profile()).units)).symbol


def own_number(value: Number, unit: str, profile: "StudioProfile | None" = None) -> str:
    """Write a stored value as somebody would type it: in full, or to five digits where it is converted to the studio's unit.

    A form that gets this text back unchanged keeps the stored value, so nothing drifts.
    """
    profile = profile or current_profile()
    if not isfinite(value):
        return ""
    target = preferred(unit, profile.units)
    amount = to_decimal(convert(Fraction(str(value)), unit, target), digits=15 if target == unit else 5)
    point = "," if number_text(Decimal("0.5"), 1, locale_code(profile)) == "0,5" else "."
    return f"{amount:f}".replace(".", point)


def _fitting(value: Fraction, unit: str, system: str) -> str:
    """Choose the unit in which the number has a handy size."""
    steps = ladder(unit, system)
    for key, least in steps:
        if len(steps) == 1 or abs(convert(value, unit, key)) >= least:
            return key
    return steps[-1][0]


def _half_width(low: Number | None, high: Number | None, unit: str, target: str) -> Decimal | None:
    if low is None or high is None or not (isfinite(low) and isfinite(high)):
        return None
    ends = [convert(Fraction(str(end)), unit, target) for end in (low, high)]
    return to_decimal(abs(ends[1] - ends[0]) / 2) or None


def _money(value: Fraction, unit: str, manner: _Manner, *, spread: Decimal | None) -> Shown:
    """Write an amount to the currency's decimals, or in whole units when its range is wider than ten of them."""
    target = preferred(unit, manner.units)
    whole = spread is not None and spread >= LEAST_WHOLE_SPREAD
    amount = rounded(to_decimal(convert(value, unit, target)), 0 if whole else currency_decimals(manner.currency))
    return Shown(money_text(amount, manner.currency, manner.locale, whole), unit_of(target).symbol)


def _duration(minutes: Fraction, unit: str, locale: str) -> Shown:
    """Write a time: minutes up to an hour and a half, then hours and minutes, from ten hours on hours alone."""
    if unit in {"day", "week", "s"}:
        number, places = known(to_decimal(convert(minutes, "min", unit)))
        symbol = unit_of(unit).symbol
        return Shown(number_text(number, places, locale), symbol[:-1] if number == 1 and unit != "s" else symbol)
    if abs(minutes) < 90:
        number, places = known(to_decimal(minutes))
        return Shown(number_text(number, places, locale), "min")
    if abs(minutes) < 600:
        whole = int(rounded(to_decimal(abs(minutes)), 0))
        sign = "−" if minutes < 0 else ""
        hours, rest = divmod(whole, 60)
        return Shown(f"{sign}{hours}\u00a0h\u00a0{rest}", "min") if rest else Shown(f"{sign}{hours}", "h")
    number, places = known(to_decimal(minutes / 60))
    return Shown(number_text(number, places, locale), "h")
