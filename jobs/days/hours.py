"""When people are there: their weeks and absences as stretches of steps."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Q

from jobs.calendar import USUAL_DAY, USUAL_WEEK
from jobs.days.clock import Grid, local
from jobs.scheduling import domains
from jobs.scheduling.problem import Span
from studio.models import Absence, Person, WorkingHours

Where = WorkingHours.Where
DAY = datetime.timedelta(days=1)
# What hours end with that go on to midnight; a day has no later time.
MIDNIGHT = (23, 59)


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """Somebody's usual week: stretches by weekday, at the bench and from home."""

    bench: Mapping[int, tuple[tuple[datetime.time, datetime.time], ...]] = field(default_factory=dict)
    home: Mapping[int, tuple[tuple[datetime.time, datetime.time], ...]] = field(default_factory=dict)


def weeks(people: Iterable[Person]) -> tuple[dict[int, Week], bool]:
    """Return each person's week, and whether any hours were entered; until then all are there from nine to five.

    Parameters
    ----------
    people : iterable of Person
        Those who work here.
    """
    kept = {person.pk for person in people}
    found: dict[tuple[int, str], dict[int, list[tuple[datetime.time, datetime.time]]]] = defaultdict(lambda: defaultdict(list))
    for row in WorkingHours.objects.filter(person__in=kept).order_by("weekday", "starts_at"):
        found[row.person_id, row.where][row.weekday].append((row.starts_at, row.ends_at))
    if not any(where == Where.BENCH for _, where in found):
        usual = Week(bench=dict.fromkeys(USUAL_WEEK, USUAL_DAY))
        return dict.fromkeys(kept, usual), False
    return {pk: Week(bench=_frozen(found[pk, Where.BENCH.value]), home=_frozen(found[pk, Where.HOME.value])) for pk in kept}, True


def spans_of(week: Mapping[int, tuple[tuple[datetime.time, datetime.time], ...]], grid: Grid, horizon: int) -> tuple[Span, ...]:
    """Return the stretches of a week over the whole horizon, in order, those that touch joined.

    What is not on the grid is rounded so that nobody has to be there longer than they are.
    """
    found: list[Span] = []
    # A day before, whose last stretch may reach into the horizon where the zone of the grid is another.
    day, last = grid.at(0).date() - DAY, grid.at(horizon).date()
    while day <= last:
        for opens, closes in week.get(day.weekday(), ()):
            ends = local(day + DAY, datetime.time(0)) if (closes.hour, closes.minute) == MIDNIGHT else local(day, closes)
            found.append((grid.step_of(local(day, opens), up=True), grid.step_of(ends)))
        day += DAY
    return joined(found, horizon)


def joined(spans: Iterable[Span], horizon: int) -> tuple[Span, ...]:
    """Return stretches cut to the horizon, in order and apart from each other."""
    cut = ((max(opens, 0), min(closes, horizon)) for opens, closes in spans)
    return tuple(domains.joined((opens, closes) for opens, closes in cut if opens < closes))


def absences(people: Iterable[Person], grid: Grid, horizon: int) -> dict[int, tuple[Span, ...]]:
    """Return the stretches in which each person is away, days on which all is closed among them."""
    kept = [person.pk for person in people]
    rows = Absence.objects.filter(Q(person=None) | Q(person__in=kept), ends_at__gt=grid.at(0), starts_at__lt=grid.at(horizon))
    found: dict[int, list[Span]] = defaultdict(list)
    for row in rows:
        span = (grid.step_of(row.starts_at), grid.step_of(row.ends_at, up=True))
        for pk in kept if row.person_id is None else (row.person_id,):
            found[pk].append(span)
    return {pk: joined(spans, horizon) for pk, spans in found.items()}


def end_of_day(on: datetime.date, grid: Grid, benches: Iterable[tuple[Span, ...]]) -> int:
    """Return the step at which the bench hours of a day end, or of the last day before it that has any."""
    midnight = grid.step_of(local(on + DAY, datetime.time(0)))
    # What goes on past midnight ends the day at midnight.
    ends = [min(closes, midnight) for spans in benches for opens, closes in spans if opens < midnight]
    return max(ends, default=max(midnight, 0))


def _frozen(
    by_day: Mapping[int, list[tuple[datetime.time, datetime.time]]],
) -> dict[int, tuple[tuple[datetime.time, datetime.time], ...]]:
    return {weekday: tuple(stretches) for weekday, stretches in by_day.items()}
