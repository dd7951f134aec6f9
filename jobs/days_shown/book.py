"""The day book of a timetable: each day with its work in order, what cures, and which jobs are promised for it."""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.safestring import SafeString

from jobs.days_shown.drawn import begins, day_drawn
from jobs.models import Job, TimetableEntry
from studio.models import Person
from studio.web.drawing import DaysPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class BookDay:
    """One day: its drawing for a narrow page, its work, what only cures, and the jobs promised for it."""

    on: datetime.date
    drawing: SafeString
    lines: tuple[TimetableEntry, ...]
    curing: tuple[TimetableEntry, ...]
    promised: tuple[Job, ...]

    @property
    def people(self) -> list[Person]:
        """Who has something to do, by name."""
        there = {person.pk: person for line in self.lines for person in line.people.all()}
        return sorted(there.values(), key=lambda person: (person.name, person.pk))


def day_book(
    entries: Sequence[TimetableEntry], plan: DaysPlan, jobs: Sequence[Job], *, first: datetime.date, days: int
) -> list[BookDay]:
    """Return the days on which something is done, cures or is promised."""
    by_day: dict[datetime.date, list[TimetableEntry]] = defaultdict(list)
    for entry in entries:
        by_day[timezone.localtime(entry.starts_at).date()].append(entry)
    found = []
    for on in (first + datetime.timedelta(days=day) for day in range(days)):
        lines = by_day[on]
        promised = tuple(job for job in jobs if job.promised_on == on)
        drawing = day_drawn(plan, on)
        if lines or promised or drawing:
            curing = () if lines else _curing(entries, on)
            found.append(
                BookDay(
                    on=on,
                    drawing=drawing,
                    lines=tuple(lines),
                    curing=curing,
                    promised=promised,
                )
            )
    return found


def _curing(entries: Sequence[TimetableEntry], on: datetime.date) -> tuple[TimetableEntry, ...]:
    """Return the work before a day whose wait goes on in it, the last of each job."""
    last: dict[int, TimetableEntry] = {}
    for entry in entries:
        if entry.starts_at < begins(on) and entry.waits_until_at is not None and entry.waits_until_at > begins(on):
            known = last.get(entry.job_id)
            if known is None or known.waits_until_at is None or known.waits_until_at < entry.waits_until_at:
                last[entry.job_id] = entry
    return tuple(last.values())
