"""Tasks as pages print them: what each waits for in words, and whether their hours are known."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.planning.results import MoldPlan, Task


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLine:
    """A task with the labels of those that it waits for."""

    task: Task
    after: tuple[str, ...]


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
    lines = tuple(
        TaskLine(task=task, after=tuple(labels[key] for key in task.waits_for if key in labels))
        for task in (made.tasks if shown is None else shown)
    )
    return TaskTable(lines=lines, timed=any(task.earliest_h or task.latest_h is not None for task in made.tasks))
