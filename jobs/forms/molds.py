"""What is typed about finished molds."""

import datetime
from typing import Any

from django import forms

from jobs.forms.jobs import DayInput
from jobs.models import Mold
from jobs.services.molds import MOST_CASTINGS
from materials.forms.entries import check_past
from materials.models import Material
from materials.properties import MaterialKind
from studio.web.forms import CountField, PaperForm, QuantityField

OLDEST = datetime.date(1950, 1, 1)
MOST_G = 10_000_000


class MoldsFilterForm(PaperForm):
    """Which molds the list shows: "molds that are kept, lying in …, not looked at since …, with the words …"."""

    WHICH = (
        ("kept", "molds that are kept"),
        ("end", "molds that gave what is expected of them"),
        ("ended", "molds that have ended"),
        ("all", "all molds"),
    )

    which = forms.ChoiceField(choices=WHICH, required=False, label="Show")
    place = forms.CharField(required=False, max_length=80, label="lying in")
    since = forms.DateField(required=False, label="not looked at since", widget=DayInput())
    words = forms.CharField(required=False, max_length=100, label="with the words")


class MoldRowForm(PaperForm):
    """One finished mold."""

    rubber: "forms.ModelChoiceField[Material]" = forms.ModelChoiceField(
        Material.objects.none(), required=False, label="Rubber", empty_label="not known",
        help_text="What is not known can be thrown away one day, but never be used as scrap.",
    )  # fmt: skip
    mass_g = QuantityField(
        unit="g", places=3, min_value=1, max_value=MOST_G, required=False, label="Rubber in it",
        help_text="As weighed without the shell; by the plan until then.",
    )  # fmt: skip
    made_on = forms.DateField(label="Made on", widget=DayInput(), error_messages={"required": "Give the day it was opened."})
    place = forms.CharField(max_length=80, required=False, label="Where it lies")
    castings_done = CountField(min_value=0, max_value=MOST_CASTINGS, label="Castings done")
    note = forms.CharField(max_length=200, required=False, label="Note")

    def __init__(self, *args: Any, mold: Mold | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["rubber"]
        assert isinstance(field, forms.ModelChoiceField)
        rubbers = Material.objects.filter(kind=MaterialKind.RUBBER.value, active=True)
        if mold is not None and mold.rubber_id is not None:
            rubbers = rubbers | Material.objects.filter(pk=mold.rubber_id)
        field.queryset = rubbers.order_by("name")

    def clean_made_on(self) -> datetime.date:
        """Refuse a day that has not come."""
        return past_day(self.cleaned_data["made_on"])


class LookOverForm(PaperForm):
    """A look at a mold: when, and what was seen."""

    looked_at_on = forms.DateField(label="Looked over on", widget=DayInput(), error_messages={"required": "Give the day."})
    note = forms.CharField(max_length=200, required=False, label="What was seen", help_text="Tears, patches, oil, bent keys.")

    def clean_looked_at_on(self) -> datetime.date:
        """Refuse a day that has not come."""
        return past_day(self.cleaned_data["looked_at_on"])


def past_day(day: datetime.date) -> datetime.date:
    """Refuse a day that has not come, or on which no mold can have been made that still lies here."""
    return check_past(day, oldest=OLDEST)
