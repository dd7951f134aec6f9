"""What no schedule can cost less than: jobs decided apart and added, and the work against the hours there are."""

import math
import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import pairwise

from jobs.scheduling.domains import Room
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.model import Model
from jobs.scheduling.model_sessions import fewest_sessions
from jobs.scheduling.problem import Problem, Span, in_order
from jobs.scheduling.result import Entry, cost_of
from jobs.scheduling.solver import solve

Floors = dict[tuple[str, ...], int]
_ALONE_S = 2.0
_GROUP = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """What no schedule costs less than, how that was found, and what is left out of it, in a sentence."""

    value: int
    reason: str


def part_of(problem: Problem, orders: Collection[str]) -> Problem:
    """Return some jobs by themselves, without what jobs share: sessions, the last end, evenness."""
    tasks = tuple(task for task in problem.tasks if task.order in orders)
    keys = {task.key for task in tasks}
    return replace(
        problem,
        orders=tuple(order for order in problem.orders if order.key in orders),
        tasks=tasks,
        links=tuple(link for link in problem.links if link.before in keys and link.after in keys),
        weights=replace(problem.weights, span=0, session=0, uneven=0),
        before={key: start for key, start in problem.before.items() if key in keys},
    )


def floor_of(problem: Problem, orders: tuple[str, ...], *, entries: Mapping[str, Entry], floors: Floors, seconds: float) -> int:
    """Return what some jobs cost at least together, from a schedule of all jobs and floors proved before."""
    part = part_of(problem, orders)
    own = {key: entry for key, entry in entries.items() if key in part.task}
    known = {keys: floor for keys, floor in floors.items() if set(keys) <= set(orders)}
    most = cost_of(part, own).total
    least = sum(known.get((key,), 0) for key in orders)
    if least >= most:
        return most
    ends = ends_by(problem, orders, known, most) if all((key,) in known for key in orders) else None
    model = Model(part, floors=known, ends_by=ends)
    model.hint(own)
    _, solver = solve(model, seconds=seconds, relaxed=len(orders) > 1)
    proved: int = math.ceil(solver.best_objective_bound - 1e-6)
    return max(least, min(most, proved))


def ends_by(problem: Problem, orders: Collection[str], floors: Floors, most: int) -> dict[str, int]:
    """Return the last step at which each job may end in a schedule of these jobs that costs no more than `most`."""
    weights = problem.weights
    spare = most - sum(floors[key,] for key in orders)
    found: dict[str, int] = {}
    for key in orders:
        order = problem.order[key]
        budget = floors[key,] + max(spare, 0)
        if not weights.lead:
            found[key] = problem.horizon
            continue
        end = order.opens + budget // weights.lead
        if order.due is not None and end > order.due:
            both = weights.lead + weights.late * order.weight
            end = max(order.due, (budget + weights.lead * order.opens + weights.late * order.weight * order.due) // both)
        found[key] = min(end, problem.horizon)
    return found


def floors_alone(
    problem: Problem, entries: Mapping[str, Entry], *, until: float, stop: Callable[[], bool] | None = None
) -> Floors:
    """Return what each job costs at least by itself; nought for those that time does not suffice for."""
    floors: Floors = {}
    for order in problem.orders:
        left = until - time.monotonic()
        if left <= 0 or (stop is not None and stop()):
            floors[order.key,] = 0
            continue
        floors[order.key,] = floor_of(problem, (order.key,), entries=entries, floors={}, seconds=min(left, _ALONE_S))
    return floors


def bound_of(
    problem: Problem,
    entries: Mapping[str, Entry],
    *,
    floors: Floors,
    until: float,
    stop: Callable[[], bool] | None = None,
) -> Bound:
    """Return the best bound that can be had in the time.

    Parameters
    ----------
    problem : Problem
        All open jobs.
    entries : mapping of task key to Entry
        A good schedule: it tells which jobs are in each other's way.
    floors : mapping of jobs to int
        What each job costs at least by itself.
    until : float
        The monotonic clock's time by which to be done. [s]
    stop : callable, optional
        Asked between groups.
    """
    shared = shared_floor(problem)
    worked = load_floor(problem)
    total, proved = 0, 1
    for group in _groups(problem, entries):
        left = until - time.monotonic()
        least = sum(floors[key,] for key in group)
        if len(group) > 1 and left > 0 and not (stop is not None and stop()):
            found = floor_of(problem, group, entries=entries, floors=floors, seconds=max(left / 4, 0.1))
            proved = max(proved, len(group) if found > least else 1)
            least = max(least, found)
        total += least
    if worked > total:
        return Bound(
            value=worked + shared,
            reason="To find the bound, the hands-on work was set against the hours and visits there are; what waits, "
            "skills, windows and visits cost is not counted, so that the true best lies above.",
        )
    apart = "each job was decided by itself" if proved == 1 else f"jobs were decided in groups of up to {proved}"
    return Bound(
        value=total + shared,
        reason=f"To find the bound, {apart} as if nobody else needed the people; what they cost each other beyond that is not "
        "counted, so that the true best lies above.",
    )


def shared_floor(problem: Problem) -> int:
    """Return what the last end and the mixing sessions cost at least."""
    ends = earliest_ends(problem)
    work = sum(task.steps * task.people for task in problem.tasks)
    last = max(max(ends.values(), default=0), _done_by(_capacity(problem), work))
    return problem.weights.span * last + problem.weights.session * sum(fewest_sessions(problem).values())


def earliest_ends(problem: Problem) -> dict[str, int]:
    """Return when each job ends at the earliest if it had all people and stations for itself.

    Raises
    ------
    NobodyCan
        When a task finds no hours at all.
    """
    room, per_hour = Room(problem, {}), problem.steps_per_hour
    ends: dict[str, int] = {}
    for task in in_order(problem):
        first, last = room.reach(task)
        for link in problem.links_to[task.key]:
            end = ends[link.before]
            # A wait may be shorter where it begins later; the shortest from then on is safe.
            later = link.least.by_hour[min(end // per_hour, len(link.least.by_hour) - 1) :]
            first = max(first, end + min(later))
        starts = sorted(
            min((span[0] for span in (*hand.usual, *hand.extra)), default=-1) for hand in room.hands(task, first, last)
        )
        starts = [start for start in starts if start >= 0]
        if task.pinned is not None:
            starts = [task.pinned] * task.people
        if len(starts) < task.people:
            raise NobodyCan(f"“{task.label or task.key}” finds no hours within the days that were looked at; enter longer hours.")
        ends[task.key] = starts[task.people - 1] + task.steps
    return {order.key: max((ends[task.key] for task in problem.tasks_of[order.key]), default=0) for order in problem.orders}


def load_floor(problem: Problem) -> int:
    """Return what ends and lateness cost at least, by the work of the jobs against the hours and visits there are.

    Notes
    -----
    If all hands could be at one job at once and leave it at any moment, going on with the job that has least left would end
    the first k jobs sooner than anything else could, for every k [1]_. No job ends before its own earliest end either, and
    lateness is least when ends and days promised are paired in order, here with the smallest weight.

    References
    ----------
    .. [1] Shortest remaining processing time on one machine with releases (published; from memory).
    """
    orders = [order for order in problem.orders if problem.tasks_of[order.key]]
    ends = earliest_ends(problem)
    alone = sorted(ends[order.key] for order in orders)
    works = [(order.opens, sum(task.steps * task.people for task in problem.tasks_of[order.key])) for order in orders]
    done = [max(pair) for pair in zip(alone, _least_left_first(_capacity(problem), works), strict=True)]
    lead = problem.weights.lead * (sum(done) - sum(order.opens for order in orders))
    days = sorted(order.due for order in orders if order.due is not None)
    if len(days) < len(orders):
        return lead
    least = min((order.weight for order in orders), default=0)
    late = sum(max(0, end - day) for end, day in zip(done, days, strict=True))
    return lead + problem.weights.late * least * late


def _least_left_first(spans: list[Span], works: list[tuple[int, int]]) -> list[int]:
    """Return when jobs end, in order, if all hands are at the one with least left; `works` are openings and steps of work."""
    edges: dict[int, int] = {opens: 0 for opens, _ in works}
    for opens, closes in spans:
        edges[opens] = edges.get(opens, 0) + 1
        edges[closes] = edges.get(closes, 0) - 1
    moments = sorted(edges)
    coming = sorted(works)
    left: list[int] = []
    done: list[int] = []
    there = 0
    for moment, until in pairwise([*moments, moments[-1]]):
        there += edges[moment]
        while coming and coming[0][0] <= moment:
            heappush(left, coming.pop(0)[1])
        power, now = there * (until - moment), moment
        while left and power >= left[0]:
            work = heappop(left)
            power -= work
            now = until - power // there if there else until
            done.append(min(now, until))
        if left and power:
            heappush(left, heappop(left) - power)
    return done + [moments[-1]] * (len(works) - len(done))


def _capacity(problem: Problem) -> list[Span]:
    """Return the stretches in which a person is there or could come in, of all people one after the other."""
    spans = [span for person in problem.people for span in (*person.hours, *person.visits)]
    spans += [
        (task.pinned, task.pinned + task.steps) for task in problem.tasks if task.pinned is not None for _ in range(task.people)
    ]
    return spans


def _done_by(spans: list[Span], work: int) -> int:
    """Return the first step by which so much work can have been done."""
    edges = sorted([(opens, 1) for opens, _ in spans] + [(closes, -1) for _, closes in spans])
    done, there, since = 0, 0, 0
    for moment, change in edges:
        if there > 0 and done + there * (moment - since) >= work:
            return since + math.ceil((work - done) / there)
        done, there, since = done + there * (moment - since), there + change, moment
    return since


def _groups(problem: Problem, entries: Mapping[str, Entry]) -> list[tuple[str, ...]]:
    """Put jobs that go on at the same time together, few enough that they can be decided."""
    middles = {
        order.key: sum(entries[task.key].start for task in tasks) / len(tasks)
        for order in problem.orders
        if (tasks := problem.tasks_of[order.key])
    }
    keys = sorted(middles, key=lambda key: middles[key])
    return [tuple(keys[place : place + _GROUP]) for place in range(0, len(keys), _GROUP)]
