"""What is typed to move a mass: every form carries a key, so that sending it twice writes once."""

import datetime
from typing import Any
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from studio.web.forms import CountField, PaperForm, QuantityField

MOST_G = 100_000_000
OLDEST = datetime.date(1990, 1, 1)
LARGEST_JOB = 2_147_483_647


def new_key() -> str:
    """Return a fresh idempotency key."""
    return uuid4().hex


def key_field() -> forms.CharField:
    """Return the hidden field of a form's idempotency key."""
    return forms.CharField(
        max_length=64,
        min_length=8,
        widget=forms.HiddenInput,
        initial=new_key,
        error_messages=dict.fromkeys(
            ("required", "min_length", "max_length"), "This page is too old to be sent; load it again and enter it once more."
        ),
    )


def mass_field(*, label: str, required: bool = True, least: float = 0.001, help_text: str = "") -> QuantityField:
    """Return a field for a mass in grams to three places."""
    return QuantityField(
        unit="g", places=3, min_value=least, max_value=MOST_G, label=label, required=required, help_text=help_text
    )


def day_field(*, label: str, required: bool = True, help_text: str = "") -> forms.DateField:
    """Return a field for a day."""
    return forms.DateField(
        label=label,
        required=required,
        help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as year-month-day, for example 2027-03-01.", "required": "Give the day."},
    )


def check_past(day: datetime.date, *, oldest: datetime.date = OLDEST) -> datetime.date:
    """Refuse a day that has not come, or that nobody can have meant."""
    if day > timezone.localdate():
        raise ValidationError("This day has not come yet; give today or an earlier day.")
    if day < oldest:
        raise ValidationError("This day is too long ago to be right; check the year.")
    return day


class EntryForm(PaperForm):
    """The base of every form that writes to the ledger."""

    key = key_field()

    def entry(self) -> dict[str, Any]:
        """Return what the ledger takes, without the mass."""
        return {"key": self.cleaned_data["key"], "why": self.cleaned_data.get("why", "")}


def why_field(*, required: bool, label: str = "Why") -> forms.CharField:
    """Return a field for the reason of a line."""
    return forms.CharField(
        label=label,
        max_length=200,
        required=required,
        error_messages={"required": "Say why in a few words; it stays in the day book."},
    )


def job_field() -> CountField:
    """Return a field for a job's number."""
    return CountField(label="For job number", required=False, min_value=1, max_value=LARGEST_JOB)


class UseForm(EntryForm):
    """Take a mass out for a job or for something else."""

    mass_g = mass_field(label="Mass used")
    job_number = job_field()
    why = why_field(required=False, label="What for")


class ReturnForm(EntryForm):
    """Put back what was taken out and not used."""

    mass_g = mass_field(label="Mass that comes back")
    job_number = job_field()
    why = why_field(required=False)


class CountForm(EntryForm):
    """Set the balance to what the scale says."""

    counted_g = mass_field(label="Mass found on the scale", least=0, help_text="Without the container.")
    why = why_field(required=True, label="Why it differs")


class DiscardForm(EntryForm):
    """Throw a mass away."""

    mass_g = mass_field(label="Mass thrown away")
    why = why_field(required=True)


class ReleaseForm(EntryForm):
    """Take a promise to a job back."""

    mass_g = mass_field(label="Mass no longer promised")
    job_number = CountField(label="To job number", min_value=1, max_value=LARGEST_JOB)
    why = why_field(required=False)


class FillForm(EntryForm):
    """Put scrap into a bin."""

    mass_g = mass_field(label="Mass put in")
    why = why_field(required=False, label="Where it came from")


class UndoForm(EntryForm):
    """Undo a line by its opposite."""

    why = why_field(required=True, label="Why it is undone")
