"""One job in the timetable in use: its tasks with clock times, its strip, its end against the promised day."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.safestring import SafeString

from jobs.calendar import studio_hours
from jobs.days import reading
from jobs.days.said import worded
from jobs.job_days.promised import promised_day
from jobs.models import Job, TaskFact, Timetable, TimetableEntry
from jobs.planning.results import MoldPlan
from studio.figures import Caution
from studio.models import Person
from studio.web.drawing.job_strip import job_strip
from studio.web.drawing.job_strip_rows import Worked

# What belongs to every material alike; it stands once under the table.
_OF_EVERYTHING = "sheets"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLine:
    """One task of the job on the clock, under the number that the strip gives it."""

    number: int
    entry: TimetableEntry
    people: tuple[Person, ...]
    fact: TaskFact | None
    cautions: tuple[Caution, ...]

    @property
    def begun(self) -> bool:
        """Say whether it was begun: by what was said, or when these days were made."""
        return self.entry.done or (self.fact is not None and self.fact.began_at is not None)

    @property
    def supposed(self) -> bool:
        """Say whether it counts as begun as planned because nobody said otherwise."""
        held = self.fact is not None and self.fact.not_before_at is not None
        return not self.begun and not held and self.entry.starts_at < timezone.now()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobDays:
    """A job as the timetable in use has it."""

    timetable: Timetable
    lines: tuple[TaskLine, ...]
    strip: SafeString
    ends_at: datetime.datetime
    # The day that could be promised for that end.
    ends_for: datetime.date
    promised_on: datetime.date | None
    days_late: int
    late_min: int

    @property
    def begins_at(self) -> datetime.datetime:
        """When its first task begins."""
        return self.lines[0].entry.starts_at

    @property
    def broken(self) -> list[TaskLine]:
        """The tasks that begin after a window has closed."""
        return [line for line in self.lines if line.entry.late_min]

    @property
    def visits(self) -> int:
        """How often somebody comes in outside of their hours."""
        return sum(line.entry.visit for line in self.lines)

    @property
    def late(self) -> bool:
        """Say whether the promised day is not kept."""
        return self.days_late > 0 or self.late_min > 0

    @property
    def troubled(self) -> bool:
        """Say whether the promised day or a window is not kept."""
        return self.late or bool(self.broken)

    @property
    def by_day(self) -> list[tuple[datetime.date, list[TaskLine]]]:
        """The tasks under the days on which they begin."""
        return [(on, list(lines)) for on, lines in groupby(self.lines, key=lambda line: timezone.localdate(line.entry.starts_at))]


def job_days(job: Job, made: MoldPlan | None, timetable: Timetable | None) -> JobDays | None:
    """Return a job's days in a timetable, None where it is not in it."""
    entries = reading.entries(timetable, job=job) if timetable is not None else []
    if timetable is None or not entries:
        return None
    facts = {fact.task_key: fact for fact in TaskFact.objects.filter(job=job).prefetch_related("people")}
    lines = _lines(entries, facts, made)
    ends_at = max(entry.ends_at for entry in entries)
    promised_on = job.promised_on
    late = (timezone.localdate(ends_at) - promised_on).days if promised_on else 0
    ended = _end_told(job, timetable)
    strip = job_strip(
        [worked(line) for line in lines],
        title=f"Days of job {job.number}",
        now=timezone.now(),
        promised_on=promised_on,
    )
    return JobDays(
        timetable=timetable,
        lines=lines,
        strip=strip,
        ends_at=ends_at,
        ends_for=promised_day(ends_at, studio_hours()),
        promised_on=promised_on,
        days_late=max(0, late),
        late_min=ended if late == 0 else 0,
    )


def _end_told(job: Job, timetable: Timetable) -> int:
    """Return how many minutes after the end of its promised day a job is done, where the timetable knows that day."""
    told = next((one for one in timetable.job_ends if one.get("job") == job.number), None)
    due = datetime.datetime.fromisoformat(told["due"]) if told and told.get("due") else None
    if told is None or due is None or timezone.localdate(due) != job.promised_on:
        return 0
    return int(told.get("late_min", 0))


def worked(line: TaskLine) -> Worked:
    """Return a task as the strip draws it."""
    entry = line.entry
    return Worked(
        number=line.number,
        label=entry.label,
        starts_at=entry.starts_at,
        ends_at=entry.ends_at,
        waits_until_at=entry.waits_until_at,
        latest_next_at=entry.latest_next_at,
        done=line.begun or line.supposed,
        pinned=entry.pinned,
        visit=entry.visit,
        late=bool(entry.late_min),
    )


def cautions_of(made: MoldPlan | None, plan_key: str) -> tuple[Caution, ...]:
    """Return the cautions of a task of the plan, without the one that stands at all of them."""
    tasks = made.tasks if made is not None else ()
    return next((tuple(one for one in task.cautions if one.key != _OF_EVERYTHING) for task in tasks if task.key == plan_key), ())


def _lines(entries: Sequence[TimetableEntry], facts: Mapping[str, TaskFact], made: MoldPlan | None) -> tuple[TaskLine, ...]:
    return tuple(
        TaskLine(
            number=number,
            entry=entry,
            people=tuple(entry.people.all()),
            fact=facts.get(entry.task_key),
            cautions=cautions_of(made, entry.plan_key),
        )
        for number, entry in enumerate(entries, 1)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarked:
    """What a timetable says of a job beside its days, and where that is put right."""

    text: str
    address: str


def why_not(job: Job, timetable: Timetable | None) -> str:
    """Say why a job is not in the timetable in use, and what would bring it in."""
    if job.state in (Job.State.DELIVERED, Job.State.DECLINED):
        return f"This job is {job.get_state_display()}, so no days are kept for it."
    if job.state in (Job.State.ENQUIRY, Job.State.QUOTED):
        return "This job is not agreed yet, so nobody’s days are kept for it. It is laid out with the others once it is agreed."
    if timetable is None:
        return "No days are in use yet. Plan the days anew, and this job is laid out with all others that are agreed."
    if any(one["kind"] == "job" for one in _told_of(job, timetable)):
        return "This job could not be laid out with the others."
    return "The days in use were made without this job. Plan the days anew to have it laid out with the others."


def remarked(job: Job, timetable: Timetable | None) -> list[Remarked]:
    """Return why a timetable left a job out, what it supposed of it, and which material it misses."""
    return [
        Remarked(text=worded(one), address=_page(job, one.get("page", "")))
        for one in (_told_of(job, timetable) if timetable is not None else [])
    ]


def _told_of(job: Job, timetable: Timetable) -> list[Any]:
    return [one for one in timetable.left_out if one.get("job") == job.number]


def _page(job: Job, name: str) -> str:
    """Return the address of a page by its name: of the job where it is a job's page, else of the studio."""
    for kwargs in ({"number": job.number}, {}):
        try:
            return reverse(name, kwargs=kwargs)
        except NoReverseMatch:
            continue
    return ""
