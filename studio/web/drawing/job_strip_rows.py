"""The days of a job's strip: from which hour to which a line goes, where a moment stands on it, and who stands in which lane."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils import timezone

WIDTH, LEFT, TOP = 420.0, 52.0, 26.0
NIGHT = 44.0
MOST_LANES, MOST_ROWS = 4, 45
SLACK = datetime.timedelta(days=14)
# Work that spreads over more of the day than this leaves no night to be drawn narrower.
_WIDEST_H = 18


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """One task in time under its number; what cures after it, and until when the next one must begin."""

    number: int
    label: str
    starts_at: datetime.datetime
    ends_at: datetime.datetime
    waits_until_at: datetime.datetime | None = None
    latest_next_at: datetime.datetime | None = None
    done: bool = False
    pinned: bool = False
    visit: bool = False
    late: bool = False

    @property
    def quiet_at(self) -> datetime.datetime:
        """When nothing of it goes on any more."""
        return max(self.ends_at, self.waits_until_at or self.ends_at)


@dataclass(frozen=True, slots=True)
class Row:
    """One day, from its first hour of work to that of the next; the part after `evening` is drawn narrower."""

    on: datetime.date
    opens: float
    evening: float
    closes: float

    def x(self, at: float) -> float:
        """Return where a moment of this day stands across."""
        wide = WIDTH - LEFT - (NIGHT if self.evening < self.closes else 0.0)
        if at <= self.evening:
            return LEFT + wide * (at - self.opens) / (self.evening - self.opens)
        return LEFT + wide + NIGHT * (at - self.evening) / (self.closes - self.evening)

    def holds(self, moment: datetime.datetime) -> bool:
        """Say whether a moment lies on this day."""
        return self.opens <= moment.timestamp() < self.closes

    def part(self, begins: float, ends: float) -> tuple[float, float] | None:
        """Return from where to where a stretch is drawn on this day; None where it lies on others."""
        if ends <= self.opens or begins >= self.closes:
            return None
        return self.x(max(begins, self.opens)), self.x(min(ends, self.closes))


@dataclass(slots=True)
class Sheet:
    """What is drawn on: rows with the tasks that touch them, each task's lane, and the sheet's foot."""

    rows: list[Row]
    lanes: dict[int, int]
    tasks: Sequence[Worked]
    left_out: int = 0
    tops: dict[datetime.date, float] = field(default_factory=dict)
    foot: float = TOP

    def of(self, row: Row) -> list[Worked]:
        """Return the tasks that are worked on or cure on a day."""
        return [task for task in self.tasks if row.part(task.starts_at.timestamp(), task.quiet_at.timestamp())]


def hours_of(tasks: Sequence[Worked]) -> tuple[int, int]:
    """Return between which hours of the day hands are at work; all of the day where that is most of it."""
    first, last = 24.0, 0.0
    for task in tasks:
        local = timezone.localtime(task.starts_at)
        opens = local.hour + local.minute / 60
        closes = opens + (task.ends_at - task.starts_at).total_seconds() / 3600
        first, last = min(first, opens), max(last, closes)
    opens, closes = int(first), int(-(-last // 1))
    closes = max(closes, opens + 4)
    return (0, 24) if closes - opens > _WIDEST_H or closes > 24 else (opens, closes)


def sheet_of(tasks: Sequence[Worked], first: int, last: int, promised_on: datetime.date | None) -> Sheet:
    """Lay out the days from the first work to the end of curing, or to the promised day where that is near."""
    shift = datetime.timedelta(hours=first)
    begins = (timezone.localtime(min(task.starts_at for task in tasks)) - shift).date()
    # What cures after the last work is drawn for a day at most: it holds nobody up.
    quiet = max(task.quiet_at for task in tasks)
    ends = min(quiet, max(task.ends_at for task in tasks) + datetime.timedelta(days=1))
    finishes = (timezone.localtime(ends) - shift).date()
    # What is left until the promised day is seen where that is near.
    if promised_on is not None and finishes < promised_on <= finishes + SLACK:
        finishes = promised_on
    days = [begins + datetime.timedelta(days=number) for number in range((finishes - begins).days + 1)]
    rows = [_row(day, first, last) for day in days[:MOST_ROWS]]
    return Sheet(rows=rows, lanes=_lanes(tasks), tasks=tasks, left_out=len(days) - len(rows))


def _row(day: datetime.date, first: int, last: int) -> Row:
    def at(hour: int) -> float:
        on = day + datetime.timedelta(days=hour // 24)
        return timezone.make_aware(datetime.datetime.combine(on, datetime.time(hour % 24))).timestamp()

    return Row(on=day, opens=at(first), evening=at(last), closes=at(first + 24))


def _lanes(tasks: Sequence[Worked]) -> dict[int, int]:
    """Give each task a lane in which nothing else is worked on or cures at that time, while there are lanes."""
    ends: list[datetime.datetime] = []
    found: dict[int, int] = {}
    for task in sorted(tasks, key=lambda one: (one.starts_at, one.number)):
        free = next((lane for lane, until in enumerate(ends) if until <= task.starts_at), None)
        if free is None and len(ends) < MOST_LANES:
            ends.append(task.quiet_at)
            free = len(ends) - 1
        elif free is None:
            free = ends.index(min(ends))
        ends[free] = max(ends[free], task.quiet_at)
        found[task.number] = free
    return found
