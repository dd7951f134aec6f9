"""The form for a client's link: until when it opens the quote."""

from typing import Any

from django import forms

from studio.web.forms import PaperForm


class LinkForm(PaperForm):
    """The last day of a link."""

    last_day_on = forms.DateField(
        label="Opens until",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as year-month-day, like 2026-03-31."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["last_day_on"].help_text = "The whole of this day counts."
