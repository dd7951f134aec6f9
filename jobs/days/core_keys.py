"""Rows of the days as the scheduling core knows them: their keys, and their entries on its grid."""

from jobs.days.clock import Grid
from jobs.models import TaskFact, TimetableEntry
from jobs.scheduling.result import Entry


def core_key(row: TaskFact | TimetableEntry) -> str:
    """Return the key in the core of the task that a row tells of."""
    return f"{row.job_id}:{row.task_key}"


def on_grid(row: TimetableEntry, grid: Grid) -> Entry:
    """Return an entry, its people fetched, as the core knows it."""
    people = tuple(sorted(str(person.pk) for person in row.people.all()))
    return Entry(task=core_key(row), start=grid.step_of(row.starts_at), end=grid.step_of(row.ends_at), people=people)


def job_of(key: str) -> int:
    """Return the number of the row of the job that a key of the core belongs to."""
    return int(key.partition(":")[0])


def plan_key_of(key: str) -> str:
    """Return the key that a task of the core has in its plan."""
    return key.partition(":")[2].partition("#")[0]
