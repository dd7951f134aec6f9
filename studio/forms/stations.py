"""Stations as they are typed."""

from typing import Any

from django import forms

from studio.models import Station
from studio.web.forms import CountField, PaperForm


class StationForm(PaperForm):
    """A place or a machine."""

    name = forms.CharField(label="Name", max_length=80, error_messages={"required": "Type what you call it."})
    kind = forms.ChoiceField(
        label="What it is", choices=Station.Kind.choices, error_messages={"invalid_choice": "Choose one from the list."}
    )
    places = CountField(
        label="Pieces at once", min_value=1, max_value=100, initial=1, help_text="How many can be on it at the same time."
    )
    note = forms.CharField(label="Note", max_length=200, required=False)


def typed_from(station: Station) -> dict[str, Any]:
    """Return what the form shows for a station."""
    return {name: getattr(station, name) for name in StationForm.base_fields}
