"""What is typed about a session of cutting or seating scrap."""

import datetime
from decimal import Decimal
from typing import Any

from django import forms

from materials.forms.entries import check_past, day_field, job_field, mass_field
from materials.models import ScrapCut
from studio.models import Person
from studio.web.forms import DurationField, PaperForm


class WorkedForm(PaperForm):
    """A session: what was done, to how much, how long it took, who did it; it moves no mass."""

    work = forms.ChoiceField(label="What was done", choices=ScrapCut.Work.choices)
    mass_g = mass_field(label="Mass of the chunks", help_text="Putting in and taking out is written down above.")
    minutes = DurationField(label="It took", min_value=Decimal("0.1"), max_value=10_000)
    person: "forms.ModelChoiceField[Person]" = forms.ModelChoiceField(
        Person.objects.none(), required=False, label="Who did it", empty_label="not said"
    )
    on = day_field(label="When")
    job_number = job_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        person = self.fields["person"]
        assert isinstance(person, forms.ModelChoiceField)
        person.queryset = Person.objects.filter(active=True).order_by("name")

    def clean_on(self) -> datetime.date:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["on"])
