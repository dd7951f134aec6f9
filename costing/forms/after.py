"""What is typed after a job: minutes of tasks, other work, money spent, castings."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import Any

from django import forms
from django.utils import timezone

from costing.services.plan_numbers import PlannedTask
from jobs.forms.jobs import DayInput
from jobs.forms.molds import past_day
from jobs.services.work_done import MOST_MINUTES, MinutesNoted, Suggestion
from studio.models import Person
from studio.web.forms import CountField, DurationField, MoneyField, PaperForm
from studio.workrates import Stage

OLD = "This page is too old to be sent; load it again and enter it once more."
MOST_CASTINGS = 10_000
LONGEST_NOTE = 200


def key_field() -> forms.UUIDField:
    """Return the hidden field of the key under which a form is noted once."""
    return forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4, error_messages={"required": OLD, "invalid": OLD})


def day_field(label: str) -> forms.DateField:
    """Return a field for a day that has come, today unless told."""
    return forms.DateField(
        label=label, widget=DayInput(), initial=timezone.localdate, validators=[_come],
        error_messages={"required": "Give the day."},
    )  # fmt: skip


def _come(day: Any) -> None:
    """Refuse a day that has not come."""
    past_day(day)


def person_field() -> "forms.ModelChoiceField[Person]":
    """Return a field for who worked."""
    return forms.ModelChoiceField(Person.objects.none(), required=False, label="Who worked", empty_label="all hands together")


class _WithPerson(PaperForm):
    """A form that asks who worked, among those who work here."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        person = self.fields["person"]
        assert isinstance(person, forms.ModelChoiceField)
        person.queryset = Person.objects.filter(active=True).order_by("name")


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskField:
    """One task of the form: what is noted of it so far, what was said of its begin and end, and its field."""

    task: PlannedTask
    planned: bool
    noted: Decimal | None
    suggested: Suggestion | None
    bound: Any


class MinutesForm(_WithPerson):
    """Real minutes of each task, all hands together; an empty field notes nothing."""

    key = key_field()
    done_on = day_field("Done on")
    person = person_field()
    note = forms.CharField(label="Note", required=False, max_length=LONGEST_NOTE)

    def __init__(
        self,
        *args: Any,
        tasks: Sequence[tuple[PlannedTask, bool]],
        noted: Mapping[str, Decimal],
        suggested: Mapping[str, Suggestion],
        **kwargs: Any,
    ) -> None:
        self.tasks, self.noted = tasks, noted
        # What is noted already is not offered a second time.
        self.suggested = {key: one for key, one in suggested.items() if key not in noted and one.minutes > 0}
        initial = {_name(key): one.minutes for key, one in self.suggested.items()}
        super().__init__(*args, initial={**initial, **(kwargs.pop("initial", None) or {})}, **kwargs)
        for task, _ in tasks:
            field = DurationField(
                required=False, min_value=Decimal("0.1"), max_value=MOST_MINUTES, places=1, label=f"Minutes: {task.label}"
            )
            field.profile = self.profile
            self.fields[_name(task.key)] = field

    def stages(self) -> list[tuple[str, list[TaskField]]]:
        """Return the tasks under the headings of their stages, each with its field."""
        rows = [
            TaskField(
                task=task, planned=planned, noted=self.noted.get(task.key), suggested=self.suggested.get(task.key),
                bound=self[_name(task.key)],
            )
            for task, planned in self.tasks
        ]  # fmt: skip
        order = list(Stage)
        rows.sort(key=lambda row: order.index(Stage(row.task.stage)))
        return [(Stage(stage).label, list(those)) for stage, those in groupby(rows, key=lambda row: row.task.stage)]

    def lines(self) -> list[MinutesNoted]:
        """Return what was typed, by task."""
        typed = ((task, self.cleaned_data.get(_name(task.key))) for task, _ in self.tasks)
        return [
            MinutesNoted(task_key=task.key, label=task.label, stage=task.stage, minutes=minutes)
            for task, minutes in typed
            if minutes is not None
        ]


class OtherWorkForm(_WithPerson):
    """Work that the plan does not have."""

    key = key_field()
    label = forms.CharField(label="What was done", max_length=160)
    stage = forms.ChoiceField(
        label="It belongs to", choices=[(one.value, one.label) for one in Stage if one is not Stage.MATERIAL],
        initial=Stage.COATS.value,
    )  # fmt: skip
    minutes = DurationField(label="Minutes of all hands", min_value=Decimal("0.1"), max_value=MOST_MINUTES, places=1)
    done_on = day_field("Done on")
    person = person_field()

    def line(self) -> MinutesNoted:
        """Return what was typed."""
        typed = self.cleaned_data
        return MinutesNoted(task_key="", label=typed["label"], stage=typed["stage"], minutes=typed["minutes"])


class SpendForm(PaperForm):
    """Money spent on a job besides stock."""

    key = key_field()
    text = forms.CharField(label="What for", max_length=160)
    amount = MoneyField(label="Amount before tax", min_value=Decimal("0.01"))
    spent_on = day_field("Spent on")


class CastingsForm(PaperForm):
    """Castings of one day, good and spoiled."""

    key = key_field()
    good = CountField(label="Good", min_value=0, max_value=MOST_CASTINGS, required=False)
    spoiled = CountField(label="Spoiled", min_value=0, max_value=MOST_CASTINGS, required=False)
    cast_on = day_field("Cast on")
    note = forms.CharField(label="What went wrong", required=False, max_length=LONGEST_NOTE)

    def clean(self) -> dict[str, Any]:
        """Want at least one casting; an empty count is none."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        counts = [typed.get("good") or 0, typed.get("spoiled") or 0]
        if not self.errors and not any(counts):
            self.add_error("good", "Say how many castings came out, good or spoiled.")
        typed["good"], typed["spoiled"] = (int(one) for one in counts)
        return typed


def _name(key: str) -> str:
    return f"task-{key}"
