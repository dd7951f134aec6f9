"""What is different, told in sentences: a task that is late, one done at another time, somebody who is away."""

from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Any

from django import forms
from django.utils import timezone

from jobs.forms.task_facts import DoneForm, LateForm
from jobs.job_days.times import said_at
from jobs.models import Job, TimetableEntry
from studio.forms.absences import EVERYBODY, AbsenceForm

# What a control of a sentence is called where its words stand apart from it.
_CALLED = {
    "task": "The task", "day": "The day", "hour": "The time", "why": "Why", "end_hour": "The time at which it was done",
    "end_day": "The day on which it was done", "who": "Who", "from_day": "From", "from_time": "From this time",
    "until_day": "Last day", "until_time": "Back at",
}  # fmt: skip


def task_value(entry: TimetableEntry) -> str:
    """Name a task of a timetable within a form: the job's number and the task's key."""
    return f"{entry.job.number}:{entry.task_key}"


class _OfATask(forms.Form):
    """A sentence about one task that is chosen from those of the timetable in use."""

    def choose_from(self, entries: Iterable[TimetableEntry]) -> None:
        """Offer tasks under their jobs, in the order of their days."""
        self.entries: Mapping[str, TimetableEntry] = {task_value(entry): entry for entry in entries}
        ordered = sorted(self.entries.values(), key=lambda entry: (entry.job.number, entry.starts_at, entry.place))
        field: Any = self.fields["task"]
        field.choices = [
            ("", "choose a task"),
            *(
                (str(job), [(task_value(entry), f"{entry.label}, {said_at(entry.starts_at)}") for entry in own])
                for job, own in groupby(ordered, key=lambda entry: entry.job)
            ),
        ]

    def chosen(self) -> tuple[Job, str]:
        """Return the job and the key of the task that was chosen."""
        entry = self.entries[self.cleaned_data["task"]]
        return entry.job, entry.task_key


def _task_typed() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="The task",
        error_messages={"required": "Choose the task.", "invalid_choice": "Choose a task from the list; this one is not in it."},
    )


class LateNewsForm(LateForm, _OfATask):
    """The task … cannot begin before …, because …"""

    task = _task_typed()
    field_order = ["task", "day", "hour", "why"]

    def __init__(self, *args: Any, entries: Iterable[TimetableEntry] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = timezone.now()
        self.choose_from(entry for entry in entries if not entry.done and entry.ends_at > now)
        call_controls(self)


class DoneNewsForm(DoneForm, _OfATask):
    """The task … was begun … and done …"""

    task = _task_typed()
    people = None  # type: ignore[assignment]
    field_order = ["task", "day", "hour", "end_hour", "end_day"]

    def __init__(self, *args: Any, entries: Iterable[TimetableEntry] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choose_from(entries)
        call_controls(self)


class AwayNewsForm(AbsenceForm):
    """… is away from … until …; who closes the whole studio does that on its own page."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        who: Any = self.fields["who"]
        who.choices = [choice for choice in who.choices if choice[0] != EVERYBODY]
        call_controls(self)


def call_controls(form: forms.Form) -> None:
    """Name each control of a sentence for those who do not see the words around it."""
    for name, field in form.fields.items():
        field.widget.attrs["aria-label"] = _CALLED.get(name, field.label)
        if form.is_bound and form[name].errors:
            field.widget.attrs["aria-invalid"] = "true"
