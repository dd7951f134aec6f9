"""Choosing which tasks are decided anew together."""

import random
from collections.abc import Mapping

from jobs.scheduling.problem import Problem, Task
from jobs.scheduling.result import Entry

_TASKS = (30, 50)


def part_to_free(problem: Problem, base: Mapping[str, Entry], source: random.Random) -> set[str]:
    """Choose some tasks: whole jobs that go on together, a stretch of days, or what touches each other."""
    size = min(source.randint(*_TASKS), len(problem.tasks))
    kind = source.choice(("jobs", "days", "days", "related"))
    if kind == "jobs":
        return _of_jobs(problem, base, size, source)
    return _of_days(problem, base, size, source) if kind == "days" else _related(problem, base, size, source)


def jobs_together(problem: Problem, base: Mapping[str, Entry], count: int, source: random.Random) -> list[str]:
    """Choose so many jobs that go on at about the same time."""
    orders = [order for order in problem.orders if problem.tasks_of[order.key]]
    middles = {order.key: _middle(base, problem.tasks_of[order.key]) for order in orders}
    first = middles[source.choice(orders).key]
    keys = sorted(middles, key=lambda key: abs(middles[key] - first) * source.uniform(0.5, 1.5))[:count]
    source.shuffle(keys)
    return keys


def _of_jobs(problem: Problem, base: Mapping[str, Entry], size: int, source: random.Random) -> set[str]:
    found: set[str] = set()
    for key in jobs_together(problem, base, len(problem.orders), source):
        if len(found) >= size:
            break
        found |= {task.key for task in problem.tasks_of[key]}
    return found


def _of_days(problem: Problem, base: Mapping[str, Entry], size: int, source: random.Random) -> set[str]:
    middle = base[source.choice(problem.tasks).key].start
    return set(sorted(base, key=lambda key: abs(base[key].start - middle))[:size])


def _related(problem: Problem, base: Mapping[str, Entry], size: int, source: random.Random) -> set[str]:
    seed = source.choice(problem.tasks).key
    found, edge = {seed}, [seed]
    while edge and len(found) < size:
        key = edge.pop(source.randrange(len(edge)))
        links = [link.after for link in problem.links_from[key]] + [link.before for link in problem.links_to[key]]
        beside = sorted(
            (other for other in base if set(base[other].people) & set(base[key].people)),
            key=lambda other: abs(base[other].start - base[key].start),
        )[:5]
        fresh = [other for other in dict.fromkeys((*links, *beside)) if other not in found]
        found.update(fresh)
        edge += fresh
    return found


def _middle(base: Mapping[str, Entry], tasks: tuple[Task, ...]) -> float:
    return sum(base[task.key].start for task in tasks) / max(len(tasks), 1)
