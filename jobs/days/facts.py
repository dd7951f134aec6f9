"""What is said of single tasks: pinned, kept waiting, begun, done. Each changes one row and asks for nothing.

`jobs.days.asking.ask_after_news` has the days changed by what was said.
"""

import datetime
from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from jobs.errors import FactRefused
from jobs.models import Job, TaskFact, Timetable, TimetableEntry
from studio.models import Account, Person

# A begin that is said ahead of time by no more than this is a clock that goes wrong.
AHEAD = datetime.timedelta(minutes=10)
LONGEST = datetime.timedelta(days=3)
MOST_WHY = 200


@transaction.atomic
def pin(*, job: Job, task_key: str, at: datetime.datetime, people: Iterable[Person] = (), by: Account | None) -> TaskFact:
    """Hold a task to a begin, and to people; without people those who are to do it now are held."""
    fact, entry = _fact(job, task_key)
    if fact.began_at is not None:
        raise FactRefused(f"“{fact.label}” has begun, so there is nothing to pin.")
    if at < timezone.now():
        raise FactRefused(f"“{fact.label}” cannot be pinned to a time that has passed; choose a later one.")
    hands = _hands(fact, entry, people)
    fact.pinned_at = at
    return _kept(fact, by, hands)


@transaction.atomic
def unpin(*, job: Job, task_key: str, by: Account | None) -> TaskFact | None:
    """Let a task go where it is best again; returns what else is known of it."""
    fact = _standing(job, task_key)
    if fact.pinned_at is None:
        raise FactRefused(f"“{fact.label}” is not pinned.")
    fact.pinned_at = None
    return _kept_or_gone(fact, by)


@transaction.atomic
def keep_waiting(
    *, job: Job, task_key: str, until: datetime.datetime | None, why: str = "", by: Account | None
) -> TaskFact | None:
    """Say that a task cannot begin before a moment, and why; without a moment it waits for nothing any more."""
    if until is None:
        fact = _standing(job, task_key)
        fact.not_before_at, fact.why = None, ""
        return _kept_or_gone(fact, by)
    fact, _ = _fact(job, task_key)
    if fact.began_at is not None:
        raise FactRefused(f"“{fact.label}” has begun, so it cannot be kept waiting.")
    if fact.pinned_at is not None and fact.pinned_at < until:
        raise FactRefused(f"“{fact.label}” is pinned to an earlier time; unpin it first.")
    fact.not_before_at, fact.why = until, why.strip()[:MOST_WHY]
    return _kept(fact, by)


@transaction.atomic
def say_begun(
    *,
    job: Job,
    task_key: str,
    began_at: datetime.datetime,
    ended_at: datetime.datetime | None = None,
    people: Iterable[Person] = (),
    by: Account | None,
) -> TaskFact:
    """Say when a task was begun and when it was or will be done; without an end it takes as long as planned."""
    fact, entry = _fact(job, task_key)
    now = timezone.now()
    if began_at > now + AHEAD:
        raise FactRefused(f"“{fact.label}” cannot have begun at a time that is still ahead.")
    if ended_at is None:
        if entry is None:
            raise FactRefused(f"It is not known how long “{fact.label}” takes; say when it was done.")
        ended_at = began_at + (entry.ends_at - entry.starts_at)
    if ended_at <= began_at:
        raise FactRefused(f"“{fact.label}” must end after it began.")
    if ended_at - began_at > LONGEST:
        raise FactRefused(f"“{fact.label}” would have taken more than three days; correct the day it began or ended.")
    hands = _hands(fact, entry, people)
    fact.began_at, fact.ended_at, fact.pinned_at, fact.not_before_at = began_at, ended_at, None, None
    return _kept(fact, by, hands)


@transaction.atomic
def forget(*, job: Job, task_key: str) -> None:
    """Forget all that was said of a task."""
    _standing(job, task_key).delete()


def _standing(job: Job, task_key: str) -> TaskFact:
    fact = TaskFact.objects.select_for_update().filter(job=job, task_key=task_key).first()
    if fact is None:
        raise FactRefused("Nothing is known of this task beyond its plan.")
    return fact


def _fact(job: Job, task_key: str) -> tuple[TaskFact, TimetableEntry | None]:
    """Return the row of a task, kept or new, and its entry in the newest timetable that has it."""
    fact = TaskFact.objects.select_for_update().filter(job=job, task_key=task_key).first()
    entry = _entry(job, task_key)
    if fact is None and entry is None:
        raise FactRefused("This task is in no timetable; plan the days first.")
    fact = fact or TaskFact(job=job, task_key=task_key)
    if entry is not None:
        fact.label = entry.label
    return fact, entry


def _entry(job: Job, task_key: str) -> TimetableEntry | None:
    """Return a task's entry in the timetable in use, else in the newest that has it."""
    rows = TimetableEntry.objects.filter(job=job, task_key=task_key).select_related("timetable")
    found = sorted(rows, key=lambda one: (_in_use(one.timetable), one.timetable_id))
    return found[-1] if found else None


def _in_use(timetable: Timetable) -> bool:
    return timetable.used_at is not None and timetable.put_by_at is None


def _hands(fact: TaskFact, entry: TimetableEntry | None, people: Iterable[Person]) -> list[Person]:
    """Return who is at a task: those that are named, else those who are to do it; refuse too few or too many."""
    wanted = [] if entry is None else list(entry.people.all())
    named = list(dict.fromkeys(people)) or wanted
    if not named:
        raise FactRefused(f"Say who is at “{fact.label}”.")
    if wanted and len(named) != len(wanted):
        count = {1: "one person", 2: "two people"}.get(len(wanted), f"{len(wanted)} people")
        raise FactRefused(f"“{fact.label}” wants {count}; choose as many.")
    return named


def _kept(fact: TaskFact, by: Account | None, people: Iterable[Person] | None = None) -> TaskFact:
    fact.noted_by, fact.noted_at = by, timezone.now()
    fact.save()
    if people is not None:
        fact.people.set(people)
    return fact


def _kept_or_gone(fact: TaskFact, by: Account | None) -> TaskFact | None:
    said: tuple[Any, ...] = (fact.pinned_at, fact.not_before_at, fact.began_at)
    if any(one is not None for one in said):
        return _kept(fact, by)
    fact.delete()
    return None
