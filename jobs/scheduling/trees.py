"""One job's tasks and waits as a tree: its cheapest times at given prices of every step are found exactly, from end to end."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.scheduling.problem import Lag, Link, Problem, Task

Costs = NDArray[np.float64]
# Larger than any cost, small enough that costs added to it are not lost.
NEVER = 1e12
DONE = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """The steps that one job can use: `size` steps from `begin` on."""

    begin: int
    size: int


class Edge:
    """A wait: which starts of the task after go with which of the task before.

    A window that changes by the hour is taken at its widest, so that nothing that may be is left out.
    """

    def __init__(self, link: Link, steps: int, axis: Axis, per_hour: int) -> None:
        self.before, self.after, self.breach = link.before, link.after, float(link.breach) or NEVER
        self.size = axis.size
        starts = np.arange(axis.size)
        hours = np.maximum(starts + (axis.begin + steps), 0) // per_hour
        least = _by_hour(link.least, hours)
        # The first start of the task after, by the start of the task before.
        self.opens = starts + steps + least
        self.shift = steps + link.least.constant if link.least.constant is not None else None
        self.width = None if link.most is None else int((_by_hour(link.most, hours) - least).max(initial=0))
        self._inside = self.opens < axis.size

    def forward(self, costs: Costs) -> Costs:
        """Return, for each start of the task after, the least cost of the task before."""
        moved = np.full(self.size, NEVER)
        if self.shift is not None:
            if self.shift < self.size:
                moved[self.shift :] = costs[: self.size - self.shift]
        else:
            np.minimum.at(moved, self.opens[self._inside], costs[self._inside])
        return self._least(moved)

    def backward(self, costs: Costs) -> Costs:
        """Return, for each start of the task before, the least cost of the task after."""
        least = self._least(costs[::-1])[::-1]
        found = np.full(self.size, NEVER)
        if self.shift is not None:
            if self.shift < self.size:
                found[: self.size - self.shift] = least[self.shift :]
        else:
            found[self._inside] = least[self.opens[self._inside]]
        return found

    def _least(self, costs: Costs) -> Costs:
        ever: Costs = np.minimum.accumulate(costs)
        if self.width is None:
            return ever
        return np.minimum(_least_within(costs, self.width), ever + self.breach)

    def best_before(self, costs: Costs, after: int) -> int:
        """Return the cheapest start of the task before for a start of the task after."""
        late = after - self.opens
        return self._choose(costs, late)

    def best_after(self, costs: Costs, before: int) -> int:
        """Return the cheapest start of the task after for a start of the task before."""
        return self._choose(costs, np.arange(self.size) - self.opens[before])

    def _choose(self, costs: Costs, late: NDArray[np.int64]) -> int:
        priced = np.where(late < 0, NEVER, costs)
        if self.width is not None:
            priced = np.where(late > self.width, priced + self.breach, priced)
        return int(np.argmin(priced))


class Tree:
    """The tasks of one job, each but the root hung on one other by a wait; waits that would close a ring are left out.

    The root stands for the end of the job: its start is when all is done, as far as the tree tells.
    """

    def __init__(self, problem: Problem, tasks: Sequence[Task], axis: Axis, earliest: Mapping[str, int]) -> None:
        self.axis = axis
        steps = {task.key: task.steps for task in tasks} | {DONE: 0}
        links = _spanning(problem, tasks, earliest)
        edges: dict[str, list[Edge]] = {key: [] for key in steps}
        for link in links:
            edge = Edge(link, steps[link.before], axis, problem.steps_per_hour)
            edges[link.before].append(edge)
            edges[link.after].append(edge)
        # From each root outward; what hangs on nothing is a root of its own.
        self.hung: list[tuple[str, str, Edge]] = []
        self.roots: list[str] = []
        seen: set[str] = set()
        for root in (DONE, *sorted(steps)):
            if root in seen:
                continue
            self.roots.append(root)
            seen.add(root)
            waiting = [root]
            while waiting:
                key = waiting.pop()
                for edge in edges[key]:
                    other = edge.after if edge.before == key else edge.before
                    if other not in seen:
                        seen.add(other)
                        self.hung.append((other, key, edge))
                        waiting.append(other)

    def cheapest(self, costs: Mapping[str, Costs]) -> tuple[float, dict[str, int]]:
        """Return the least cost of all tasks together and starts that cost it, on the job's own axis."""
        sums, _ = self._sums(costs)
        starts = {root: int(np.argmin(sums[root])) for root in self.roots}
        total = sum(float(sums[root][starts[root]]) for root in self.roots)
        for key, hangs_on, edge in self.hung:
            at = starts[hangs_on]
            starts[key] = edge.best_before(sums[key], at) if edge.before == key else edge.best_after(sums[key], at)
        return total, starts

    def with_each(self, costs: Mapping[str, Costs]) -> tuple[float, dict[str, Costs]]:
        """Return the least cost, and for each task and start the least cost of the whole with the task there."""
        sums, told = self._sums(costs)
        whole = {root: sums[root] for root in self.roots}
        for key, hangs_on, edge in self.hung:
            rest = np.where(whole[hangs_on] >= NEVER / 2, NEVER, whole[hangs_on] - told[key])
            back = edge.backward(rest) if edge.before == key else edge.forward(rest)
            whole[key] = sums[key] + back
        # Each root's own tree; the others cost their least beside it.
        least = {root: float(sums[root].min()) for root in self.roots}
        total = sum(least.values())
        of_root = {root: root for root in self.roots}
        for key, hangs_on, _ in self.hung:
            of_root[key] = of_root[hangs_on]
        return total, {key: cost + (total - least[of_root[key]]) for key, cost in whole.items()}

    def _sums(self, costs: Mapping[str, Costs]) -> tuple[dict[str, Costs], dict[str, Costs]]:
        """Return each task's cost with all that hangs on it, and what each tells the one that it hangs on."""
        sums, told = dict(costs), {}
        for key, hangs_on, edge in reversed(self.hung):
            told[key] = edge.forward(sums[key]) if edge.before == key else edge.backward(sums[key])
            sums[hangs_on] = sums[hangs_on] + told[key]
        return sums, told


def _spanning(problem: Problem, tasks: Sequence[Task], earliest: Mapping[str, int]) -> list[Link]:
    """Choose waits that make no ring: of each task first the one that keeps it longest, then windows, then the rest."""
    own = {task.key for task in tasks}
    links = [
        link
        for link in problem.links
        if link.before in own and link.after in own and not (problem.task[link.before].begun and problem.task[link.after].begun)
    ]
    ends = {task.key: earliest[task.key] + task.steps for task in tasks}
    last = [key for key in own if not any(link.after in own for link in problem.links_from[key])]
    links += [Link(before=key, after=DONE) for key in sorted(last)]
    keeps = {id(link): ends[link.before] + min(link.least.by_hour) for link in links}
    longest: dict[str, Link] = {}
    for link in links:
        if link.after not in longest or keeps[id(link)] > keeps[id(longest[link.after])]:
            longest[link.after] = link
    chosen = {id(link) for link in longest.values()}
    links.sort(key=lambda link: (id(link) not in chosen, link.most is None, -keeps[id(link)]))
    group = {key: key for key in (*own, DONE)}

    def head(key: str) -> str:
        while group[key] != key:
            group[key] = group[group[key]]
            key = group[key]
        return key

    kept = []
    for link in links:
        one, other = head(link.before), head(link.after)
        if one != other:
            group[one] = other
            kept.append(link)
    return kept


def _by_hour(lag: Lag, hours: NDArray[np.int64]) -> NDArray[np.int64]:
    found: NDArray[np.int64] = np.asarray(lag.by_hour, dtype=np.int64)[np.minimum(hours, len(lag.by_hour) - 1)]
    return found


def _least_within(costs: Costs, width: int) -> Costs:
    """Return the least of each step and so many before it, by doubling what is looked over."""
    found, seen = costs.copy(), 1
    while seen <= width:
        more = min(seen, width + 1 - seen)
        found[more:] = np.minimum(found[more:], found[:-more].copy()) if more < len(found) else found[more:]
        seen += more
    return found
