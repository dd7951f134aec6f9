"""Clock times for the cure-schedule handout: simple dates from one start, coats in order, within working hours."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta

from jobs.planning.errors import BadBrief
from jobs.planning.results import CoatRole, MoldPlan
from studio.workrates import Stage

LONGEST_SEARCH_DAYS = 60
# What is fixed to the finished coats with fresh rubber, which cures before the shell.
FRESH_RUBBER = ("fill", "parting_strip", "keys")
TOO_LONG = "This coat takes longer than any working stretch; lay it with more people, or stay until it is done."
CLOSES_UNSEEN = (
    "The window for the next coat closes when nobody works; start earlier, or have somebody lay the next coat in time."
)
LEFT_OVERNIGHT = "This coat would lie alone overnight, and it should not; start earlier so that the next coat is on it."


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingHours:
    """When somebody works: stretches of the day by weekday (0 is Monday), and days off."""

    by_weekday: Mapping[int, tuple[tuple[time, time], ...]]
    days_off: frozenset[date] = field(default_factory=frozenset)

    def stretches(self, day: date) -> tuple[tuple[time, time], ...]:
        """Return the working stretches of one day, in order."""
        return () if day in self.days_off else tuple(sorted(self.by_weekday.get(day.weekday(), ())))


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatTime:
    """One coat on the clock. `flags` say what the window and the hours do to each other; empty means all is well."""

    position: int
    coat_number: int
    role: CoatRole
    starts_at: datetime
    ends_at: datetime
    earliest_next_at: datetime
    latest_next_at: datetime | None
    flags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CureCalendar:
    """All coats on the clock, and when the last rubber of the blanket has cured: coats, fill, parting strip and keys.

    `strip_by_at` is the last working moment at which the parting strip may be cast to be cured when it is glued on.
    """

    coats: tuple[CoatTime, ...]
    blanket_ready_at: datetime
    strip_by_at: datetime | None = None


def cure_calendar(plan: MoldPlan, *, starts_at: datetime, hours: WorkingHours) -> CureCalendar:
    """Lay the coats out in time, each as early as its window and the working hours allow.

    Parameters
    ----------
    plan : MoldPlan
        The plan; a piece of several positions gets all its coats at each position in turn, and is turned and put on its
        board between them. A coat that lies over a night colder than the day is waited for as long as that takes.
    starts_at : datetime
        Earliest start of the print coat, aware.
    hours : WorkingHours
        When somebody works, in the zone of `starts_at`.

    Raises
    ------
    BadBrief
        When the start has no time zone, or nobody works in the next sixty days.
    """
    if starts_at.tzinfo is None:
        raise BadBrief("The start of the coats needs a time zone.")
    entries: list[CoatTime] = []
    ready_at = starts_at
    for position in range(1, plan.positions + 1):
        if position > 1:
            ready_at = _worked(ready_at, _minutes_of(plan, position, Stage.PREPARE), hours)
        laid = _lay(plan, position, ready_at, hours)
        entries.extend(laid)
        ready_at = laid[-1].earliest_next_at
    ready_at, strip_by_at = _closed(plan, entries[-1], hours)
    return CureCalendar(coats=tuple(entries), blanket_ready_at=ready_at, strip_by_at=strip_by_at)


def _lay(plan: MoldPlan, position: int, ready_at: datetime, hours: WorkingHours) -> list[CoatTime]:
    """Lay all coats at one position, then flag each window that the next coat misses."""
    entries: list[CoatTime] = []
    for coat in plan.coats:
        minutes = coat.places[position - 1].minutes.value / plan.people_per_coat
        begin, fits = _next_start(ready_at, minutes, hours)
        end = _plus(begin, minutes)
        last = coat is plan.coats[-1]
        earliest = _plus(end, coat.earliest_next.value)
        if coat.earliest_by_night is not None and _next_start(earliest, 0.0, hours)[0].date() != end.date():
            earliest = max(earliest, _plus(end, coat.earliest_by_night.value))
        entries.append(
            CoatTime(
                position=position,
                coat_number=coat.number,
                role=coat.role,
                starts_at=begin,
                ends_at=end,
                earliest_next_at=earliest,
                latest_next_at=None if last or coat.latest_next is None else _plus(end, math.floor(coat.latest_next.value)),
                flags=() if fits else (TOO_LONG,),
            )
        )
        ready_at = earliest
        if coat is plan.coats[0]:
            ready_at = _worked(ready_at, _minutes_of(plan, position, Stage.COATS, key="gauges"), hours)
    nexts = [*entries[1:], None]
    return [
        replace(entry, flags=(*entry.flags, *_window_flags(entry, following, leave=coat.leave_overnight)))
        for entry, following, coat in zip(entries, nexts, plan.coats, strict=True)
    ]


def _minutes_of(plan: MoldPlan, position: int, stage: Stage, *, key: str = "") -> float:
    """Return how long the work on the first mold at one position takes that is no coat [min]."""
    return sum(
        task.minutes.value / task.people
        for task in plan.tasks
        if task.stage is stage
        and (task.position or 1) == position
        and task.key.startswith(key)
        and not task.key.startswith("coat_")
        and "_mold_" not in task.key
    )


def _worked(ready_at: datetime, minutes: float, hours: WorkingHours) -> datetime:
    """Return when work that begins as early as it can is done."""
    return ready_at if minutes <= 0 else _plus(_next_start(ready_at, minutes, hours)[0], minutes)


def _closed(plan: MoldPlan, last: CoatTime, hours: WorkingHours) -> tuple[datetime, datetime | None]:
    """Return when the last rubber has cured, and by when the strip is cast, with what follows the last coat laid in turn."""
    ready_at, strip_by_at = _plus(last.ends_at, plan.blanket_cure.value), None
    free_at, coats_done = last.earliest_next_at, False
    for task in plan.tasks:
        if task.key.startswith("coat_"):
            coats_done = True
        elif coats_done and task.key in FRESH_RUBBER:
            begin, _ = _next_start(free_at, task.minutes.value / task.people, hours)
            end = _plus(begin, task.minutes.value / task.people)
            free_at, ready_at = _plus(end, task.wait_after_min), _plus(end, plan.blanket_cure.value)
            if task.key == "parting_strip" and plan.strip is not None:
                casting = sum(one.minutes.value for one in plan.tasks if one.key == "strip_pour")
                strip_by_at = _latest_start(_plus(begin, -math.ceil(plan.strip.cure.value)), casting, hours)
    return ready_at, strip_by_at


def _window_flags(entry: CoatTime, following: CoatTime | None, *, leave: bool) -> tuple[str, ...]:
    if following is None:
        return ()
    flags = []
    if entry.latest_next_at is not None and following.starts_at > entry.latest_next_at:
        flags.append(CLOSES_UNSEEN)
    if not leave and following.starts_at.date() != entry.ends_at.date():
        flags.append(LEFT_OVERNIGHT)
    return tuple(flags)


def _latest_start(by: datetime, minutes: float, hours: WorkingHours) -> datetime:
    """Find the last moment at which work can begin that is done by then; without room anywhere, round the clock."""
    for offset in range(LONGEST_SEARCH_DAYS):
        day = by.date() - timedelta(days=offset)
        for opens, closes in reversed(hours.stretches(day)):
            begin = _plus(min(datetime.combine(day, closes, by.tzinfo), by), -math.ceil(minutes))
            if begin >= datetime.combine(day, opens, by.tzinfo):
                return begin
    return _plus(by, -math.ceil(minutes))


def _next_start(ready_at: datetime, minutes: float, hours: WorkingHours) -> tuple[datetime, bool]:
    """Find the first moment from `ready_at` with room for the coat; without room anywhere, the first working moment."""
    first: datetime | None = None
    for offset in range(LONGEST_SEARCH_DAYS):
        day = ready_at.date() + timedelta(days=offset)
        for opens, closes in hours.stretches(day):
            begin = max(datetime.combine(day, opens, ready_at.tzinfo), ready_at)
            end_of_stretch = datetime.combine(day, closes, ready_at.tzinfo)
            if begin >= end_of_stretch:
                continue
            first = first or begin
            if _plus(begin, minutes) <= end_of_stretch:
                return begin, True
        # Room that is not found in two weeks of working days is not going to appear.
        if first is not None and offset > 14:
            break
    if first is None:
        raise BadBrief("Nobody works in the next sixty days; enter working hours under Studio, People.")
    return first, False


def _plus(moment: datetime, minutes: float) -> datetime:
    """Add real minutes, rounded up to whole ones, through a change of the clocks too."""
    return (moment.astimezone(UTC) + timedelta(minutes=math.ceil(minutes - 1e-9))).astimezone(moment.tzinfo)
