"""Minutes of one's own in place of the computed ones, one field a task."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from jobs.planning.results import Task
from studio.web.forms import DurationField, PaperForm

LONGEST_MIN = 1_000_000


class MinutesForm(PaperForm):
    """Own minutes for each task; an empty field leaves the task computed."""

    def __init__(self, *args: Any, tasks: Iterable[Task], own: Mapping[str, Decimal], **kwargs: Any) -> None:
        super().__init__(*args, initial={_name(key): minutes for key, minutes in own.items()}, **kwargs)
        self.tasks = tuple(tasks)
        for task in self.tasks:
            field = DurationField(required=False, max_value=LONGEST_MIN, places=1, label=f"Own minutes: {task.label}")
            field.profile = self.profile
            self.fields[_name(task.key)] = field

    def rows(self) -> list[tuple[Task, Any]]:
        """Return each task with its field."""
        return [(task, self[_name(task.key)]) for task in self.tasks]

    def minutes(self) -> dict[str, Decimal]:
        """Return what was typed, by task."""
        found = ((task.key, self.cleaned_data.get(_name(task.key))) for task in self.tasks)
        return {key: minutes for key, minutes in found if minutes is not None}


def _name(key: str) -> str:
    return f"task-{key}"
