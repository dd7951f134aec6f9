"""What a calendar says about a task: no client, no title of a job, no money; whoever reads a calendar sees the work alone."""

import datetime

from django.utils import timezone

from jobs.models import TimetableEntry
from studio.web.formats import clock_text, day_text

LONGEST_SUMMARY = 250
LONGEST_PLACE = 120


def summary_of(job_number: int, entry: TimetableEntry) -> str:
    """Return "103 Build coat (2 of 4), position 1"."""
    return f"{job_number} {entry.label}"[:LONGEST_SUMMARY]


def place_of(entry: TimetableEntry) -> str:
    """Return where the work is done, in words; empty where no station is needed."""
    return (entry.where[:1].upper() + entry.where[1:])[:LONGEST_PLACE]


def description_of(entry: TimetableEntry, others: list[str], locale: str) -> str:
    """Return what is mixed, who else works on it, what waits after it and which window closes when, a line each."""
    lines = [f"Mix: {entry.mixes}."] if entry.mixes else []
    if others:
        lines.append(f"Together with {' and '.join(others)}.")
    if entry.waits_until_at is not None and entry.waits:
        lines.append(f"Then it waits until {moment_text(entry.waits_until_at, locale)}.")
    if entry.latest_next_at is not None:
        lines.append(f"The window for what follows closes {moment_text(entry.latest_next_at, locale)}.")
    if not entry.unattended:
        lines.append("Do not leave it alone until the next work begins.")
    if entry.visit:
        lines.append("This is outside of hours.")
    if entry.late_min:
        lines.append(f"It is {late_text(entry.late_min)} after its window closed.{_remedy(entry)}")
    return "\n".join(lines)


def moment_text(moment: datetime.datetime, locale: str) -> str:
    """Write a moment with its date: a calendar is read on other days than the one it was written on."""
    local = timezone.localtime(moment)
    return f"{day_text(local.date(), local.date(), locale)} {clock_text(local.time(), locale)}"


def late_text(minutes: int) -> str:
    """Write minutes as "3 h 20 min"."""
    hours, rest = divmod(minutes, 60)
    return " ".join(part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "") if part)


def _remedy(entry: TimetableEntry) -> str:
    return f" {entry.remedy}" if entry.remedy else ""
