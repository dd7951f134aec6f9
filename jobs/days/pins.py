"""Tasks that are held to a begin and to people, where that is still possible."""

import datetime
from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import Any

from jobs.days.begun import Told
from jobs.days.clock import Grid
from jobs.days.said import doubt
from jobs.models import TaskFact
from jobs.scheduling.problem import Task


def pinned(
    tasks: Iterable[Task], told: Told, begun: Collection[str], grid: Grid, now: datetime.datetime
) -> tuple[list[Task], list[dict[str, Any]]]:
    """Return the tasks with their pins, and in sentences which pins could not be kept."""
    found, said = [], []
    for task in tasks:
        fact = told.said.get(task.key)
        if fact is None or fact.pinned_at is None or task.key in begun:
            found.append(task)
            continue
        if fact.pinned_at < now:
            said.append(_passed(task, fact))
            found.append(task)
            continue
        people = tuple(sorted(str(person.pk) for person in fact.people.all()))
        held = people if len(people) == task.people else ()
        found.append(replace(task, pinned=grid.step_of(fact.pinned_at), held_by=held))
    return found, said


def _passed(task: Task, fact: TaskFact) -> dict[str, Any]:
    return doubt(
        f"“{task.label}” was pinned to a time that has passed and has not begun; it is laid out anew. Say when it was begun, or "
        "unpin it.",
        job=fact.job,
        page="jobs:job_days_show",
    )
