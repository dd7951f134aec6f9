"""All rows of the days as one problem of the scheduling core: the only place where they become values."""

import datetime
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, replace
from typing import Any

from django.utils import timezone

from jobs.days.begun import Happened, Told, begun_in, still_felt, told_of
from jobs.days.clock import Grid, whole_hour
from jobs.days.core_keys import job_of, on_grid, plan_key_of
from jobs.days.hours import absences, end_of_day
from jobs.days.networks import Said, asked_for, bench_of, network_for, said_of, stations
from jobs.days.paces import expected_room, paces_of
from jobs.days.people import people_of
from jobs.days.pins import pinned
from jobs.days.plans import PlannedJob, planned_jobs
from jobs.days.said import doubt, left_out
from jobs.days.stock import supply
from jobs.models import Job, TaskFact, Timetable, TimetableEntry
from jobs.scheduling.by_hand import list_schedule
from jobs.scheduling.problem import Link, Order, Person, Problem, Span, Task
from jobs.scheduling.replan import News, with_news
from jobs.scheduling.result import Entry
from studio.models import Person as PersonRow
from studio.services.skills import rules_now

STEP_MIN = 5
# From so many tasks on the grid gets coarser, so that the search still looks at all of them.
COARSER_FROM = ((600, 15), (300, 10))
CEILING_DAYS = 200
# So long after the end of a plain list is looked at, so that better timetables may put one job behind another.
BEHIND_DAYS = 14
DAY_MIN = 24 * 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """A task that was done and binds nothing any more; it is shown, and not laid out."""

    key: str
    happened: Happened


@dataclass(frozen=True, kw_only=True)
class LaidOut:
    """What the search is given.

    Parameters
    ----------
    problem : Problem
        All jobs, as if nothing had happened yet.
    fresh : Problem
        The same with all that has happened in it.
    promised : mapping of task key to Entry
        The timetable in use, as far as its tasks are still the same.
    news : News
        What has happened, who is away, and what has to wait.
    new : set of str
        Jobs that the timetable in use does not have, or not as they are planned now.
    said : mapping of task key to Said
        What pages say of each task.
    past : tuple of Past
        What was done and binds nothing any more.
    left_out : list
        What could not be laid out, was supposed or is missing.
    """

    problem: Problem
    fresh: Problem
    grid: Grid
    now: int
    promised: Mapping[str, Entry]
    news: News
    new: Set[str]
    said: Mapping[str, Said]
    past: tuple[Past, ...]
    left_out: list[dict[str, Any]]
    base: Timetable | None


def laid_out(now: datetime.datetime | None = None, *, also: Job | None = None) -> LaidOut:
    """Read everything that the days depend on.

    Parameters
    ----------
    now : datetime, optional
        Nothing that has not begun begins before.
    also : Job, optional
        A job that is laid out beside those that are agreed or being made.

    Raises
    ------
    BadProblem, NobodyCan
        When the rows contradict each other; when somebody is missing.
    """
    return _Reading(now or timezone.now(), also).run()


class _Reading:
    """One reading of all rows; each step adds to what the next one wants."""

    def __init__(self, now: datetime.datetime, also: Job | None) -> None:
        self.now, self.also = now, also
        self.jobs, self.left_out = planned_jobs(also)
        self.base: Timetable | None = Timetable.objects.defer("problem").in_use()
        self.stations = stations()
        self.told = self._told()
        self.begun: dict[str, Happened] = {}
        self.felt: set[str] = set()
        self.said: dict[str, Said] = {}

    def run(self) -> LaidOut:
        step_min = self._look_at_what_happened()
        grid = self._grid(step_min)
        horizon = CEILING_DAYS * DAY_MIN // step_min
        problem = self._problem(grid, horizon)
        promised, new = self._promised(problem, grid)
        news = self._news(problem, grid)
        problem, news = _cut(problem, promised, news)
        return LaidOut(
            problem=problem,
            fresh=with_news(problem, promised, news),
            grid=grid,
            now=news.now,
            promised=promised,
            news=news,
            new=new,
            said=self.said,
            past=tuple(Past(key=key, happened=one) for key, one in self.begun.items() if key not in self.felt),
            left_out=self.left_out,
            base=self.base,
        )

    def _told(self) -> Told:
        ids = [one.job.pk for one in self.jobs]
        facts = TaskFact.objects.filter(job__in=ids).prefetch_related("people")
        entries = TimetableEntry.objects.filter(timetable=self.base, job__in=ids).prefetch_related("people")
        return told_of(facts, entries if self.base else ())

    def _look_at_what_happened(self) -> int:
        """Find what has begun, with networks whose waits do not matter yet; return the step of the grid."""
        count = 0
        for one in self.jobs:
            network = network_for(one, bench_of(STEP_MIN, self.stations))
            begun = begun_in(network, self.told, self.now)
            self.begun |= begun
            self.felt |= still_felt(network, begun, self.now)
            count += len(network.tasks) - len(begun)
        for most, step_min in COARSER_FROM:
            if count >= most:
                return step_min
        return STEP_MIN

    def _grid(self, step_min: int) -> Grid:
        begins = [self.begun[key].starts_at for key in self.felt]
        return Grid(begins_at=whole_hour(min([self.now, *begins])), step_min=step_min)

    def _problem(self, grid: Grid, horizon: int) -> Problem:
        room, own = expected_room(grid, horizon), rules_now()
        all_begun = {(job_of(key), plan_key_of(key)) for key in self.begun}
        supplied = supply(self.jobs, all_begun)
        self.left_out += supplied.said
        orders: list[Order] = []
        tasks: list[Task] = []
        links: list[Link] = []
        wanted: set[tuple[str, ...]] = set()
        kept: list[PlannedJob] = []
        for one in self.jobs:
            paces = paces_of(one, room, grid, horizon)
            if paces.refusal:
                self.left_out.append(left_out(one.job, paces.refusal, page="studio:room_show"))
                continue
            self.left_out += [doubt(sentence, job=one.job) for sentence in paces.doubts]
            network = network_for(one, bench_of(grid.step_min, self.stations, paces.by_stage))
            self.said |= said_of(one, network)
            of_job, trainings = asked_for(one, network, own, supplied, grid)
            gone = {key for key in self.begun if key not in self.felt}
            mine = [task for task in of_job if task.key not in gone]
            wanted |= trainings
            if mine:
                kept.append(one)
                tasks += mine
                links += [link for link in network.links if link.before not in gone and link.after not in gone]
        tasks, said = pinned(tasks, self.told, self.begun, grid, self.now)
        self.left_out += said
        people = self._people(grid, horizon, wanted, tasks)
        orders = [self._order(one, grid, people, tasks) for one in kept]
        return Problem(
            orders=tuple(orders), tasks=tuple(tasks), links=tuple(links), people=people, stations=self.stations,
            horizon=horizon, step_min=grid.step_min,
        )  # fmt: skip

    def _people(self, grid: Grid, horizon: int, wanted: set[tuple[str, ...]], tasks: list[Task]) -> tuple[Person, ...]:
        named = {int(key) for task in tasks for key in task.held_by}
        named |= {pk for key in self.felt for pk in self.begun[key].people}
        named |= {person.pk for entry in self.told.promised.values() for person in entry.people.all()}
        people, entered = people_of(grid, horizon, wanted, named)
        if not entered:
            sentence = "No hours at the bench are entered yet: everybody is taken to be there Monday to Friday from nine to five."
            self.left_out.append(doubt(sentence, page="studio:people_list"))
        return people

    def _order(self, one: PlannedJob, grid: Grid, people: Iterable[Person], tasks: Iterable[Task]) -> Order:
        now, job = grid.step_of(self.now, up=True), one.job
        opens = now if job.starts_at is None else max(now, grid.step_of(job.starts_at, up=True))
        begun = [grid.step_of(self.begun[key].starts_at) for key in self.felt if job_of(key) == job.pk]
        pins = [task.pinned for task in tasks if task.order == one.order and task.pinned is not None]
        due = None if job.promised_on is None else max(0, end_of_day(job.promised_on, grid, [person.hours for person in people]))
        return Order(key=one.order, label=f"{job.number} {job.title}", opens=min([opens, *begun, *pins]), due=due)

    def _promised(self, problem: Problem, grid: Grid) -> tuple[dict[str, Entry], set[str]]:
        """Return the entries of the timetable in use on this grid, and the jobs that it does not have as they are planned now."""
        entries = {key: on_grid(entry, grid) for key, entry in self.told.promised.items() if key in problem.task}
        new = {task.order for task in problem.tasks if task.key not in self.begun and not _same(task, entries.get(task.key))}
        kept = {key: entry for key, entry in entries.items() if problem.task[key].order not in new}
        return {**{key: self._entry(key, grid) for key in self.felt if key in problem.task}, **kept}, new

    def _news(self, problem: Problem, grid: Grid) -> News:
        now = grid.step_of(self.now, up=True)
        waits = {}
        for task in problem.tasks:
            until = self.told.waits_until(task.key)
            if until is not None and task.key not in self.begun:
                waits[task.key] = max(now, grid.step_of(until, up=True))
        rows = PersonRow.objects.filter(pk__in=[int(person.key) for person in problem.people])
        away = {str(pk): spans for pk, spans in absences(rows, grid, problem.horizon).items()}
        begun = {key: self._entry(key, grid) for key in self.felt if key in problem.task}
        return News(now=now, begun=begun, not_before=waits, away=away)

    def _entry(self, key: str, grid: Grid) -> Entry:
        one = self.begun[key]
        start = grid.step_of(one.starts_at)
        end = max(grid.step_of(one.ends_at, up=True), start + 1)
        return Entry(task=key, start=start, end=end, people=tuple(sorted(str(pk) for pk in one.people)))


def _same(task: Task, entry: Entry | None) -> bool:
    """Say whether a task is still as the timetable in use has it: as long, by as many."""
    return entry is not None and entry.end - entry.start == task.steps and len(entry.people) == task.people


def _cut(problem: Problem, promised: Mapping[str, Entry], news: News) -> tuple[Problem, News]:
    """Look no further ahead than a plain list of all work goes, and a while behind it.

    Raises
    ------
    NobodyCan
        When even all days that can be looked at do not hold the work.
    """
    fresh = with_news(problem, promised, news)
    day = DAY_MIN // problem.step_min
    ends = [entry.end for entry in list_schedule(fresh).entries.values()] if fresh.tasks else [0]
    dues = [order.due for order in problem.orders if order.due is not None]
    pins = [task.pinned + task.steps for task in fresh.tasks if task.pinned is not None]
    wanted = max([*ends, *(due for due in dues if due <= max(ends)), *pins]) + BEHIND_DAYS * day
    horizon = min(problem.horizon, wanted)
    shorter = replace(
        problem,
        horizon=horizon,
        people=tuple(
            replace(person, hours=_within(person.hours, horizon), visits=_within(person.visits, horizon))
            for person in problem.people
        ),
    )
    return shorter, replace(news, away={key: _within(spans, horizon) for key, spans in news.away.items()})


def _within(spans: Iterable[Span], horizon: int) -> tuple[Span, ...]:
    return tuple((opens, min(closes, horizon)) for opens, closes in spans if opens < horizon)
