"""The form for a payment that came."""

from django import forms

from studio.web.forms import PaperForm


class PaidForm(PaperForm):
    """The day on which the money came."""

    paid_on = forms.DateField(
        label="Came on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as year-month-day, like 2026-03-31."},
    )
