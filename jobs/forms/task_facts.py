"""What is said of one task, as it is typed: held to a time, not before, begun and done."""

import datetime
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils import timezone

from jobs.days.facts import AHEAD, LONGEST, MOST_WHY
from jobs.forms.jobs import DayInput
from studio.forms.people import DAY_FORMATS, NO_DAY, NO_TIME, TIME_FORMATS
from studio.local_time import NoSuchTime, moment_of
from studio.models import Person
from studio.web.forms import PaperForm

FARTHEST = datetime.timedelta(days=730)
NOBODY = "Tick people from this list."


def day_typed(*, label: str, required: bool = True) -> forms.DateField:
    """Return a field for a day."""
    return forms.DateField(
        label=label, required=required, input_formats=DAY_FORMATS, widget=DayInput(),
        error_messages={"invalid": NO_DAY, "required": "Give the day."},
    )  # fmt: skip


def hour_typed(*, label: str, required: bool = True) -> forms.TimeField:
    """Return a field for a time of day."""
    return forms.TimeField(
        label=label, required=required, input_formats=TIME_FORMATS,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": NO_TIME, "required": "Type a time, for example 14:30."},
    )  # fmt: skip


class PeopleField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """Ticks people who work here; whatever else is sent for one is refused in words."""

    def __init__(self, *, label: str) -> None:
        super().__init__(Person.objects.none(), label=label, required=False, widget=forms.CheckboxSelectMultiple())

    def clean(self, value: Any) -> Any:
        """Refuse what is no number of a row before the database is asked for it."""
        if any(not (isinstance(one, int) or (one.isascii() and one.isdecimal() and len(one) < 16)) for one in value or []):
            raise forms.ValidationError(NOBODY)
        try:
            return super().clean(value)
        except forms.ValidationError as fault:
            raise forms.ValidationError(NOBODY) from fault


class MomentForm(PaperForm):
    """A form with days and times that become moments of the studio's clock."""

    # Every moment by its name, as the pair of fields that it is typed into.
    moments: dict[str, tuple[str, str]] = {}

    def __init__(self, *args: Any, people: Iterable[Person] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.ModelMultipleChoiceField):
                field.queryset = Person.objects.filter(pk__in=[person.pk for person in people])

    def clean(self) -> dict[str, Any]:
        """Put days and times together; say where the clocks jump over one, and where a year is mistyped."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        for name, (day_name, hour_name) in self.moments.items():
            typed[name] = self._moment(typed.get(day_name), typed.get(hour_name), day_name, hour_name)
        return typed

    def _moment(
        self, day: datetime.date | None, hour: datetime.time | None, day_name: str, hour_name: str
    ) -> datetime.datetime | None:
        if day is None or hour is None:
            return None
        if abs(day - timezone.localdate()) > FARTHEST:
            self.add_error(day_name, "That is more than two years away. Check the year.")
            return None
        try:
            return moment_of(day, hour, timezone.get_current_timezone()).at
        except NoSuchTime as fault:
            self.add_error(hour_name, str(fault))
            return None


class PinForm(MomentForm):
    """A begin that the search for days may not move, and whose hands it takes."""

    day = day_typed(label="It begins on")
    hour = hour_typed(label="It begins at")
    people = PeopleField(label="Done by")
    moments = {"at": ("day", "hour")}

    def clean(self) -> dict[str, Any]:
        """Want a time to come."""
        typed = super().clean()
        if typed["at"] is not None and typed["at"] <= timezone.now():
            self.add_error("hour", "That has passed. Give a time to come, or say that it was begun then.")
        return typed


class LateForm(MomentForm):
    """A time before which a task cannot begin, and why."""

    day = day_typed(label="Not before this day")
    hour = hour_typed(label="Not before this time")
    why = forms.CharField(
        label="Why", required=False, max_length=MOST_WHY, help_text="For example “the coat below is still wet”."
    )
    moments = {"until": ("day", "hour")}

    def clean(self) -> dict[str, Any]:
        """Want a time to come."""
        typed = super().clean()
        if typed["until"] is not None and typed["until"] <= timezone.now():
            self.add_error("hour", "That has passed, so nothing keeps it waiting. Give a time to come.")
        return typed


class DoneForm(MomentForm):
    """When a task was really begun and done, and by whom."""

    day = day_typed(label="Begun on")
    hour = hour_typed(label="Begun at")
    end_hour = hour_typed(label="Done at", required=False)
    end_day = day_typed(label="Done on another day", required=False)
    people = PeopleField(label="Done by")
    moments = {"began_at": ("day", "hour")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["end_hour"].help_text = "May lie ahead while it is being done. Left empty, it takes as long as planned."
        self.fields["end_day"].help_text = "Only where it was not done on the day on which it was begun."

    def clean(self) -> dict[str, Any]:
        """Want a begin that has come, and an end after it."""
        typed = super().clean()
        began_at, end_hour = typed["began_at"], typed.get("end_hour")
        typed["ended_at"] = None
        if typed.get("end_day") and end_hour is None and "end_hour" not in self.errors:
            self.add_error("end_hour", "Give the time at which it was done on that day, or leave that day empty.")
        if end_hour is not None and typed.get("day") is not None and "end_day" not in self.errors:
            typed["ended_at"] = self._moment(typed.get("end_day") or typed["day"], end_hour, "end_day", "end_hour")
        if began_at is None:
            return typed
        if began_at > timezone.now() + AHEAD:
            self.add_error("hour", "That is still to come. Say when it really began, or pin it to that time.")
        if typed["ended_at"] is None:
            return typed
        if typed["ended_at"] <= began_at:
            self.add_error("end_hour", "It was done before it began. Correct a time, or give the day on which it was done.")
        elif typed["ended_at"] - began_at > LONGEST:
            self.add_error("end_day", "That is more than three days after it began. Check the days.")
        return typed


def parts(moment: datetime.datetime | None) -> tuple[datetime.date | None, datetime.time | None]:
    """Return the day and the time of a moment, as its two fields show them."""
    if moment is None:
        return None, None
    local = timezone.localtime(moment)
    return local.date(), local.time().replace(second=0, microsecond=0)
