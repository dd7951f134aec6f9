"""Changes to people and their working hours."""

from collections.abc import Iterable
from datetime import date, time, timedelta
from decimal import Decimal

from django.db import transaction

from studio.models import Account, Person, Skill, WorkingHours
from studio.services.errors import PeopleError

TRAINING_LASTS_YEARS = 5  # standard: Regulation (EU) 2020/1149, REACH Annex XVII entry 74: renewed at least every five years


def training_until(trained_on: date) -> date:
    """Return the last day on which isocyanate training of a given day still counts."""
    year = trained_on.year + TRAINING_LASTS_YEARS
    try:
        anniversary = trained_on.replace(year=year)
    except ValueError:  # 29 February
        anniversary = date(year, 3, 1)
    return anniversary - timedelta(days=1)


@transaction.atomic
def save_person(
    *,
    person: Person | None,
    name: str,
    rate_per_h: Decimal,
    account: Account | None,
    isocyanate_trained_on: date | None,
    isocyanate_trained_until_on: date | None,
    note: str,
    skills: Iterable[Skill] | None = None,
) -> Person:
    """Add a person, or change one; a training day without an end gets the longest the regulation allows.

    `skills` None leaves the person's skills as they are.
    """
    person = person or Person()
    person.name, person.rate_per_h, person.account, person.note = name, rate_per_h, account, note
    person.isocyanate_trained_on = isocyanate_trained_on
    person.isocyanate_trained_until_on = isocyanate_trained_until_on
    if isocyanate_trained_on and not isocyanate_trained_until_on:
        person.isocyanate_trained_until_on = training_until(isocyanate_trained_on)
    person.save()
    if skills is not None:
        person.skills.set(skills)
    return person


def retire_person(*, person: Person) -> None:
    """Leave a person out of new plans; everything they did keeps their name."""
    person.active = False
    person.save(update_fields=["active"])


def bring_person_back(*, person: Person) -> None:
    """Let a retired person be planned again."""
    person.active = True
    person.save(update_fields=["active"])


@transaction.atomic
def add_hours(*, person: Person, weekdays: Iterable[int], starts_at: time, ends_at: time, where: str) -> list[WorkingHours]:
    """Add one stretch of hours to each of some weekdays; stretches of one day may not overlap."""
    Person.objects.select_for_update().get(pk=person.pk)
    standing = list(person.hours.all())
    added = []
    for weekday in sorted(set(weekdays)):
        for other in standing:
            if other.weekday == weekday and other.starts_at < ends_at and starts_at < other.ends_at:
                raise PeopleError(
                    f"These hours overlap {other}, {other.get_where_display()}. Remove that stretch first or choose other times."
                )
        added.append(WorkingHours(person=person, weekday=weekday, starts_at=starts_at, ends_at=ends_at, where=where))
    return WorkingHours.objects.bulk_create(added)


def remove_hours(*, person: Person, hours_id: int) -> WorkingHours:
    """Remove one stretch of a person's hours and return what it was."""
    stretch = person.hours.filter(pk=hours_id).first()
    if stretch is None:
        raise PeopleError("Those hours were removed already.")
    removed = WorkingHours(
        person=person,
        weekday=stretch.weekday,
        starts_at=stretch.starts_at,
        ends_at=stretch.ends_at,
        where=stretch.where,
    )
    stretch.delete()
    return removed
