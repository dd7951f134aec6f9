"""Planning anew when reality differs: what has begun stays, what was promised moves as little as it can."""

import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from jobs.scheduling.by_hand import reinserted
from jobs.scheduling.domains import without
from jobs.scheduling.errors import BadProblem
from jobs.scheduling.model import Model
from jobs.scheduling.problem import Person, Problem, Span, in_order
from jobs.scheduling.result import Entry, Schedule, cost_of, ends_of, faults_of, held_entries, schedule_of, within
from jobs.scheduling.ripples import nearest, rippled
from jobs.scheduling.search import Effort, Stop, best_schedule
from jobs.scheduling.solver import SOLVED, solve

# What leaving a promised start costs at least here: as much as ten hours of a job's lead time at a grid of 5 min.
MOVED = 120
_BESIDE = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class News:
    """What is different from the plan, all in steps.

    `begun` are tasks that have begun or are done, as they really were or will be; `not_before` keeps tasks waiting (a coat
    that is late, material that is not there); `away` are stretches in which people are not there.
    """

    now: int
    begun: Mapping[str, Entry] = field(default_factory=dict)
    not_before: Mapping[str, int] = field(default_factory=dict)
    away: Mapping[str, tuple[Span, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One task that no longer is where it was promised, and why, in a sentence."""

    task: str
    was: Entry
    now: Entry
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """The new schedule, the problem it solves, what moved, and each job's end before and after in steps."""

    problem: Problem
    schedule: Schedule
    moved: tuple[Moved, ...]
    ends: Mapping[str, tuple[int, int]]


def replan(
    problem: Problem,
    promised: Mapping[str, Entry],
    news: News,
    *,
    effort: Effort | None = None,
    stop: Stop | None = None,
) -> Replanned:
    """Find a schedule close to the promised one that holds with the news.

    Parameters
    ----------
    problem : Problem
        As it was when the plan was made.
    promised : mapping of task key to Entry
        The plan that people go by; a task that should have begun before `news.now` and of which there is no news has begun as
        planned.
    news : News
        What is different.
    effort : Effort, optional
        How long to look; 1.8 s if not given.
    stop : callable, optional
        Asked often; the search ends when it says yes.

    Raises
    ------
    BadProblem, NobodyCan
        When the news name unknown tasks or people; when nothing holds any more.
    """
    effort = effort or Effort(seconds=1.8)
    began = time.monotonic()
    fresh = with_news(problem, promised, news)
    stands = {key: entry for key, entry in promised.items() if key in fresh.task} | held_entries(fresh)
    start = _repaired(fresh, stands, effort)
    left = max(effort.seconds - (time.monotonic() - began), 0.1)
    found = best_schedule(fresh, replace(effort, seconds=left), start=start, stop=stop)
    schedule = schedule_of(fresh, nearest(fresh, found.entries, promised), bound=found.bound, reason=found.reason)
    moved = moved_between(fresh, news, schedule.entries, promised)
    after = ends_of(fresh, schedule.entries)
    ends = {key: (before, after[key]) for key, before in ends_of(fresh, promised).items()}
    return Replanned(problem=fresh, schedule=schedule, moved=moved, ends=ends)


def moved_between(fresh: Problem, news: News, entries: Mapping[str, Entry], promised: Mapping[str, Entry]) -> tuple[Moved, ...]:
    """Return the tasks that are elsewhere than promised or with other people, by time, each with its reason."""
    return tuple(
        Moved(task=key, was=promised[key], now=entry, why=_why(fresh, news, entries, promised[key], entry))
        for key, entry in sorted(entries.items(), key=lambda item: item[1].start)
        if key in promised and (entry.start, entry.people) != (promised[key].start, promised[key].people)
    )


def with_news(problem: Problem, promised: Mapping[str, Entry], news: News) -> Problem:
    """Return the problem with the news in it: what has begun pinned, the rest not before now, people away left out."""
    for keys, known, what in (
        ([*news.begun, *news.not_before], problem.task, "task"),
        (news.away, problem.person, "person"),
    ):
        strange = [key for key in keys if key not in known]
        if strange:
            raise BadProblem(f"The news are of a {what} that is not in the plan: {', '.join(strange)}.")
    begun = _begun(problem, promised, news)
    tasks = tuple(
        replace(
            task.taking(begun[task.key].end - begun[task.key].start),
            people=len(begun[task.key].people),
            pinned=begun[task.key].start,
            held_by=begun[task.key].people,
            begun=True,
        )
        if task.key in begun
        else replace(task, opens=max(task.opens, news.now, news.not_before.get(task.key, 0)))
        for task in problem.tasks
    )
    # What has happened needs no rule any more.
    links = tuple(link for link in problem.links if not (link.before in begun and link.after in begun))
    people = tuple(_away(person, news.away.get(person.key, ())) for person in problem.people)
    return replace(
        problem,
        tasks=tasks,
        links=links,
        people=people,
        before={key: entry.start for key, entry in promised.items() if key in problem.task and key not in begun},
        weights=replace(problem.weights, moved=max(problem.weights.moved, MOVED), uneven=0),
    )


def _begun(problem: Problem, promised: Mapping[str, Entry], news: News) -> dict[str, Entry]:
    """Return what has begun: by the news, or by the plan where all that it waits for has begun too."""
    found: dict[str, Entry] = {}
    for task in in_order(problem):
        waits = [problem.task[link.before] for link in problem.links_to[task.key] if link.before not in found]
        if task.key in news.begun:
            if waits:
                raise BadProblem(
                    f"“{task.label or task.key}” has begun, but “{waits[0].label or waits[0].key}”, which it waits for, has not; "
                    "say when that was done."
                )
            found[task.key] = news.begun[task.key]
        elif not waits and task.key in promised and promised[task.key].start < news.now and task.key not in news.not_before:
            found[task.key] = promised[task.key]
    return found


def _repaired(problem: Problem, stands: Mapping[str, Entry], effort: Effort) -> Mapping[str, Entry] | None:
    """Move only what the news touch: by hand first, then their jobs decided anew beside all others."""
    tasks = _touched(problem, stands)
    if not tasks:
        return stands
    touched = {problem.task[key].order for key in tasks}
    days = {order.key: problem.horizon if order.due is None else order.due for order in problem.orders}
    whole = reinserted(problem, stands, sorted(touched, key=lambda key: days[key]), visit_worth=problem.weights.visit)
    by_hand = [made for made in (rippled(problem, stands, tasks), whole) if made is not None and not faults_of(problem, made)]
    if not by_hand:
        return None
    kept = min(by_hand, key=lambda made: cost_of(problem, made).total)
    jobs = {task.key for key in touched for task in problem.tasks_of[key]}
    late = min(stands[key].start for key in jobs if problem.task[key].pinned is None)
    after = sorted((key for key in stands if stands[key].end > late), key=lambda key: stands[key].start)
    # First those jobs alone; then with what is planned next by anybody, which may have to make way.
    for beside, share in ((0, 0.1), (_BESIDE, 0.25), (2 * _BESIDE, 0.35)):
        model = Model(problem, fixed=kept, free=jobs | set(after[:beside]))
        model.hint(kept)
        status, solver = solve(model, seconds=share * effort.seconds, workers=effort.workers if beside else 1)
        if status in SOLVED:
            kept = model.entries(solver.value)
    return kept


def _touched(problem: Problem, stands: Mapping[str, Entry]) -> set[str]:
    """Return the tasks that cannot stay where they are."""
    found: set[str] = set()
    for task in problem.tasks:
        entry = stands[task.key]
        spans = {person.key: person.hours if task.by_day else (*person.hours, *person.visits) for person in problem.people}
        there = all(
            within(spans[key], entry.start, entry.end) and problem.person[key].is_trained(task, entry.end) for key in entry.people
        )
        if task.pinned is None and (entry.start < task.opens or not there):
            found.add(task.key)
    per_hour = problem.steps_per_hour
    for link in problem.links:
        end, start = stands[link.before].end, stands[link.after].start
        if problem.task[link.after].pinned is None and start < end + link.least.at(end, steps_per_hour=per_hour):
            found.add(link.after)
    pinned = [stands[task.key] for task in problem.tasks if task.pinned is not None]
    for entry in pinned:
        found |= {
            other.task
            for other in stands.values()
            if problem.task[other.task].pinned is None
            and ((_overlap(other, entry) and set(other.people) & set(entry.people)) or _same_place(problem, other, entry))
        }
    return found


def _overlap(one: Entry, other: Entry, more: int = 0, other_more: int = 0) -> bool:
    return one.start < other.end + other_more and other.start < one.end + more


def _same_place(problem: Problem, one: Entry, other: Entry) -> bool:
    """Say whether two tasks hold one place at once."""
    first, second = problem.task[one.task], problem.task[other.task]
    if first.station is None or first.station != second.station:
        return False
    return _overlap(one, other, first.station_steps - first.steps, second.station_steps - second.steps)


def _away(person: Person, spans: tuple[Span, ...]) -> Person:
    taken = sorted(spans)
    return replace(person, hours=without(person.hours, taken), visits=without(person.visits, taken))


def _why(fresh: Problem, news: News, entries: Mapping[str, Entry], was: Entry, now: Entry) -> str:
    """Say why a task moved, by the first thing that keeps it from its place."""
    task = fresh.task[was.task]
    if was.task in news.begun:
        return "It was done at another time than planned."
    if was.task in news.not_before and was.start < news.not_before[was.task]:
        return "It cannot begin before then."
    gone = [key for key in was.people if any(opens < was.end and was.start < closes for opens, closes in news.away.get(key, ()))]
    if gone:
        names = ", ".join(fresh.person[key].label or key for key in gone)
        return f"{names} is not there then."
    if was.start == now.start:
        return "Somebody else does it, so that hands are free where they are wanted."
    for link in fresh.links_to[task.key]:
        end = entries[link.before].end
        if was.start < end + link.least.at(end, steps_per_hour=fresh.steps_per_hour):
            return f"It waits for “{fresh.task[link.before].label or link.before}”."
    for key in was.people:
        for other in entries.values():
            if other.task != task.key and key in other.people and _overlap(other, was):
                at = fresh.task[other.task]
                job = fresh.order[at.order]
                of = "" if at.order == task.order else f" of {job.label or job.key}"
                return f"{fresh.person[key].label or key} is at “{at.label or at.key}”{of} then."
    return "It makes way, so that the days promised are kept as well as can be."
