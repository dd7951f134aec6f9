"""What no search can help: problems that contradict themselves are refused, each with what is to be corrected."""

from itertools import combinations, pairwise

from jobs.scheduling.errors import BadProblem
from jobs.scheduling.problem import Problem, in_order


def check_problem(problem: Problem) -> None:
    """Refuse a problem that contradicts itself.

    Raises
    ------
    BadProblem
        For keys that are not unique, links between unknown tasks or in a ring, unknown stations, times of nought or less, or
        a step that does not divide an hour.
    """
    if problem.step_min not in (1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30, 60):
        raise BadProblem("The grid of times must divide an hour.")
    for what, keys in (
        ("job", [order.key for order in problem.orders]),
        ("task", [task.key for task in problem.tasks]),
        ("person", [person.key for person in problem.people]),
        ("station", [station.key for station in problem.stations]),
    ):
        if len(set(keys)) != len(keys):
            raise BadProblem(f"A {what} is listed twice.")
    _check_tasks(problem)
    for link in problem.links:
        if link.before not in problem.task or link.after not in problem.task:
            raise BadProblem("A wait is between tasks that are not listed.")
        if link.most is not None and any(most < least for most, least in link.most.beside(link.least)):
            raise BadProblem(f"The window of “{problem.task[link.after].label or link.after}” closes before it opens.")
        if min(link.least.by_hour) < 0:
            raise BadProblem("A wait cannot be shorter than nought.")
    for person in problem.people:
        for spans in (person.hours, person.visits):
            if any(opens >= closes for opens, closes in spans) or any(a[1] > b[0] for a, b in pairwise(sorted(spans))):
                raise BadProblem(f"The hours of {person.label or person.key} overlap or end before they begin; correct them.")
    in_order(problem)
    _check_pins(problem)


def _check_tasks(problem: Problem) -> None:
    """Refuse a task without work, or one whose job, place or people are not known."""
    stations = {station.key for station in problem.stations}
    for task in problem.tasks:
        if task.steps < 1 or task.people < 1:
            raise BadProblem(f"“{task.label or task.key}” must take some time and somebody's hands.")
        if task.holds is not None and task.holds < task.steps:
            raise BadProblem(f"“{task.label or task.key}” must hold its station for as long as hands are at it.")
        if task.begun and (task.pinned is None or not task.held_by):
            raise BadProblem(f"“{task.label or task.key}” has begun; say when, and who does it.")
        if task.held_by and (len(set(task.held_by)) != task.people or any(key not in problem.person for key in task.held_by)):
            raise BadProblem(f"“{task.label or task.key}” is pinned to people who are not there, or to too few or too many.")
        if task.pinned is not None and not 0 <= task.pinned <= problem.horizon - task.steps:
            raise BadProblem(f"“{task.label or task.key}” is pinned outside of the days that are looked at.")
        if task.order not in problem.order:
            raise BadProblem(f"“{task.label or task.key}” belongs to no job that is listed.")
        if task.station is not None and task.station not in stations:
            raise BadProblem(f"The station of “{task.label or task.key}” is not known; add it under Studio, Stations.")


def _check_pins(problem: Problem) -> None:
    """Refuse pinned entries that contradict each other: no search can help where nothing may move."""
    for task in problem.tasks:
        for person in () if task.begun else map(problem.person.__getitem__, task.held_by):
            if not person.is_trained(task, (task.pinned or 0) + task.steps if task.pinned is not None else 0):
                raise BadProblem(
                    f"{person.label or person.key} is pinned to “{task.label or task.key}” and is not trained for "
                    f"{task.skill} by then; unpin it, or enter the training."
                )
    for link in problem.links:
        before, after = problem.task[link.before], problem.task[link.after]
        if before.pinned is None or after.pinned is None or (before.begun and after.begun):
            continue
        end = before.pinned + before.steps
        name = after.label or after.key
        if after.pinned < end + link.least.at(end, steps_per_hour=problem.steps_per_hour):
            raise BadProblem(f"“{name}” is pinned before “{before.label or before.key}” has set; unpin one of them.")
        closes = None if link.most is None else end + link.most.at(end, steps_per_hour=problem.steps_per_hour)
        if closes is not None and not link.breach and after.pinned > closes:
            raise BadProblem(f"“{name}” is pinned after its window closes; unpin it.")
    for person in problem.people:
        own = [task for task in problem.tasks if task.pinned is not None and person.key in task.held_by]
        for one, other in combinations(sorted(own, key=lambda task: task.pinned or 0), 2):
            if (one.pinned or 0) + one.steps > (other.pinned or 0) and not (one.begun and other.begun):
                raise BadProblem(
                    f"{person.label or person.key} is pinned to “{one.label or one.key}” and “{other.label or other.key}” at "
                    "once; unpin one of them."
                )
