"""Moments and days inside of sentences, as pages write them elsewhere."""

import datetime

from django.utils import timezone

from studio.web.context import current_profile
from studio.web.formats import clock_text, day_text, locale_code, when_text


def said_at(moment: datetime.datetime) -> str:
    """Write a moment with its weekday, in the studio's zone and locale."""
    return when_text(moment, timezone.now(), locale_code(current_profile()))


def said_clock(moment: datetime.datetime) -> str:
    """Write the time of day of a moment."""
    return clock_text(timezone.localtime(moment).time(), locale_code(current_profile()))


def said_day(on: datetime.date) -> str:
    """Write a day with its weekday."""
    return day_text(on, timezone.localdate(), locale_code(current_profile()))


def said_span(begins: datetime.datetime, ends: datetime.datetime) -> str:
    """Write from when to when, the day of the end only where it is another one."""
    same = timezone.localtime(begins).date() == timezone.localtime(ends).date()
    return f"{said_at(begins)} to {said_clock(ends) if same else said_at(ends)}"
