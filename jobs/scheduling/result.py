"""When each task is done and by whom, what that costs, and what contradicts the rules."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from jobs.scheduling.problem import Link, Person, Problem, Span, Station, Task

_EVER = 1 << 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One task in time: steps from `start` to `end`, and who does it."""

    task: str
    start: int
    end: int
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """A window that is not kept: by how many steps, what it costs, what has to be done."""

    link: Link
    late: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """The parts of the objective, each in its own unit times its weight; `total` is what is made small."""

    late: int
    lead: int
    span: int
    breaches: int
    visits: int
    sessions: int
    moved: int
    uneven: int

    @property
    def total(self) -> int:
        """The sum of all parts."""
        return self.late + self.lead + self.span + self.breaches + self.visits + self.sessions + self.moved + self.uneven


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Every task in time, by key, with its cost.

    `bound` is what no schedule can cost less than, None where none was looked for; `reason` says how it was found.
    """

    entries: Mapping[str, Entry]
    cost: Cost
    breaches: tuple[Breach, ...]
    bound: int | None = None
    reason: str = ""

    @property
    def gap(self) -> float | None:
        """How far the cost may still be above the best possible, as a share of it."""
        if self.bound is None or self.cost.total <= 0:
            return None if self.bound is None else 0.0
        return max(0.0, 1.0 - self.bound / self.cost.total)


def schedule_of(problem: Problem, entries: Mapping[str, Entry], *, bound: int | None = None, reason: str = "") -> Schedule:
    """Put entries together with what they cost."""
    return Schedule(
        entries=dict(entries),
        cost=cost_of(problem, entries),
        breaches=breaches_of(problem, entries),
        bound=bound,
        reason=reason,
    )


def cost_of(problem: Problem, entries: Mapping[str, Entry]) -> Cost:
    """Compute what a schedule costs; every search is judged by this function alone."""
    weights = problem.weights
    late = lead = 0
    for order in problem.orders:
        ends = [entries[task.key].end for task in problem.tasks_of[order.key]]
        if not ends:
            continue
        done = max(ends)
        lead += weights.lead * (done - order.opens)
        if order.due is not None:
            late += weights.late * order.weight * max(0, done - order.due)
    span = weights.span * max((entry.end for entry in entries.values()), default=0)
    moved = sum(weights.moved for key, start in problem.before.items() if key in entries and entries[key].start != start)
    visits = sum(weights.visit for entry in entries.values() if is_visit(problem, entry))
    return Cost(
        late=late,
        lead=lead,
        span=span,
        breaches=sum(breach.link.breach for breach in breaches_of(problem, entries)),
        visits=visits,
        sessions=weights.session * sessions_of(problem, entries),
        moved=moved,
        uneven=weights.uneven * (unevenness(problem, entries) // problem.steps_per_hour),
    )


def held_entries(problem: Problem) -> dict[str, Entry]:
    """Return the entries of the tasks that are held to a begin and to people: where each of them stands is known."""
    return {
        task.key: Entry(task=task.key, start=task.pinned, end=task.pinned + task.steps, people=tuple(sorted(task.held_by)))
        for task in problem.tasks
        if task.pinned is not None and task.held_by
    }


def ends_of(problem: Problem, entries: Mapping[str, Entry]) -> dict[str, int]:
    """Return when each job ends of which every task stands."""
    return {
        key: max(entries[task.key].end for task in tasks)
        for key, tasks in problem.tasks_of.items()
        if tasks and all(task.key in entries for task in tasks)
    }


def unevenness(problem: Problem, entries: Mapping[str, Entry]) -> int:
    """Return how many steps of work the busiest person has more than the least busy, of those who have hours at all."""
    load = {person.key: 0 for person in problem.people if person.hours}
    for entry in entries.values():
        for key in entry.people:
            if key in load:
                load[key] += entry.end - entry.start
    return max(load.values(), default=0) - min(load.values(), default=0)


def breaches_of(problem: Problem, entries: Mapping[str, Entry]) -> tuple[Breach, ...]:
    """List the windows that are not kept."""
    found = []
    for link in problem.links:
        if link.most is None:
            continue
        end, start = entries[link.before].end, entries[link.after].start
        late = start - end - link.most.at(end, steps_per_hour=problem.steps_per_hour)
        if late > 0:
            found.append(Breach(link=link, late=late))
    return tuple(found)


def is_visit(problem: Problem, entry: Entry) -> bool:
    """Say whether somebody comes in outside of their hours for a task."""
    return not all(_in_order(problem.usual[key], entry.start, entry.end) for key in entry.people)


def _in_order(spans: tuple[Span, ...], start: int, end: int) -> bool:
    """Say the same as `within` of spans that are in order and apart, where only the last to open before can hold it."""
    place = bisect_right(spans, (start, _EVER)) - 1
    return place >= 0 and end <= spans[place][1]


def sessions_of(problem: Problem, entries: Mapping[str, Entry]) -> int:
    """Count mixing sessions: tasks of one material that the same people do back to back are one."""
    mixed = [(problem.task[key].session, entry) for key, entry in entries.items() if problem.task[key].session]
    ends: dict[tuple[str, tuple[str, ...], int], int] = defaultdict(int)
    for session, entry in mixed:
        ends[session, entry.people, entry.end] += 1
    joined = 0
    for session, entry in mixed:
        if ends[session, entry.people, entry.start]:
            ends[session, entry.people, entry.start] -= 1
            joined += 1
    return len(mixed) - joined


def within(spans: tuple[Span, ...], start: int, end: int) -> bool:
    """Say whether one of the spans holds all of a stretch."""
    return any(opens <= start and end <= closes for opens, closes in spans)


def faults_of(problem: Problem, entries: Mapping[str, Entry]) -> list[str]:
    """List what a schedule does that it may not: the check that every search's result must pass."""
    faults = [f"{task.key} is not laid out" for task in problem.tasks if task.key not in entries]
    if faults:
        return faults
    for task in problem.tasks:
        faults += _of_task(problem, task, entries[task.key])
    for link in problem.links:
        if problem.task[link.before].begun and problem.task[link.after].begun:
            continue
        end, start = entries[link.before].end, entries[link.after].start
        if start < end + link.least.at(end, steps_per_hour=problem.steps_per_hour):
            faults.append(f"{link.after} begins before {link.before} has set")
    faults += [
        f"the window of {late.link.after} may not be broken" for late in breaches_of(problem, entries) if not late.link.breach
    ]
    for person in problem.people:
        own = sorted((entry.start, entry.end, key) for key, entry in entries.items() if person.key in entry.people)
        faults += _at_once(problem, person, own)
    for station in problem.stations:
        faults += _of_station(problem, station, entries)
    return faults


def _at_once(problem: Problem, person: Person, own: list[tuple[int, int, str]]) -> list[str]:
    faults = []
    # The one that ends last so far, of all and of those that have not begun.
    last: tuple[int, str] = (-1, "")
    planned = last
    for start, end, key in own:
        begun = problem.task[key].begun
        busy = planned if begun else last
        if start < busy[0]:
            faults.append(f"{person.key} does {busy[1]} and {key} at once")
        last = max(last, (end, key))
        planned = planned if begun else max(planned, (end, key))
    return faults


def _of_station(problem: Problem, station: Station, entries: Mapping[str, Entry]) -> list[str]:
    held = [
        (entries[task.key].start, entries[task.key].start + task.station_steps, task.begun)
        for task in problem.tasks
        if task.station == station.key
    ]
    return [
        f"{station.key} is used by more than {station.capacity} at once"
        for start, _, begun in held
        if sum(opens <= start < closes and not (begun and old) for opens, closes, old in held) + begun > station.capacity
    ]


def _of_task(problem: Problem, task: Task, entry: Entry) -> list[str]:
    faults = []
    if entry.end - entry.start != task.steps:
        faults.append(f"{task.key} does not take its time")
    if (entry.start < max(task.opens, problem.order[task.order].opens) and not task.begun) or entry.end > problem.horizon:
        faults.append(f"{task.key} lies outside of its time")
    if len(set(entry.people)) != task.people:
        faults.append(f"{task.key} is not done by {task.people}")
    if task.pinned is not None and entry.start != task.pinned:
        faults.append(f"{task.key} was pinned and moved")
    if task.held_by and set(entry.people) != set(task.held_by):
        faults.append(f"{task.key} was pinned to other people")
    for key in entry.people:
        person = problem.person[key]
        if not task.begun and not person.is_trained(task, entry.end):
            faults.append(f"{key} is not trained for {task.key}")
        spans = person.hours if task.by_day else (*person.hours, *person.visits)
        if task.pinned is None and not within(spans, entry.start, entry.end):
            faults.append(f"{key} is not there for {task.key}")
    return faults
