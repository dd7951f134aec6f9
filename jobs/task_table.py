"""Tasks as pages print them: what each waits for in words, and whether their hours are known."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby

from jobs.planning.results import MoldPlan, Task

# Closer than this nobody can tell two starts apart. [h]
AT_ONCE_H = 1 / 60


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLine:
    """A task with the labels of those that it waits for, unless that is just the one above it.

    Hours count from the first task; `latest_h` is None where it is not known, and where work goes on at once.
    """

    task: Task
    after: tuple[str, ...]
    earliest_h: float
    latest_h: float | None
    at_once: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskTable:
    """Lines of a table of tasks; `timed` says whether earliest and latest hours were worked out."""

    lines: tuple[TaskLine, ...]
    timed: bool


def task_table(made: MoldPlan | None, shown: Iterable[Task] | None = None) -> TaskTable:
    """Return a plan's tasks, or some of them, with what they wait for."""
    if made is None:
        return TaskTable(lines=(), timed=False)
    labels = {task.key: task.label for task in made.tasks}
    tasks = made.tasks if shown is None else tuple(shown)
    lines = tuple(_line(task, above, labels) for task, above in zip(tasks, (None, *tasks), strict=False))
    return TaskTable(lines=lines, timed=any(task.earliest_h or task.latest_h is not None for task in made.tasks))


def runs_of(lines: Iterable[TaskLine]) -> list[tuple[str, list[TaskLine]]]:
    """Return runs of tasks of one stage, in their order, each under a heading of its own.

    Stages take turns where the piece is turned, so a run of one position says which; one that comes back otherwise is continued.
    """
    runs = [(stage, list(found)) for stage, found in groupby(lines, key=lambda line: line.task.stage)]
    often = Counter(stage for stage, _ in runs)
    headed: dict[str, list[TaskLine]] = {}
    for stage, found in runs:
        positions = {line.task.position for line in found}
        place = positions.pop() if often[stage] > 1 and len(positions) == 1 else None
        heading = stage.label if place is None else f"{stage.label}, position {place}"
        while heading in headed:
            heading += ", continued"
        headed[heading] = found
    return list(headed.items())


def _line(task: Task, above: Task | None, labels: Mapping[str, str]) -> TaskLine:
    plain = above is not None and task.waits_for == (above.key,)
    at_once = task.latest_h is not None and task.latest_h - task.earliest_h < AT_ONCE_H
    return TaskLine(
        task=task,
        after=() if plain else tuple(labels[key] for key in task.waits_for if key in labels),
        earliest_h=max(task.earliest_h, 0.0),
        latest_h=None if at_once else task.latest_h,
        at_once=at_once,
    )
