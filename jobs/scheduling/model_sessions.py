"""Joining of mixing sessions: tasks of one material that the same people do back to back are mixed once."""

from collections import defaultdict
from collections.abc import Mapping
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from jobs.scheduling.problem import Problem, Span, Task, in_order
from jobs.scheduling.result import sessions_of

if TYPE_CHECKING:
    from jobs.scheduling.model import Model
    from jobs.scheduling.prices import Priced


def add_sessions(model: "Model") -> None:
    """Add what mixing sessions cost, and the joining of two tasks to one session wherever it can happen."""
    problem, weight = model.problem, model.problem.weights.session
    if not weight:
        return
    groups: dict[str, list[Task]] = defaultdict(list)
    for task in problem.tasks:
        if task.session and task.key in model.tasks:
            groups[task.session].append(task)
    model.terms.append(weight * sessions_of(problem, model.fixed))
    taken, fewest = _taken(model), {} if model.fixed else fewest_sessions(problem)
    for session, tasks in groups.items():
        model.terms.append(weight * len(tasks))
        stand = [problem.task[key] for key in model.fixed if problem.task[key].session == session]
        joins = _joins(model, tasks, stand, taken)
        by_side: dict[tuple[int, str], list[Any]] = defaultdict(list)
        for one, other, joined in joins:
            by_side[0, one.key].append(joined)
            by_side[1, other.key].append(joined)
        # Nobody does two things at once, so that these say nothing new; they make proofs shorter.
        for literals in by_side.values():
            if len(literals) > 1:
                model.cp.add_at_most_one(literals)
        if joins and not model.fixed:
            model.cp.add(sum(joined for _, _, joined in joins) <= len(tasks) - fewest[session])
        model.terms += [-weight * joined for _, _, joined in joins]


def fewest_sessions(problem: Problem) -> dict[str, int]:
    """Return how often each material is mixed at least.

    Two coats of one job are one session only where other jobs' coats of the material fill the wait between them.
    """
    fewest: dict[str, int] = {}
    mixed: dict[str, dict[str, list[Task]]] = defaultdict(lambda: defaultdict(list))
    for task in in_order(problem):
        if task.session:
            mixed[task.session][task.order].append(task)
    for session, jobs in mixed.items():
        work = sum(task.steps for tasks in jobs.values() for task in tasks)
        fewest[session] = 1
        for tasks in jobs.values():
            waits = _waits(problem, tasks)
            others, filled = work - sum(task.steps for task in tasks), 0
            for wait in sorted(waits or ()):
                others -= wait
                filled += others >= 0
            if waits is not None:
                fewest[session] = max(fewest[session], len(tasks) - filled)
    return fewest


def _waits(problem: Problem, tasks: list[Task]) -> list[int] | None:
    """Return the least waits between tasks that follow each other in a line, None where they do not."""
    waits = []
    for one, other in pairwise(tasks):
        links = [link for link in problem.links_from[one.key] if link.after == other.key]
        if not links or problem.task[one.key].begun:
            return None
        waits.append(max(min(link.least.by_hour) for link in links))
    return waits


def _joins(model: "Model", tasks: list[Task], stand: list[Task], taken: set[tuple[str, str]]) -> list[tuple[Task, Task, Any]]:
    """Return what says of each pair of tasks that the second follows the first at once; `stand` are those that do not move."""
    joins: list[tuple[Task, Task, Any]] = []
    for one in tasks:
        for other in tasks:
            if one is not other and _can_follow(model.problem, model.priced, one, other):
                joins += _join(model, one, other)
        for other in stand:
            if ("start", other.key) not in taken and can_join(model.problem, one, other):
                joins += _join(model, one, other)
            if ("end", other.key) not in taken and can_join(model.problem, other, one):
                joins += _join(model, other, one)
    return joins


def sessions_floor(problem: Problem, priced: "Priced | None" = None) -> int:
    """Return how many mixing sessions there are at least, in schedules that reach the known cost where prices are known."""
    fewest = fewest_sessions(problem)
    if priced is None:
        return sum(fewest.values())
    total = 0
    for session, least in fewest.items():
        tasks = [task for task in problem.tasks if task.session == session]
        follows = {
            one.key: [other.key for other in tasks if one is not other and _can_follow(problem, priced, one, other)]
            for one in tasks
        }
        total += max(least, len(tasks) - _most_pairs(follows))
    return total


def _can_follow(problem: Problem, priced: "Priced | None", one: Task, other: Task) -> bool:
    return can_join(problem, one, other) and (priced is None or priced.can_follow(one, other))


def _most_pairs(follows: Mapping[str, list[str]]) -> int:
    """Return how many tasks can follow another at once, each after one and before one at most, by augmenting paths."""
    before: dict[str, str] = {}

    def placed(one: str, tried: set[str]) -> bool:
        for other in follows[one]:
            if other not in tried:
                tried.add(other)
                if other not in before or placed(before[other], tried):
                    before[other] = one
                    return True
        return False

    return sum(placed(one, set()) for one in follows)


def can_join(problem: Problem, one: Task, other: Task) -> bool:
    """Say whether a task could follow another at once: not where something must lie between them."""
    if one.people != other.people or other.key in problem.comes_before[one.key]:
        return False
    if one.key not in problem.comes_before[other.key]:
        return True
    links = [link for link in problem.links_from[one.key] if link.after == other.key]
    between = any(one.key in problem.comes_before[link.before] for link in problem.links_to[other.key] if link.before != one.key)
    return not between and all(min(link.least.by_hour) == 0 for link in links)


def _taken(model: "Model") -> set[tuple[str, str]]:
    """Return the sides of tasks that stand at which another of their session is joined already."""
    problem = model.problem
    ends = {
        (problem.task[key].session, entry.people, entry.end): key
        for key, entry in model.fixed.items()
        if problem.task[key].session
    }
    found: set[tuple[str, str]] = set()
    for key, entry in model.fixed.items():
        before = ends.get((problem.task[key].session, entry.people, entry.start))
        if before is not None:
            found |= {("start", key), ("end", before)}
    return found


def _join(model: "Model", one: Task, other: Task) -> list[tuple[Task, Task, Any]]:
    first, second = model.tasks.get(one.key), model.tasks.get(other.key)
    ends: Span = (first.reach[0] + one.steps, first.reach[1] + one.steps) if first else (model.fixed[one.key].end,) * 2
    starts: Span = second.reach if second else (model.fixed[other.key].start,) * 2
    if ends[1] < starts[0] or starts[1] < ends[0]:
        return []
    joined = model.cp.new_bool_var(f"join_{one.key}_{other.key}")
    end = first.start + one.steps if first else model.fixed[one.key].end
    start = second.start if second else model.fixed[other.key].start
    model.cp.add(start == end).only_enforce_if(joined)
    for person in model.problem.person:
        there = [
            variables.present.get(person, 0) if variables else int(person in model.fixed[task.key].people)
            for variables, task in ((first, one), (second, other))
        ]
        if all(isinstance(side, int) for side in there) and there[0] == there[1]:
            continue
        model.cp.add(there[0] == there[1]).only_enforce_if(joined)
    return [(one, other, joined)]
