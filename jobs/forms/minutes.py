"""Minutes of one's own in place of the computed ones, one field a task."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from jobs.task_table import TaskLine, TaskTable, runs_of
from studio.figures import TYPED
from studio.web.forms import DurationField, PaperForm

LONGEST_MIN = 1_000_000


class MinutesForm(PaperForm):
    """Own minutes for each task; an empty field leaves the task computed."""

    def __init__(self, *args: Any, table: TaskTable, own: Mapping[str, Decimal], **kwargs: Any) -> None:
        self.table, self.tasks = table, tuple(line.task for line in table.lines)
        # What was typed while the work was one task stands divided over its positions now.
        carried = {task.key: round(Decimal(task.minutes.value), 1) for task in self.tasks if task.minutes.source == TYPED}
        initial = {_name(key): minutes for key, minutes in {**carried, **own}.items()}
        super().__init__(*args, initial=initial, **kwargs)
        for task in self.tasks:
            field = DurationField(required=False, max_value=LONGEST_MIN, places=1, label=f"Own minutes: {task.label}")
            field.profile = self.profile
            self.fields[_name(task.key)] = field

    def stages(self) -> list[tuple[str, list[tuple[TaskLine, Any]]]]:
        """Return the tasks in their order under headings, each with its field."""
        return [(heading, [(line, self[_name(line.task.key)]) for line in lines]) for heading, lines in runs_of(self.table.lines)]

    def minutes(self) -> dict[str, Decimal]:
        """Return what was typed, by task."""
        found = ((task.key, self.cleaned_data.get(_name(task.key))) for task in self.tasks)
        return {key: minutes for key, minutes in found if minutes is not None}


def _name(key: str) -> str:
    return f"task-{key}"
