"""Lists to choose from: currencies in use, locales and time zones."""

from functools import lru_cache
from zoneinfo import available_timezones

from babel import Locale, UnknownLocaleError
from babel.core import get_global
from babel.localedata import locale_identifiers
from babel.numbers import get_currency_name, get_territory_currencies

SKIPPED_AREAS = {"Etc", "SystemV", "posix", "right", "US", "Canada", "Brazil", "Mexico", "Chile"}
Choices = list[tuple[str, str]]
GroupedChoices = list[tuple[str, Choices]]


@lru_cache(maxsize=1)
def currency_choices() -> Choices:
    """List the currencies that are legal tender somewhere today, by their ISO 4217 codes."""
    codes = {code for territory in get_global("territory_currencies") for code in get_territory_currencies(territory)}
    return [(code, f"{code}  {get_currency_name(code, locale='en')}") for code in sorted(codes)]


@lru_cache(maxsize=1)
def locale_choices() -> Choices:
    """List languages with their countries, by their English names."""
    found = []
    for code in locale_identifiers():
        parts = code.split("_")
        if len(parts) != 2 or len(parts[1]) != 2:
            continue
        try:
            name = Locale.parse(code).get_display_name("en")
        except UnknownLocaleError:
            continue
        if name:
            found.append((code, name))
    return sorted(found, key=lambda pair: pair[1])


@lru_cache(maxsize=1)
def time_zone_choices() -> GroupedChoices:
    """List the time zones, grouped by the part of the world."""
    areas: dict[str, Choices] = {}
    for name in sorted(available_timezones()):
        area, _, place = name.partition("/")
        if place and area not in SKIPPED_AREAS:
            areas.setdefault(area, []).append((name, place.replace("_", " ")))
    return [*areas.items(), ("Other", [("UTC", "UTC")])]
