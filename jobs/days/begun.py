"""What has begun: by what was said, by the timetable that people go by, or because something after it has."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from jobs.days.core_keys import core_key
from jobs.models import TaskFact, TimetableEntry
from jobs.scheduling.network import Network

# A wait that began longer ago is over, whatever was laid.
OVER_AFTER = datetime.timedelta(days=14)
_SUPPOSED = datetime.timedelta(minutes=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """When a task was begun and done, or will be, and by whom; `supposed` where nobody said so and no timetable does."""

    starts_at: datetime.datetime
    ends_at: datetime.datetime
    people: tuple[int, ...]
    supposed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """All that is known of the tasks of the jobs that are laid out, by key of the core.

    `said` are facts, `promised` the entries of the timetable in use.
    """

    said: Mapping[str, TaskFact] = field(default_factory=dict)
    promised: Mapping[str, TimetableEntry] = field(default_factory=dict)

    def waits_until(self, key: str) -> datetime.datetime | None:
        """Return until when a task is kept waiting."""
        return self.said[key].not_before_at if key in self.said else None


def begun_in(network: Network, told: Told, now: datetime.datetime) -> dict[str, Happened]:
    """Return what has begun of one job.

    What was to begin before now, and of which nothing else was said, has begun as planned where all that it waits for has.
    What something that has begun waits for must be done: as planned, or else right before it.
    """
    before: dict[str, list[str]] = {task.key: [] for task in network.tasks}
    for link in network.links:
        before[link.after].append(link.before)
    found: dict[str, Happened] = {}
    # The tasks of a network stand in an order in which each comes after those that it waits for.
    for task in network.tasks:
        if task.key in told.said and (fact := told.said[task.key]).began_at is not None and fact.ended_at is not None:
            people = tuple(sorted(person.pk for person in fact.people.all()))
            found[task.key] = Happened(starts_at=fact.began_at, ends_at=fact.ended_at, people=people)
        elif all(key in found for key in before[task.key]) and _as_planned(task.key, told, now):
            found[task.key] = _planned(told.promised[task.key])
    for task in reversed(network.tasks):
        if task.key in found:
            for key in before[task.key]:
                found.setdefault(key, _right_before(found[task.key], told.promised.get(key)))
    return found


def still_felt(network: Network, begun: Mapping[str, Happened], now: datetime.datetime) -> set[str]:
    """Return what has begun and still binds anything: it goes on, or something that has not begun waits for it."""
    found = {key for key, one in begun.items() if one.ends_at > now}
    for link in network.links:
        if link.before in begun and link.after not in begun and begun[link.before].ends_at > now - OVER_AFTER:
            found.add(link.before)
    return found


def told_of(facts: Iterable[TaskFact], entries: Iterable[TimetableEntry]) -> Told:
    """Sort facts and entries, their people fetched, by the core's keys."""
    return Told(
        said={core_key(fact): fact for fact in facts},
        promised={core_key(entry): entry for entry in entries},
    )


def _as_planned(key: str, told: Told, now: datetime.datetime) -> bool:
    entry = told.promised.get(key)
    if entry is None or entry.starts_at >= now:
        return False
    waits = told.waits_until(key)
    return waits is None or entry.starts_at >= waits


def _planned(entry: TimetableEntry) -> Happened:
    people = tuple(sorted(person.pk for person in entry.people.all()))
    return Happened(starts_at=entry.starts_at, ends_at=entry.ends_at, people=people)


def _right_before(after: Happened, entry: TimetableEntry | None) -> Happened:
    if entry is not None and entry.ends_at <= after.starts_at:
        return _planned(entry)
    length = _SUPPOSED if entry is None else entry.ends_at - entry.starts_at
    people = after.people if entry is None else _planned(entry).people
    return Happened(starts_at=after.starts_at - length, ends_at=after.starts_at, people=people, supposed=True)
