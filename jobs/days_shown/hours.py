"""When people are at the bench on certain days, as moments: their hours less their absences."""

import datetime
from collections.abc import Iterable, Sequence

from jobs.days.clock import Grid, local
from jobs.days.hours import absences, end_of_day, joined, spans_of, weeks
from jobs.scheduling.domains import without
from jobs.scheduling.problem import Span
from studio.models import Person
from studio.web.drawing.days_values import Stretch

MIDNIGHT = datetime.time(0)


class OpenHours:
    """The hours of some people over some days, read once."""

    def __init__(self, people: Sequence[Person], *, first: datetime.date, days: int) -> None:
        begins, ends = local(first, MIDNIGHT), local(first + datetime.timedelta(days=days), MIDNIGHT)
        self._first, self._last = first, first + datetime.timedelta(days=days - 1)
        self._grid = Grid(begins_at=begins)
        horizon = self._grid.step_of(ends)
        week, _ = weeks(people)
        away = absences(people, self._grid, horizon)
        self._spans: dict[int, tuple[Span, ...]] = {
            person.pk: without(spans_of(week[person.pk].bench, self._grid, horizon), list(away.get(person.pk, ())))
            for person in people
        }
        self._whole = joined([span for spans in self._spans.values() for span in spans], horizon)

    def of(self, person: Person) -> tuple[Stretch, ...]:
        """Return when somebody is at the bench."""
        return self._moments(self._spans[person.pk])

    def anybody(self) -> tuple[Stretch, ...]:
        """Return when at least one of them is there."""
        return self._moments(self._whole)

    def end_of(self, on: datetime.date) -> datetime.datetime | None:
        """Return when the bench hours of a day end, or those of the last day before it that has any; None for other days."""
        if not self._first <= on <= self._last:
            return None
        return self._grid.at(end_of_day(on, self._grid, self._spans.values()))

    def _moments(self, spans: Iterable[Span]) -> tuple[Stretch, ...]:
        return tuple((self._grid.at(opens), self._grid.at(closes)) for opens, closes in spans)
