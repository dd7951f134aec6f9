"""People as the scheduling core knows them: their hours, visits and training on the grid."""

from collections.abc import Collection, Iterable

from django.db.models import Q

from jobs.days.clock import Grid
from jobs.days.hours import Week, spans_of, weeks
from jobs.days.skills import training_of
from jobs.scheduling.domains import without
from jobs.scheduling.problem import Person
from studio.models import Person as PersonRow


def people_of(
    grid: Grid, horizon: int, wanted: Iterable[tuple[str, ...]], named: Collection[int]
) -> tuple[tuple[Person, ...], bool]:
    """Return everybody who works here, and whether any hours are entered.

    Parameters
    ----------
    grid, horizon : Grid, int
        What is looked at.
    wanted : iterable of tuple of str
        The trainings that are asked for together.
    named : collection of int
        Those who have begun something or are to do something, here still or not; who is not gets no hours.
    """
    rows = list(PersonRow.objects.filter(Q(active=True) | Q(pk__in=named)).prefetch_related("skills").order_by("pk"))
    by_week, entered = weeks([row for row in rows if row.active])
    trainings = list(wanted)
    found = []
    for row in rows:
        week = by_week.get(row.pk, Week())
        hours = spans_of(week.bench, grid, horizon)
        skills, until = training_of(row, trainings, grid)
        found.append(
            Person(
                key=str(row.pk),
                label=row.name,
                hours=hours,
                visits=without(spans_of(week.home, grid, horizon), list(hours)),
                skills=skills,
                until=until,
            )
        )
    return tuple(found), entered
