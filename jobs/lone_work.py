"""When somebody works with nobody else about: by the timetable, the hours at the bench and the absences of all others."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from jobs.models import TimetableEntry
from studio.models import Absence, Person, WorkingHours

Stretch = tuple[datetime.datetime, datetime.datetime]


@dataclass(frozen=True, slots=True, kw_only=True)
class Company:
    """When others are about on a day."""

    stretches: tuple[Stretch, ...]

    def alone_during(self, begin: datetime.datetime, end: datetime.datetime) -> tuple[Stretch, ...]:
        """Return the parts of a stretch in which nobody else is about."""
        return tuple(without([(begin, end)], self.stretches))


def company_of(person: Person, entries: Iterable[TimetableEntry], since: datetime.datetime, until: datetime.datetime) -> Company:
    """Find when others are about between two moments: those at work on a task, and those in their hours who are not away."""
    at_work = [
        (entry.starts_at, entry.ends_at) for entry in entries if any(other.pk != person.pk for other in entry.people.all())
    ]
    there = _in_their_hours(person, since, until)
    return Company(stretches=tuple(sorted([*at_work, *there])))


def _in_their_hours(person: Person, since: datetime.datetime, until: datetime.datetime) -> list[Stretch]:
    rows = WorkingHours.objects.filter(where=WorkingHours.Where.BENCH, person__active=True).exclude(person=person)
    away = list(Absence.objects.filter(starts_at__lt=until, ends_at__gt=since).exclude(Q(person=person)))
    first, last = timezone.localtime(since).date(), timezone.localtime(until).date()
    days = [first + datetime.timedelta(days=number) for number in range((last - first).days + 1)]
    found: list[Stretch] = []
    for row in rows:
        gone = [(one.starts_at, one.ends_at) for one in away if one.person_id in {None, row.person_id}]
        for day in days:
            if day.weekday() == row.weekday:
                found += without([(_at(day, row.starts_at), _at(day, row.ends_at))], gone)
    return found


def _at(day: datetime.date, clock: datetime.time) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(day, clock))


def without(stretches: Iterable[Stretch], taken: Sequence[Stretch]) -> list[Stretch]:
    """Return what is left of stretches when others are taken out of them."""
    left = list(stretches)
    for begin, end in taken:
        parts = [((start, min(stop, begin)), (max(start, end), stop)) for start, stop in left]
        left = [(start, stop) for pair in parts for start, stop in pair if start < stop]
    return sorted(set(left))
