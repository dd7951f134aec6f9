"""The form for the name that a copy of the plan is kept under."""

from django import forms

from jobs.services.copies import LONGEST_NAME
from studio.web.forms import PaperForm


class CopyForm(PaperForm):
    """A name; whether it is free is found when the copy is kept."""

    name = forms.CharField(
        max_length=LONGEST_NAME, label="Name of the copy", help_text="By which you find it again: “thin wall, two molds”."
    )
