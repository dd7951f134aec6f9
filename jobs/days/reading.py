"""Reading timetables: the one in use, and its entries as pages, prints and feeds show them."""

import datetime

from django.db.models import Prefetch

from jobs.models import Job, Timetable, TimetableEntry
from studio.models import Person

# Long, and read by the worker and by explanations only.
NOT_SHOWN = ("problem",)


def current() -> Timetable | None:
    """Return the timetable that people go by, or None."""
    found: Timetable | None = Timetable.objects.defer(*NOT_SHOWN).in_use()
    return found


def proposal() -> Timetable | None:
    """Return what is being looked for or waits to be used or put by, or None."""
    found: Timetable | None = Timetable.objects.defer(*NOT_SHOWN).proposal()
    return found


def before_current() -> Timetable | None:
    """Return the timetable that `go_back` would take up again, or None."""
    return (
        Timetable.objects.defer(*NOT_SHOWN).filter(used_at__isnull=False, put_by_at__isnull=False).order_by("-put_by_at").first()
    )


def entries(
    timetable: Timetable,
    *,
    since: datetime.datetime | None = None,
    until: datetime.datetime | None = None,
    job: Job | None = None,
    person: Person | None = None,
) -> list[TimetableEntry]:
    """Return entries by their begin, with their jobs and people, in as many queries however many there are.

    Parameters
    ----------
    timetable : Timetable
        Of which.
    since, until : datetime, optional
        Only those that end after the one and begin before the other.
    job : Job, optional
        Only those of one job.
    person : Person, optional
        Only those at which one person is.
    """
    found = TimetableEntry.objects.filter(timetable=timetable)
    if since is not None:
        found = found.filter(ends_at__gt=since)
    if until is not None:
        found = found.filter(starts_at__lt=until)
    if job is not None:
        found = found.filter(job=job)
    if person is not None:
        found = found.filter(people=person)
    people = Prefetch("people", queryset=Person.objects.order_by("name", "pk"))
    return list(found.select_related("job", "job__client", "job__piece").prefetch_related(people))
