"""People, their training and their hours as they are typed."""

from typing import Any

from django import forms
from django.db.models import Q

from studio.models import Account, Person, Skill, WorkingHours
from studio.services.people import training_until
from studio.web.forms import MoneyField, PaperForm

DAY_FORMATS = ["%Y-%m-%d", "%d %b %Y", "%d %B %Y"]
TIME_FORMATS = ["%H:%M", "%H:%M:%S", "%H.%M", "%Hh%M", "%H"]
NO_DAY = "This is not a day. Write it as 2026-11-25, for example."
NO_TIME = "This is not a time. Write it as 14:30, for example."


def day_field(*, label: str, help_text: str = "") -> forms.DateField:
    """Return a field for a day that may stay empty."""
    return forms.DateField(
        label=label, required=False, help_text=help_text, input_formats=DAY_FORMATS,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), error_messages={"invalid": NO_DAY},
    )  # fmt: skip


def time_field(*, label: str) -> forms.TimeField:
    """Return a field for a time of day."""
    return forms.TimeField(
        label=label, input_formats=TIME_FORMATS, widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": NO_TIME, "required": "Type a time, for example 14:30."},
    )  # fmt: skip


class PersonForm(PaperForm):
    """Somebody who works here."""

    name = forms.CharField(label="Name", max_length=120, error_messages={"required": "Type the person's name."})
    rate_per_h = MoneyField(
        label="Labour rate", per="h", max_value=99_999, help_text="What an hour of this person costs a job, before overhead."
    )
    account = forms.ModelChoiceField(
        label="Account",
        queryset=Account.objects.none(),
        required=False,
        empty_label="signs in with no account",
        error_messages={"invalid_choice": "That account is closed or belongs to another person. Choose another one."},
    )
    isocyanate_trained_on = day_field(
        label="Isocyanate training on", help_text="The day on the proof of training. Keep the proof."
    )
    isocyanate_trained_until_on = day_field(
        label="Isocyanate training counts until",
        help_text="Left empty, five years after the training, the longest the EU allows.",
    )
    skills = forms.ModelMultipleChoiceField(
        label="Skills", queryset=Skill.objects.none(), required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Stages that ask for a skill are given only to those who have it.",
        error_messages=dict.fromkeys(("invalid_choice", "invalid_pk_value"), "Tick skills from the list only."),
    )  # fmt: skip
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, person: Person | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["account"]
        assert isinstance(field, forms.ModelChoiceField)
        skills: Any = self.fields["skills"]
        skills.queryset = Skill.objects.all()
        mine = Q(person=person) if person else Q(pk=None)
        field.queryset = Account.objects.filter(Q(person=None, is_active=True) | mine)

    def clean(self) -> dict[str, Any]:
        """See that training ends after it was held, and no later than the law lets it count."""
        typed = super().clean() or self.cleaned_data
        held, until = typed.get("isocyanate_trained_on"), typed.get("isocyanate_trained_until_on")
        if held and until and not held < until <= training_until(held):
            self.add_error(
                "isocyanate_trained_until_on",
                f"Training of {held} counts until {training_until(held)} at the latest, and not before it was held. "
                "Correct one of the days, or leave this one empty.",
            )
        return typed


def typed_from(person: Person) -> dict[str, Any]:
    """Return what the form shows for a person."""
    plain = {name: getattr(person, name) for name in PersonForm.base_fields if name != "skills"}
    return {**plain, "skills": list(person.skills.all())}


class HoursForm(PaperForm):
    """One stretch of hours, on one or several days of the week."""

    weekdays = forms.TypedMultipleChoiceField(
        label="Days", choices=WorkingHours.Weekday.choices, coerce=int, widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick one day at least.", "invalid_choice": "Tick days of the week only."},
    )  # fmt: skip
    starts_at = time_field(label="From")
    ends_at = time_field(label="To")
    where = forms.ChoiceField(
        label="Where", choices=WorkingHours.Where.choices, initial=WorkingHours.Where.BENCH,
        help_text="Hours from home are for one quick coat between other things.",
        error_messages={"invalid_choice": "Choose the bench or home."},
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """See that a stretch ends after it starts."""
        typed = super().clean() or self.cleaned_data
        starts_at, ends_at = typed.get("starts_at"), typed.get("ends_at")
        if starts_at and ends_at and ends_at <= starts_at:
            self.add_error(
                "ends_at", "This is not after the start. Hours past midnight are two stretches: one until 23:59, one from 00:00."
            )
        return typed
