"""Who is away when, and when the whole studio is closed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from studio.local_time import start_of_day, whole_days
from studio.models import Absence, Account, Person
from studio.services.errors import AbsenceError
from studio.web.context import current_profile
from studio.web.formats import clock_text, day_text, locale_code

LONGEST = timedelta(days=3 * 366)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedDays:
    """Days on which the whole studio is closed, from the first to the last, and why."""

    first_on: date
    last_on: date
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """What came of a list of closed days: what was added, and what was closed already."""

    added: list[Absence]
    known: list[ClosedDays]


@transaction.atomic
def add_absence(*, person: Person | None, starts_at: datetime, ends_at: datetime, why: str, by: Account | None) -> Absence:
    """Write down that somebody is away, or without a person that the studio is closed."""
    if ends_at <= starts_at:
        raise AbsenceError("This ends before it begins. Correct one of the two.")
    if ends_at - starts_at > LONGEST:
        raise AbsenceError("That is longer than three years. Check the years, or let the person leave the studio instead.")
    known = Absence.objects.filter(person=person, starts_at__lte=starts_at, ends_at__gte=ends_at).first()
    if known is not None:
        who = f"{person.name} is away" if person else "The studio is closed"
        raise AbsenceError(f"{who} then already: {words(known)}. Remove that first to write it anew.")
    return Absence.objects.create(person=person, starts_at=starts_at, ends_at=ends_at, why=why, noted_by=by)


@transaction.atomic
def add_closed_days(*, days: Iterable[ClosedDays], by: Account | None) -> Closed:
    """Close the studio on a list of days; days that are closed already are left as they are."""
    zone, added, known = _zone(), list[Absence](), list[ClosedDays]()
    for one in days:
        starts_at, ends_at = start_of_day(one.first_on, zone), start_of_day(one.last_on + timedelta(days=1), zone)
        if Absence.objects.filter(person=None, starts_at__lte=starts_at, ends_at__gte=ends_at).exists():
            known.append(one)
            continue
        added.append(add_absence(person=None, starts_at=starts_at, ends_at=ends_at, why=one.why, by=by))
    return Closed(added=added, known=known)


@transaction.atomic
def remove_absence(*, absence_id: int) -> Absence:
    """Take an absence off the list and return what it was, so that it can be brought back."""
    absence = Absence.objects.select_for_update(of=("self",)).select_related("person").filter(pk=absence_id).first()
    if absence is None:
        raise AbsenceError("This was removed already.")
    removed = Absence(
        person=absence.person, starts_at=absence.starts_at, ends_at=absence.ends_at, why=absence.why,
        noted_by_id=absence.noted_by_id,
    )  # fmt: skip
    absence.delete()
    return removed


def bring_absence_back(*, person_id: int | None, starts_at: datetime, ends_at: datetime, why: str, by: Account | None) -> Absence:
    """Put a removed absence back as it was."""
    person = None if person_id is None else Person.objects.filter(pk=person_id).first()
    if person_id is not None and person is None:
        raise AbsenceError("This person is no longer in the list of people, so nothing was put back.")
    return add_absence(person=person, starts_at=starts_at, ends_at=ends_at, why=why, by=by)


def absences_from(now: datetime) -> QuerySet[Absence]:
    """Return what has not ended yet, the next first."""
    return Absence.objects.filter(ends_at__gt=now).select_related("person", "noted_by").order_by("starts_at", "pk")


def absences_before(now: datetime) -> QuerySet[Absence]:
    """Return what is over, the last first."""
    return Absence.objects.filter(ends_at__lte=now).select_related("person", "noted_by").order_by("-ends_at", "-pk")


def absences_of(person: Person, now: datetime) -> QuerySet[Absence]:
    """Return what keeps a person away from now on, closed days of the studio with it."""
    return absences_from(now).filter(Q(person=person) | Q(person=None))


def words(absence: Absence) -> str:
    """Say a stretch as pages write days and times."""
    zone, locale = _zone(), locale_code(current_profile())
    today = timezone.localdate()
    days = whole_days(absence.starts_at, absence.ends_at, zone)
    if days is None:
        starts_at, ends_at = absence.starts_at.astimezone(zone), absence.ends_at.astimezone(zone)
        until = clock_text(ends_at.time(), locale)
        if starts_at.date() != ends_at.date():
            until = f"{day_text(ends_at.date(), today, locale)} {until}"
        return f"{day_text(starts_at.date(), today, locale)} {clock_text(starts_at.time(), locale)} to {until}"
    first, last = (day_text(day, today, locale) for day in days)
    return first if first == last else f"{first} to {last}"


def _zone() -> tzinfo:
    return timezone.get_current_timezone()
