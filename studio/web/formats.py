"""Numbers, money and times in the studio's locale."""

from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from django.utils import timezone

if TYPE_CHECKING:
    from babel import Locale

    from studio.models import StudioProfile

NO_VALUE = "—"


@lru_cache(maxsize=64)
def locale_of(code: str) -> "Locale":
    """Return the locale of a code such as "en_GB"; an unknown one is read as British English."""
    from babel import Locale, UnknownLocaleError

    try:
        return Locale.parse(code.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return Locale.parse("en_GB")


@lru_cache(maxsize=64)
def decimal_marks(code: str) -> tuple[str, str]:
    """Return the decimal mark and the thousands mark of a locale."""
    from babel.numbers import get_decimal_symbol, get_group_symbol

    locale = locale_of(code)
    return get_decimal_symbol(locale), get_group_symbol(locale)


def number_text(number: Decimal, places: int, locale: str) -> str:
    """Write a number with so many decimal places and the locale's marks."""
    point, group = decimal_marks(locale)
    text = f"{number:,.{places}f}"
    if text.startswith("-"):
        text = "−" + text[1:]
    return text.replace(",", "\0").replace(".", point).replace("\0", group)


@lru_cache(maxsize=4096)
def money_text(amount: Decimal, currency: str, locale: str, whole: bool = False) -> str:
    """Write an amount with its currency; it must be rounded already and is shown to the currency's own decimals.

    `whole` leaves the decimals out, for an amount that is not known to so much.
    """
    from babel.numbers import UnknownCurrencyError, format_currency

    place = locale_of(locale)
    try:
        if whole:
            pattern = place.currency_formats["standard"].pattern.replace(".00", "")
            text = format_currency(amount, currency, format=pattern, locale=place, currency_digits=False)
        else:
            text = format_currency(amount, currency, locale=place)
    except (UnknownCurrencyError, InvalidOperation):
        text = f"{amount} {currency}"
    # The sign of other numbers here.
    return text.replace("-", "−") if str(amount).startswith("-") else text


@lru_cache(maxsize=64)
def currency_sign(currency: str, locale: str) -> str:
    """Return the sign of a currency ("€"), or its code."""
    from babel.numbers import get_currency_symbol

    return get_currency_symbol(currency, locale=locale_of(locale))


@lru_cache(maxsize=64)
def currency_decimals(currency: str) -> int:
    """Return how many decimals a currency has."""
    from babel.numbers import get_currency_precision

    return get_currency_precision(currency)


def day_text(value: date, today: date, locale: str) -> str:
    """Write a date with its weekday; the year only when it is another one."""
    pattern = "EEE d MMM" if value.year == today.year else "EEE d MMM y"
    return _dated(value, pattern, locale)


def month_text(value: date, locale: str, *, short: bool = False) -> str:
    """Write a month: "Nov", or "November 2026"."""
    return _dated(value, "LLL" if short else "LLLL y", locale)


def when_text(value: datetime, now: datetime, locale: str) -> str:
    """Write a moment in the studio's time zone: "Thu 14:30" within six days, with its date beyond."""
    local = timezone.localtime(value) if timezone.is_aware(value) else value
    today = timezone.localtime(now).date()
    clock = clock_text(local.time(), locale)
    if abs((local.date() - today).days) < 6:
        return f"{_dated(local.date(), 'EEE', locale)} {clock}"
    return f"{day_text(local.date(), today, locale)} {clock}"


def clock_text(value: time, locale: str) -> str:
    """Write a time of day: "14:30", or "2:30 PM" where clocks have twelve hours."""
    from babel.dates import format_time

    pattern = "h:mm a" if locale.replace("-", "_").endswith("US") else "HH:mm"
    return format_time(value, pattern, locale=locale_of(locale))


def _dated(value: date, pattern: str, locale: str) -> str:
    from babel.dates import format_date

    return format_date(value, pattern, locale=locale_of(locale))


def amount_of(value: Any) -> Decimal:
    """Turn a number into a decimal without inventing digits."""
    return value if isinstance(value, Decimal) else Decimal(str(value))


def locale_code(profile: "StudioProfile") -> str:
    """Return the code of the studio's locale."""
    return profile.locale or "en_GB"
