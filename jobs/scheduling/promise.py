"""The earliest honest day for one more job: laid beside the present load many times, each with other durations."""

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass, replace

from jobs.scheduling.by_hand import insert
from jobs.scheduling.errors import NobodyCan
from jobs.scheduling.layout import Layout, able
from jobs.scheduling.problem import Problem, Task
from jobs.scheduling.result import Entry

# How much of the spread all tasks of a job have in common: who works slowly today is slow at every coat.
_COMMON = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """The steps by which a job is done with a chance of 50 % and 90 %, and all ends that were drawn, in order.

    `missed` counts the draws in which it did not end within the horizon; they count as later than all others.
    """

    even_chance: int | None
    nine_in_ten: int | None
    ends: tuple[int, ...]
    missed: int


def promise(
    problem: Problem, entries: Mapping[str, Entry], order: str, *, spread: float = 0.25, samples: int = 40, seed: int = 1
) -> Promise:
    """Draw when one more job would be done.

    Parameters
    ----------
    problem : Problem
        All open jobs and the enquiry.
    entries : mapping of task key to Entry
        The present plan of the other jobs. They keep its order and begin nothing earlier than it says.
    order : str
        The enquiry's key; its tasks go into what the others leave.
    spread : float
        Standard deviation of the logarithm of a task's duration: 0.25 says that one in six takes more than 1.28 times as long
        as planned. From 0 to 1.
    samples : int
        How many draws; at least 10 for a chance of 90 %.
    seed : int
        Where chance begins: the same seed draws the same durations.

    Returns
    -------
    Promise
        None in place of a day that lies beyond the horizon.

    Notes
    -----
    Log-normal durations that share part of their spread within a job (common practice, no source). Waits are not drawn: they
    follow the temperature. The days are quantiles of the draws: the smallest end that so large a share of them does not exceed.
    """
    if not 0 <= spread <= 1 or samples < 10:
        raise ValueError("The spread goes from 0 to 1, and there are at least 10 draws.")
    source = random.Random(seed)  # noqa: S311 - draws of durations, no secret
    ends: list[int] = []
    for _ in range(samples):
        drawn = _drawn(problem, entries, source, spread)
        end = _end_of(drawn, entries, order)
        if end is not None:
            ends.append(end)
    ends.sort()
    return Promise(
        even_chance=_quantile(ends, samples, 0.5),
        nine_in_ten=_quantile(ends, samples, 0.9),
        ends=tuple(ends),
        missed=samples - len(ends),
    )


def _drawn(problem: Problem, entries: Mapping[str, Entry], source: random.Random, spread: float) -> Problem:
    """Return the problem with other durations, and nothing of the plan earlier than planned."""
    shared = {order.key: source.gauss(0, 1) for order in problem.orders}
    tasks = []
    for task in problem.tasks:
        own = source.gauss(0, 1)
        factor = math.exp(spread * (_COMMON * shared[task.order] + math.sqrt(1 - _COMMON**2) * own))
        steps = task.steps if task.pinned is not None else min(max(1, round(task.steps * factor)), _longest(problem, task))
        opens = max(task.opens, entries[task.key].start) if task.key in entries else task.opens
        tasks.append(replace(task.taking(steps), opens=opens))
    return replace(problem, tasks=tuple(tasks))


def _longest(problem: Problem, task: Task) -> int:
    """Return the longest stretch that somebody who can do a task has; what takes longer would be divided."""
    spans = [closes - opens for person in able(problem, task) for opens, closes in person.hours]
    return max(task.steps, max(spans, default=task.steps) // 2)


def _end_of(problem: Problem, entries: Mapping[str, Entry], order: str) -> int | None:
    made = Layout(problem, visit_worth=problem.weights.visit, look_ahead=True)
    try:
        for task in problem.tasks:
            if task.pinned is not None:
                made.hold(task)
        for key in sorted(
            (key for key in entries if key in problem.task and problem.task[key].order != order),
            key=lambda key: entries[key].start,
        ):
            made.lay(problem.task[key])
        insert(problem, made, [order])
    except NobodyCan:
        return None
    return max(made.entries[task.key].end for task in problem.tasks_of[order])


def _quantile(ends: list[int], samples: int, share: float) -> int | None:
    place = math.ceil(share * samples) - 1
    return ends[place] if place < len(ends) else None
