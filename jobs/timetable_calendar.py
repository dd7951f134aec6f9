"""The clock times of a job's work out of the timetable in use; where the job is not in it, from its own start as ever."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils import timezone

from jobs.calendar import calendar_of, studio_hours
from jobs.days.reading import current, entries
from jobs.entry_waits import tasks_by_key, waits_of
from jobs.feeds.words import late_text, place_of
from jobs.models import Job, Timetable, TimetableEntry
from jobs.planning.results import Coat, MoldPlan, Task
from jobs.planning.work.handout_times import FRESH_RUBBER, CoatTime, CureCalendar
from jobs.planning.work.work import at_position

NOT_IN_USE = "No days are in use for this job; the times below suppose its own start and the studio's hours."
OTHER_PLAN = (
    "The days in use were laid out for an earlier plan of this job, so the times below suppose its own start and the studio's "
    "hours. Plan the days anew."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidTask:
    """A task of the plan on the clock, its parts taken together: when, by whom, where, and what waits after it."""

    key: str
    label: str
    place: str
    starts_at: datetime.datetime
    ends_at: datetime.datetime
    people: tuple[str, ...]
    earliest_next_at: datetime.datetime | None
    latest_next_at: datetime.datetime | None
    late: str
    done: bool
    visit: bool

    @property
    def by(self) -> str:
        """Who does it, and that it is outside of hours where it is."""
        return ", ".join([*self.people, *(["outside of hours"] if self.visit else [])])


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkTimes:
    """The coats on the clock; the rest is there where the timetable has the job: `tasks` by their keys in the plan, and `parts`.

    A task too long for one stretch has several parts, and a run as many as it has sets of castings.

    `words` say in a sentence where the times come from when they are not those of a timetable.
    """

    calendar: CureCalendar
    timetable: Timetable | None
    tasks: Mapping[str, LaidTask]
    parts: tuple[LaidTask, ...]
    words: str

    def of_coat(self, time: CoatTime, positions: int) -> LaidTask | None:
        """Return the entry of a coat at its position."""
        return self.tasks.get(at_position(f"coat_{time.coat_number}", time.position, positions))


def work_times(job: Job, plan: MoldPlan) -> WorkTimes:
    """Return when a job's work is done: as the timetable in use has it, else as laid out from the job's own start.

    A timetable that lacks a coat of this plan was laid out for another plan; its times would mislead, so they are not taken.
    """
    timetable = current()
    found = [] if timetable is None else entries(timetable, job=job)
    tasks = laid_tasks(found, plan)
    words = NOT_IN_USE
    if timetable is not None and tasks:
        calendar = _calendar(plan, tasks)
        if calendar is not None:
            planned = tasks_by_key(plan)
            parts = tuple(_taken_together(one.plan_key, [one], planned) for one in found)
            return WorkTimes(calendar=calendar, timetable=timetable, tasks=tasks, parts=parts, words="")
        words = OTHER_PLAN
    return WorkTimes(calendar=calendar_of(job, plan, studio_hours()), timetable=None, tasks={}, parts=(), words=words)


def laid_tasks(found: Sequence[TimetableEntry], plan: MoldPlan | None = None) -> dict[str, LaidTask]:
    """Take the parts of each task together, in the order of their begins; the plan tells the waits of what is long done."""
    planned = tasks_by_key(plan)
    by_key = groupby(sorted(found, key=lambda one: (one.plan_key, one.starts_at)), key=lambda one: one.plan_key)
    tasks = [_taken_together(key, list(parts), planned) for key, parts in by_key]
    return {task.key: task for task in sorted(tasks, key=lambda one: (one.starts_at, one.ends_at))}


def _taken_together(key: str, parts: list[TimetableEntry], planned: Mapping[str, Task]) -> LaidTask:
    last, late = max(parts, key=lambda one: one.ends_at), max(parts, key=lambda one: one.late_min)
    earliest_next_at, latest_next_at = waits_of(last, planned)
    names = sorted({person.name for part in parts for person in part.people.all()})
    said = f"It begins {late_text(late.late_min)} after its window closed. {late.remedy}".strip() if late.late_min else ""
    return LaidTask(
        key=key,
        label=parts[0].label if len(parts) == 1 else parts[0].label.rpartition(" (1 of ")[0] or parts[0].label,
        place=place_of(parts[0]),
        starts_at=timezone.localtime(parts[0].starts_at),
        ends_at=timezone.localtime(last.ends_at),
        people=tuple(names),
        earliest_next_at=earliest_next_at and timezone.localtime(earliest_next_at),
        latest_next_at=latest_next_at and timezone.localtime(latest_next_at),
        late=said,
        done=all(part.done for part in parts),
        visit=any(part.visit for part in parts),
    )


def _calendar(plan: MoldPlan, tasks: Mapping[str, LaidTask]) -> CureCalendar | None:
    """Return the coats of the first mold by the timetable; None where it lacks one of them."""
    coats: list[CoatTime] = []
    for position in range(1, plan.positions + 1):
        for coat in plan.coats:
            task = tasks.get(at_position(f"coat_{coat.number}", position, plan.positions))
            if task is None:
                return None
            coats.append(_coat_time(coat, position, task))
    fresh = [tasks[key] for key in FRESH_RUBBER if key in tasks]
    rests = [task.earliest_next_at or task.ends_at for task in fresh] or [coats[-1].earliest_next_at]
    return CureCalendar(coats=tuple(coats), blanket_ready_at=max(rests))


def _coat_time(coat: Coat, position: int, task: LaidTask) -> CoatTime:
    return CoatTime(
        position=position,
        coat_number=coat.number,
        role=coat.role,
        starts_at=task.starts_at,
        ends_at=task.ends_at,
        earliest_next_at=task.earliest_next_at or task.ends_at,
        latest_next_at=task.latest_next_at,
        flags=(task.late,) if task.late else (),
    )
