"""The sentence that chooses which days are shown, and of whom."""

import datetime
from typing import Any

from django import forms

from jobs.forms.days import EARLIEST, LATEST
from jobs.forms.jobs import DayInput
from jobs.models import Job
from studio.models import Person
from studio.web.forms import PaperForm

LENGTHS = ((7, "7 days"), (14, "14 days"), (21, "21 days"))
USUAL_DAYS = 7


class DaysFilterForm(PaperForm):
    """From which day, how many, whose and of which job."""

    begin = forms.DateField(required=False, label="From", widget=DayInput())
    days = forms.ChoiceField(required=False, label="how many days", choices=LENGTHS)
    person: "forms.ModelChoiceField[Person]" = forms.ModelChoiceField(
        Person.objects.none(), required=False, label="whose", empty_label="everybody"
    )
    job: "forms.ModelChoiceField[Job]" = forms.ModelChoiceField(
        Job.objects.none(), required=False, label="of which job", empty_label="all jobs", to_field_name="number"
    )

    def __init__(self, *args: Any, people: Any, jobs: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, initial={"begin": today, "days": USUAL_DAYS}, **kwargs)
        if self.is_bound and not self.data.get("begin"):
            # What was not chosen is shown as what it is taken for.
            self.data = {**self.data.dict(), "begin": today.isoformat()}  # type: ignore[attr-defined]
        self.today = today
        for name, rows in (("person", people), ("job", jobs)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows

    def clean_begin(self) -> datetime.date:
        """Keep years within what a calendar here can hold; nothing typed is today."""
        on: datetime.date = self.cleaned_data["begin"] or self.today
        if not EARLIEST <= on <= LATEST:
            raise forms.ValidationError(f"Give a day between {EARLIEST.year} and {LATEST.year}.")
        return on

    def chosen(self) -> tuple[datetime.date, int, Person | None, Job | None]:
        """Return what is shown: what was chosen, or the coming days of all where that is not to be understood."""
        if not self.is_bound or not self.is_valid():
            return self.today, USUAL_DAYS, None, None
        values = self.cleaned_data
        return values["begin"], int(values["days"] or USUAL_DAYS), values["person"], values["job"]
