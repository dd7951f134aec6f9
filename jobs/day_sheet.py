"""One person's day by the timetable in use: what is done when, what is weighed for it, what waits after it."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.utils import timezone

from jobs.days.reading import current, entries
from jobs.entry_waits import tasks_by_key, waits_of
from jobs.feeds.words import place_of
from jobs.lone_work import Company, Stretch, company_of
from jobs.models import Job, Timetable, TimetableEntry
from jobs.planning.cautions import ALONE
from jobs.planning.results import MoldPlan
from jobs.services.plans_together import plans_of
from jobs.weighed_out import WeighedOut, weighed_out
from studio.figures import Caution
from studio.models import Person

# A window that closes today may have been opened by a coat of some days ago.
LOOKED_BACK = datetime.timedelta(days=10)
# By day it is as lonely as at night where nobody else is in.
LONE_WORK = replace(ALONE, hazard="Working alone")


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTask:
    """What follows on a task, and when it is planned."""

    label: str
    starts_at: datetime.datetime
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayTask:
    """One task of the day; `begin_by_at` is when the window that it must meet closes."""

    entry: TimetableEntry
    place: str
    minutes: float
    together_with: tuple[str, ...]
    begin_by_at: datetime.datetime | None
    waits_until_at: datetime.datetime | None
    latest_next_at: datetime.datetime | None
    following: tuple[NextTask, ...]
    weighed: WeighedOut | None
    alone: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOfPerson:
    """A person's day; `not_known` names jobs whose weights cannot be worked out now, with the reason."""

    person: Person
    on: datetime.date
    timetable: Timetable | None
    tasks: tuple[DayTask, ...]
    cautions: tuple[Caution, ...]
    not_known: tuple[tuple[Job, str], ...]
    before_on: datetime.date | None
    after_on: datetime.date | None

    @property
    def minutes(self) -> float:
        """Hands-on minutes of the whole day."""
        return sum(task.minutes for task in self.tasks)

    @property
    def alone(self) -> tuple[Stretch, ...]:
        """When nobody else is about."""
        return joined(stretch for task in self.tasks for stretch in task.alone)


def day_of(person: Person, on: datetime.date) -> DayOfPerson:
    """Read a person's day out of the timetable in use."""
    since, until = day_bounds(on)
    timetable = current()
    found = [] if timetable is None else entries(timetable, since=since - LOOKED_BACK)
    own = [entry for entry in found if any(one.pk == person.pk for one in entry.people.all())]
    today = [entry for entry in own if entry.starts_at < until and entry.ends_at > since]
    plans = plans_of({entry.job_id for entry in today})
    company = company_of(person, found, min((e.starts_at for e in today), default=since), until)
    days = sorted({timezone.localtime(entry.starts_at).date() for entry in own})
    return DayOfPerson(
        person=person,
        on=on,
        timetable=timetable,
        tasks=tuple(_task(person, entry, plans[entry.job_id], found, company) for entry in today),
        cautions=_cautions(today, plans, company),
        not_known=tuple(
            (entry.job, problem)
            for entry in {entry.job_id: entry for entry in today}.values()
            if isinstance(problem := plans[entry.job_id], str)
        ),
        before_on=max((day for day in days if day < on), default=None),
        after_on=min((day for day in days if day > on), default=None),
    )


def joined(stretches: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """Join stretches that touch or overlap."""
    whole: list[Stretch] = []
    for begin, end in sorted(stretches):
        if whole and begin <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(whole[-1][1], end))
        else:
            whole.append((begin, end))
    return tuple(whole)


def day_bounds(on: datetime.date) -> Stretch:
    """Return the midnights round a day, in the studio's zone; a day on which clocks change is longer or shorter."""
    after = on + datetime.timedelta(days=1)
    begin, end = (timezone.make_aware(datetime.datetime.combine(day, datetime.time())) for day in (on, after))
    return begin, end


def _task(
    person: Person, entry: TimetableEntry, plan: MoldPlan | str, found: Sequence[TimetableEntry], company: Company
) -> DayTask:
    made = plan if isinstance(plan, MoldPlan) else None
    of_job = [other for other in found if other.job_id == entry.job_id and other.pk != entry.pk]
    planned = tasks_by_key(made)
    waits_until_at, latest_next_at = waits_of(entry, planned)
    before, after = ([], []) if made is None else _beside(entry, made, of_job)
    return DayTask(
        entry=entry,
        place=place_of(entry),
        minutes=(entry.ends_at - entry.starts_at).total_seconds() / 60,
        together_with=tuple(other.name for other in entry.people.all() if other.pk != person.pk),
        begin_by_at=min((closes for one in before if (closes := waits_of(one, planned)[1]) is not None), default=None),
        waits_until_at=waits_until_at,
        latest_next_at=latest_next_at,
        following=tuple(
            NextTask(label=one.label, starts_at=one.starts_at, people=tuple(other.name for other in one.people.all()))
            for one in after
        ),
        weighed=None if made is None else weighed_out(made, entry.plan_key),
        alone=company.alone_during(entry.starts_at, entry.ends_at),
    )


def _beside(
    entry: TimetableEntry, plan: MoldPlan, of_job: Sequence[TimetableEntry]
) -> tuple[list[TimetableEntry], list[TimetableEntry]]:
    """Return what a task waits for and what waits for it, as entries: its own other parts, and tasks of the plan."""
    waits_for = {task.key: set(task.waits_for) for task in plan.tasks}
    parts = [one for one in of_job if one.plan_key == entry.plan_key]
    earlier = [one for one in parts if one.starts_at < entry.starts_at]
    later = [one for one in parts if one.starts_at > entry.starts_at]
    before = earlier or [one for one in of_job if one.plan_key in waits_for.get(entry.plan_key, set())]
    after = later[:1]
    if not after:
        keys = {key for key, waited in waits_for.items() if entry.plan_key in waited}
        firsts: dict[str, TimetableEntry] = {}
        for one in of_job:
            if one.plan_key in keys and one.starts_at >= entry.starts_at:
                firsts.setdefault(one.plan_key, one)
        after = list(firsts.values())
    return before, after


def _cautions(today: Sequence[TimetableEntry], plans: dict[int, MoldPlan | str], company: Company) -> tuple[Caution, ...]:
    """Return the cautions for the work of the day, each once, and the one about working alone where somebody does."""
    found: dict[str, Caution] = {}
    for entry in today:
        plan = plans[entry.job_id]
        if isinstance(plan, MoldPlan):
            own = (task for task in plan.tasks if task.key == entry.plan_key)
            found |= {caution.key: caution for task in own for caution in task.cautions}
    if any(company.alone_during(entry.starts_at, entry.ends_at) for entry in today):
        found[ALONE.key] = LONE_WORK
    return tuple(found.values())
