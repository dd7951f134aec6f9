"""Schedules made without a solver: the plain list that a person makes, and better ones that look ahead and reinsert jobs."""

import random
from collections.abc import Collection, Iterator, Mapping

from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.layout import Layout
from jobs.scheduling.problem import Problem, Task
from jobs.scheduling.result import Entry, Schedule, schedule_of

_NO_DAY = 1 << 60


def list_schedule(problem: Problem) -> Schedule:
    """Lay out every task at its earliest: what can begin first goes first, of those the job that is promised first.

    Returns
    -------
    Schedule
        What a person makes by hand, without regard to windows: those that close unseen are among its breaches.

    Raises
    ------
    NobodyCan
        When no stretch of somebody's hours within the horizon holds a task.
    """
    made = Layout(problem)
    waiting = _begin(problem, made)
    ready = [task for task in problem.tasks if not waiting[task.key]]
    while ready:
        task = min(ready, key=lambda one: (made.ready_at(one), _day(problem, one)))
        ready.remove(task)
        made.lay(task)
        ready += _freed(problem, waiting, task)
    return schedule_of(problem, made.entries)


def insert(problem: Problem, made: Layout, orders: Collection[str]) -> None:
    """Lay out whole jobs, one after the other, beside what stands already.

    Raises
    ------
    NobodyCan
        When a task finds no place.
    """
    for key in orders:
        tasks = problem.tasks_of[key]
        own = {task.key for task in tasks}
        waiting = {
            task.key: sum(link.before in own and link.before not in made.entries for link in problem.links_to[task.key])
            for task in tasks
        }
        ready = [task for task in tasks if not waiting[task.key]]
        while ready:
            task = ready.pop(0)
            if task.key not in made.entries:
                made.lay(task)
            ready += [after for after in _freed(problem, waiting, task) if after.key in own]


def starts_by_hand(problem: Problem, source: random.Random, count: int) -> Iterator[Mapping[str, Entry]]:
    """Make schedules that look ahead: whole jobs one after the other, by the day promised and then in shaken orders."""
    if any(problem.task[link.before].order != problem.task[link.after].order for link in problem.links):
        return
    days = {order.key: float(order.due if order.due is not None else problem.horizon) for order in problem.orders}
    spread = problem.horizon / 20
    for turn in range(count):
        shaken = {key: day + (source.gauss(0, spread) if turn > 1 else 0) for key, day in days.items()}
        worth = None if turn % 2 == 0 else problem.weights.visit
        made = Layout(problem, visit_worth=worth, look_ahead=True)
        try:
            for task in problem.tasks:
                if task.pinned is not None:
                    made.hold(task)
            insert(problem, made, sorted(shaken, key=lambda key: shaken[key]))
        except NobodyCan:
            continue
        yield made.entries


def reinserted(
    problem: Problem, entries: Mapping[str, Entry], orders: Collection[str], *, visit_worth: int | None
) -> Mapping[str, Entry] | None:
    """Take some jobs out and put them back in the order given; None when one of them finds no place."""
    out = set(orders)
    kept = {
        key: entry for key, entry in entries.items() if problem.task[key].order not in out or problem.task[key].pinned is not None
    }
    made = Layout(problem, visit_worth=visit_worth, look_ahead=True, entries=kept)
    try:
        insert(problem, made, orders)
    except NobodyCan:
        return None
    return made.entries


def _begin(problem: Problem, made: Layout) -> dict[str, int]:
    for task in problem.tasks:
        if task.pinned is not None:
            made.hold(task)
    return {task.key: len(problem.links_to[task.key]) for task in problem.tasks}


def _freed(problem: Problem, waiting: dict[str, int], task: Task) -> list[Task]:
    freed = []
    for link in problem.links_from[task.key]:
        if link.after in waiting:
            waiting[link.after] -= 1
            if not waiting[link.after]:
                freed.append(problem.task[link.after])
    return freed


def _day(problem: Problem, task: Task) -> int:
    due = problem.order[task.order].due
    return _NO_DAY if due is None else due
