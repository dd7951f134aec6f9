"""Prices of people's and stations' time: with the right ones, jobs decided apart cost together nearly what they cost at best."""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.scheduling.bounds import earliest_starts
from jobs.scheduling.domains import Room
from jobs.scheduling.problem import Person, Problem, Span, Task
from jobs.scheduling.trees import DONE, NEVER, Axis, Costs, Tree

# After so many rounds without a better bound the steps get shorter; below the least step it is over.
_PATIENCE, _SHORTER, _LEAST_STEP = 8, 0.65, 0.01
_NEAR = 1e-3


@dataclass(frozen=True, kw_only=True)
class Priced:
    """What all but sessions and evenness cost at least, and what each start of a task adds to that at least.

    `more` has, for each task, its first step and the addition from there on, step by step; `spare` is what may be added for the
    known schedule's cost still to be reached.
    """

    bound: float
    spare: float
    more: Mapping[str, tuple[int, Costs]]

    def starts(self, task: str) -> tuple[Span, ...]:
        """Return the starts that a schedule no dearer than the known one can have."""
        begin, more = self.more[task]
        return _spans(more <= self.spare + _NEAR, begin)

    def can_follow(self, one: Task, other: Task) -> bool:
        """Say whether a task can follow another at once in such a schedule."""
        (begin, more), (begin_other, more_other) = self.more[one.key], self.more[other.key]
        first = max(begin + one.steps, begin_other)
        last = min(begin + one.steps + len(more), begin_other + len(more_other))
        if first >= last:
            return False
        ends = more[first - one.steps - begin : last - one.steps - begin]
        starts = more_other[first - begin_other : last - begin_other]
        # Two jobs add up; of one job's tasks the dearer counts.
        both = ends + starts if one.order != other.order else np.maximum(ends, starts)
        return bool((both <= self.spare + _NEAR).any())


@dataclass(slots=True)
class _Row:
    """Something that only so much of is there at each step: how much, who wants it for how long, its price at each step."""

    there: Costs
    wants: dict[str, tuple[int, int]]
    price: Costs


class Prices:
    """Prices for every step of people's time, of each training and of each station.

    Parameters
    ----------
    problem : Problem
        All open jobs.
    most : int
        What a known schedule costs without sessions and evenness: dearer ones are not looked for.

    Notes
    -----
    Each job alone pays for the hands and places that it takes at each step. Whatever the prices, the jobs' least costs without
    what the prices bring in for all there is are never above what any schedule costs (Lagrange's relaxation) [1]_; subgradients
    look for prices with a high bound. The last end counts as a mean of the jobs' ends, whose shares are prices too. Where a
    job with its task at some step costs too much for the known schedule to be reached, that start is struck out.

    References
    ----------
    .. [1] M. L. Fisher, "The Lagrangian relaxation method for solving integer programming problems", 1981 (published; from
       memory).
    """

    def __init__(self, problem: Problem, *, most: int) -> None:
        self.problem, self.most = problem, most
        self.orders = [order for order in problem.orders if problem.tasks_of[order.key]]
        self.room = Room(problem, {})
        earliest = earliest_starts(problem, self.room)
        self._began = earliest
        self.size = 0
        self.trees: dict[str, Tree] = {}
        self.base: dict[str, dict[str, Costs]] = {}
        self.rows: list[_Row] = []
        self.shares = {order.key: 1 / len(self.orders) for order in self.orders}
        whole = {order.key: problem.horizon for order in self.orders}
        self._build(earliest, whole)
        # Alone, at no prices, each job tells how much later than at best it can end.
        alone = {order.key: self._least_alone(order.key) for order in self.orders}
        spare = most - sum(alone.values()) - problem.weights.span * max(self._done(key) for key in alone)
        self._build(earliest, {key: min(self._last_end(key, alone[key] + max(spare, 0)), problem.horizon) for key in alone})
        self.rows = self._rows()

    def _build(self, earliest: Mapping[str, int], ends: Mapping[str, int]) -> None:
        self.size = max(ends.values()) + 1
        for order in self.orders:
            tasks = self.problem.tasks_of[order.key]
            begin = min(earliest[task.key] for task in tasks)
            axis = Axis(begin=begin, size=max(ends[order.key] - begin + 1, 1))
            self.trees[order.key] = Tree(self.problem, tasks, axis, earliest)
            self.base[order.key] = {task.key: self._alone(task, axis, earliest[task.key]) for task in tasks}

    def _alone(self, task: Task, axis: Axis, earliest: int) -> Costs:
        """Return what each start of a task costs by itself: never where too few people are there, a visit where they come in."""
        problem = self.problem
        first, last = self.room.reach(task)
        last = min(last, axis.begin + axis.size - 1 - task.steps)
        usual, every = np.zeros(axis.size, dtype=np.int64), np.zeros(axis.size, dtype=np.int64)
        for hand in self.room.hands(task, max(first, earliest), last):
            for spans, counts in ((hand.usual, (usual, every)), (hand.extra, (every,))):
                for opens, closes in spans:
                    for count in counts:
                        count[max(opens - axis.begin, 0) : max(closes + 1 - axis.begin, 0)] += 1
        costs = np.where(usual >= task.people, 0.0, np.where(every >= task.people, float(problem.weights.visit), NEVER))
        if task.key in problem.before:
            moved = np.arange(axis.begin, axis.begin + axis.size) != problem.before[task.key]
            costs = costs + problem.weights.moved * moved
        return costs

    def _done_costs(self, key: str, share: float) -> Costs:
        order, weights, axis = self.problem.order[key], self.problem.weights, self.trees[key].axis
        ends = np.arange(axis.begin, axis.begin + axis.size, dtype=np.float64)
        costs = (weights.lead + weights.span * share) * ends - weights.lead * order.opens
        return costs if order.due is None else costs + weights.late * order.weight * np.maximum(0.0, ends - order.due)

    def _least_alone(self, key: str) -> float:
        found, _ = self.trees[key].cheapest(self.base[key] | {DONE: self._done_costs(key, 0.0)})
        return found

    def _done(self, key: str) -> int:
        return max(self._began[task.key] + task.steps for task in self.problem.tasks_of[key])

    def _last_end(self, key: str, budget: float) -> int:
        costs = self._done_costs(key, 0.0)
        cheap = np.flatnonzero(costs <= budget + _NEAR)
        return self.trees[key].axis.begin + int(cheap[-1]) if len(cheap) else self.problem.horizon

    def _rows(self) -> list[_Row]:
        problem, free = self.problem, [task for task in self.problem.tasks if task.pinned is None]
        there = {person.key: self._there(person) for person in problem.people}
        rows = [self._row(sum(there.values(), np.zeros(self.size)), {task.key: (task.people, task.steps) for task in free})]
        for skill in sorted({task.skill for task in free if task.skill}):
            counts = np.zeros(self.size)
            for person in problem.people:
                if skill in person.skills:
                    until = max(min(person.until.get(skill, self.size), self.size), 0)
                    counts[:until] += there[person.key][:until]
            rows.append(self._row(counts, {task.key: (task.people, task.steps) for task in free if task.skill == skill}))
        for station in problem.stations:
            wants = {task.key: (1, task.station_steps) for task in free if task.station == station.key}
            if len(wants) > station.capacity:
                held = np.zeros(self.size)
                for task in problem.tasks:
                    if task.pinned is not None and task.station == station.key:
                        held[task.pinned : task.pinned + task.station_steps] += 1
                rows.append(self._row(np.maximum(station.capacity - held, 0.0), wants))
        return rows

    def _row(self, there: Costs, wants: dict[str, tuple[int, int]]) -> _Row:
        return _Row(there, wants, np.zeros(self.size))

    def _there(self, person: Person) -> Costs:
        """Return the steps at which a person is there or could come in, and is not pinned to something."""
        found = np.zeros(self.size)
        for opens, closes in (*person.hours, *person.visits):
            found[max(opens, 0) : max(closes, 0)] = 1.0
        for task in self.problem.tasks:
            if task.pinned is not None and person.key in task.held_by:
                found[task.pinned : task.pinned + task.steps] = 0.0
        return found

    def _costs(self, key: str, sums: list[Costs]) -> dict[str, Costs]:
        axis = self.trees[key].axis
        costs = {DONE: self._done_costs(key, self.shares[key])}
        for task in self.problem.tasks_of[key]:
            found = self.base[key][task.key]
            for row, added in zip(self.rows, sums, strict=True):
                if task.key in row.wants:
                    much, steps = row.wants[task.key]
                    found = found + much * (_window(added, axis.begin + steps, axis.size) - _window(added, axis.begin, axis.size))
            costs[task.key] = found
        return costs

    def _sums(self) -> list[Costs]:
        return [np.concatenate(([0.0], np.cumsum(row.price))) for row in self.rows]

    def _brought_in(self) -> float:
        return sum(float(row.price @ row.there) for row in self.rows)

    def value(self) -> tuple[float, dict[str, int]]:
        """Return the bound at these prices, and the starts that each job would choose."""
        sums, total = self._sums(), -self._brought_in()
        starts: dict[str, int] = {}
        for order in self.orders:
            tree = self.trees[order.key]
            least, found = tree.cheapest(self._costs(order.key, sums))
            total += least
            done = found.pop(DONE)
            starts |= {key: tree.axis.begin + start for key, start in found.items()}
            starts[f"{DONE}{order.key}\n"] = tree.axis.begin + done
        return total, starts

    def rise(self, *, until: float, rounds: int = 200, stop: Callable[[], bool] | None = None) -> float:
        """Look for prices with a high bound and keep the best; returns the bound."""
        best, kept = -np.inf, ([row.price for row in self.rows], dict(self.shares))
        step, stalled = 1.0, 0
        for _ in range(rounds):
            value, starts = self.value()
            if value > best:
                stalled = 0 if value > best + 1e-5 * abs(value) else stalled + 1
                best, kept = value, ([row.price for row in self.rows], dict(self.shares))
            else:
                stalled += 1
            if stalled > _PATIENCE:
                step, stalled = step * _SHORTER, 0
            over = time.monotonic() >= until or (stop is not None and stop())
            if over or step < _LEAST_STEP or value >= self.most or not self._move(value, starts, step):
                break
        for row, price in zip(self.rows, kept[0], strict=True):
            row.price = price
        self.shares = kept[1]
        return float(best)

    def _move(self, value: float, starts: Mapping[str, int], step: float) -> bool:
        """Move the prices the way in which the bound rises; says whether there is any."""
        ways = []
        for row in self.rows:
            wanted = np.zeros(self.size + 1)
            for key, (much, steps) in row.wants.items():
                wanted[starts[key]] += much
                wanted[min(starts[key] + steps, self.size)] -= much
            way = np.cumsum(wanted)[:-1] - row.there
            ways.append(np.where((row.price <= 0) & (way < 0), 0.0, way))
        ends = np.array([starts[f"{DONE}{order.key}\n"] for order in self.orders], dtype=np.float64)
        # Ends are in other units than hands: their shares move in thousandths.
        scale = 1e-4
        apart = self.problem.weights.span * (ends - ends.mean())
        length = sum(float(way @ way) for way in ways) + scale * float(apart @ apart)
        if length <= 1e-12:
            return False
        far = step * max(self.most - value, 1.0) / length
        for row, way in zip(self.rows, ways, strict=True):
            row.price = np.maximum(row.price + far * way, 0.0)
        shares = np.array([self.shares[order.key] for order in self.orders]) + far * scale * apart
        self.shares = dict(zip((order.key for order in self.orders), _to_shares(shares).tolist(), strict=True))
        return True

    def priced(self, *, most: int) -> Priced:
        """Return the bound, and what each start adds to it; `most` is what the known schedule costs, as at the beginning."""
        sums, total = self._sums(), -self._brought_in()
        more: dict[str, tuple[int, Costs]] = {}
        for order in self.orders:
            tree = self.trees[order.key]
            least, whole = tree.with_each(self._costs(order.key, sums))
            total += least
            more |= {task.key: (tree.axis.begin, whole[task.key] - least) for task in self.problem.tasks_of[order.key]}
        return Priced(bound=total, spare=most - total, more=more)


def _window(sums: Costs, begin: int, size: int) -> Costs:
    """Return so many sums from one on; past the last the last holds."""
    found = sums[begin : begin + size]
    return found if len(found) == size else np.concatenate((found, np.full(size - len(found), sums[-1])))


def _to_shares(values: Costs) -> Costs:
    """Return the nearest shares that are not below nought and add up to one."""
    down = np.sort(values)[::-1]
    over = (np.cumsum(down) - 1) / np.arange(1, len(down) + 1)
    last = np.flatnonzero(down > over)[-1]
    shares: Costs = np.maximum(values - over[last], 0.0)
    return shares


def _spans(allowed: NDArray[np.bool_], begin: int) -> tuple[Span, ...]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], allowed, [False])).astype(np.int8)))
    return tuple((begin + int(opens), begin + int(closes) - 1) for opens, closes in zip(edges[::2], edges[1::2], strict=True))
