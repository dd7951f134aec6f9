"""What no schedule can cost less than: the earliest ends, and the work against the hours there are."""

import math
from collections.abc import Collection
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import pairwise

from jobs.scheduling.domains import Room
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.model_sessions import fewest_sessions
from jobs.scheduling.problem import Problem, Span, in_order

PRICED = (
    "To find the bound, each job was decided by itself and paid for the hands and places that it takes; who of several people "
    "does what, joined mixing sessions, and waits beside the longest ones are not counted, so that the true best lies above."
)
LOADED = (
    "To find the bound, the hands-on work was set against the hours and visits there are; what waits, skills, windows and visits "
    "cost is not counted, so that the true best lies above."
)


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


def sessions_cost(problem: Problem, count: int) -> int:
    """Return what so many mixing sessions cost."""
    return problem.weights.session * count


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
    room = Room(problem, {})
    starts = earliest_starts(problem, room)
    for task in problem.tasks:
        if task.pinned is None and starts[task.key] + task.steps > problem.horizon:
            raise NobodyCan(f"“{task.label or task.key}” finds no hours within the days that were looked at; enter longer hours.")
    ends = {task.key: starts[task.key] + task.steps for task in problem.tasks}
    return {order.key: max((ends[task.key] for task in problem.tasks_of[order.key]), default=0) for order in problem.orders}


def earliest_starts(problem: Problem, room: Room) -> dict[str, int]:
    """Return when each task begins at the earliest, if people and stations had nothing else to do; the horizon if never."""
    per_hour = problem.steps_per_hour
    starts: dict[str, int] = {}
    for task in in_order(problem):
        first, last = room.reach(task)
        for link in problem.links_to[task.key]:
            end = starts[link.before] + problem.task[link.before].steps
            # A wait may be shorter where it begins later; the shortest from then on is safe.
            first = max(first, end + min(link.least.by_hour[min(end // per_hour, len(link.least.by_hour) - 1) :]))
        if task.pinned is not None:
            starts[task.key] = task.pinned
            continue
        hands = room.hands(task, first, last)
        begins = sorted(min(span[0] for span in (*hand.usual, *hand.extra)) for hand in hands if hand.usual or hand.extra)
        starts[task.key] = begins[task.people - 1] if len(begins) >= task.people else problem.horizon
    return starts


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
