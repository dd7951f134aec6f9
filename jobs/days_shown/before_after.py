"""A proposal beside the timetable it would take the place of: each job's end, and each task that moves."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils import timezone

from jobs.days import reading
from jobs.days_shown.drawn import Before, is_late
from jobs.models import Job, Timetable, TimetableEntry

DONE = "It has begun then."
PLANNED_ANEW = "Its job is planned otherwise than it was when the days before were made."


@dataclass(frozen=True, slots=True, kw_only=True)
class JobChange:
    """A job's end in both timetables, None where it is not laid out in one."""

    job: Job
    before: datetime.datetime | None
    after: datetime.datetime | None

    @property
    def late(self) -> bool:
        """Say whether it would end after its promised day."""
        return is_late(self.job, self.after)

    @property
    def days_later(self) -> int:
        """By how many days it ends later; less than nought where it ends earlier."""
        if self.before is None or self.after is None:
            return 0
        return (timezone.localtime(self.after).date() - timezone.localtime(self.before).date()).days

    @property
    def days_earlier(self) -> int:
        """By how many days it ends earlier."""
        return -self.days_later

    @property
    def same(self) -> bool:
        """Say whether its end stays."""
        return self.before == self.after


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One task that is elsewhere in the proposal, or with other people; `why` is what the search says about it."""

    now: TimetableEntry
    was: TimetableEntry
    why: str

    @property
    def other_people(self) -> bool:
        """Say whether other people do it."""
        return _names(self.was) != _names(self.now)


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """All that a proposal changes against the timetable before it."""

    against: Timetable | None
    jobs: tuple[JobChange, ...]
    moves: tuple[Move, ...]
    kept: int
    places: Mapping[tuple[int, str], Before]

    @property
    def ends_move(self) -> bool:
        """Say whether the end of any job changes."""
        return any(not change.same for change in self.jobs)


def before_after(timetable: Timetable, *, entries: list[TimetableEntry]) -> Changes:
    """Compare a proposal with the timetable in use, or one that was used with the one it took the place of."""
    against = timetable.base if timetable.used_at else reading.current()
    before = reading.entries(against) if against is not None else []
    old = {(entry.job_id, entry.task_key): entry for entry in before}
    why = {(one["job"], one["key"]): one["why"] for one in timetable.moved}
    # The search gives a reason for every move of a job whose plan is still the one of the days that it began from.
    unsaid = PLANNED_ANEW if against is not None and timetable.base_id == against.pk else ""
    moves, kept = [], 0
    for entry in entries:
        was = old.get((entry.job_id, entry.task_key))
        if was is None:
            continue
        if (was.starts_at, _names(was)) == (entry.starts_at, _names(entry)):
            kept += 1
            continue
        moves.append(Move(now=entry, was=was, why=why.get((entry.job.number, entry.task_key), DONE if entry.done else unsaid)))
    return Changes(
        against=against,
        jobs=_job_changes(before, entries),
        moves=tuple(moves),
        kept=kept,
        places={
            (move.now.job_id, move.now.task_key): Before(
                starts_at=move.was.starts_at,
                ends_at=move.was.ends_at,
                people=tuple(person.pk for person in move.was.people.all()),
            )
            for move in moves
        },
    )


def _job_changes(before: list[TimetableEntry], after: list[TimetableEntry]) -> tuple[JobChange, ...]:
    """Return every job of either timetable, those whose end moves first."""
    jobs = {entry.job_id: entry.job for entry in (*before, *after)}
    ends: tuple[dict[int, datetime.datetime], dict[int, datetime.datetime]] = ({}, {})
    for rows, last in zip((before, after), ends, strict=True):
        for entry in rows:
            last[entry.job_id] = max(last.get(entry.job_id, entry.ends_at), entry.ends_at)
    changes = [JobChange(job=job, before=ends[0].get(pk), after=ends[1].get(pk)) for pk, job in jobs.items()]
    return tuple(sorted(changes, key=lambda change: (change.same, -abs(change.days_later), change.job.number)))


def _names(entry: TimetableEntry) -> list[str]:
    return [person.name for person in entry.people.all()]
