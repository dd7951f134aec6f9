"""What waits after an entry of a timetable and until when, also where it was done before the timetable was laid out."""

import datetime
from collections.abc import Mapping

from jobs.models import TimetableEntry
from jobs.planning.results import MoldPlan, Task

Moment = datetime.datetime | None


def tasks_by_key(plan: MoldPlan | None) -> dict[str, Task]:
    """Return the tasks of a plan by their keys; none of none."""
    return {} if plan is None else {task.key: task for task in plan.tasks}


def waits_of(entry: TimetableEntry, tasks: Mapping[str, Task]) -> tuple[Moment, Moment]:
    """Return the earliest begin of what follows an entry, and when its window closes.

    An entry of work that was over when the days were laid out has none of its own: then it waits as long as its plan says,
    from its real end, at the plan's temperature.
    """
    if entry.waits_until_at is not None or entry.latest_next_at is not None or not entry.done:
        return entry.waits_until_at, entry.latest_next_at
    task = tasks.get(entry.plan_key)
    if task is None:
        return None, None
    return _after(entry, task.wait_after_min or None), _after(entry, task.latest_next_min)


def _after(entry: TimetableEntry, minutes: float | None) -> Moment:
    return None if minutes is None else entry.ends_at + datetime.timedelta(minutes=round(minutes))
