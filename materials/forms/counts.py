"""What is typed in a stocktake: its start, a weight at the shelf, why it differs."""

import datetime
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.dateparse import parse_datetime

from materials.counting.lines import difference, kept_of
from materials.forms.entries import mass_field
from materials.models import StocktakeLine
from studio.web.forms import PaperForm


class StartForm(PaperForm):
    """A new stocktake."""

    name = forms.CharField(label="Name", max_length=80, error_messages={"required": "Name the stocktake, say “end of March”."})
    place = forms.ChoiceField(label="What is counted", required=False)
    blind = forms.BooleanField(
        label="Hide the book while counting",
        required=False,
        help_text="Whoever weighs then writes what the scale says, not what was expected.",
    )

    def __init__(self, *args: Any, places: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chooser: Any = self.fields["place"]
        chooser.choices = [("", "everything"), *((place, f"only {place}") for place in places)]


class WeightForm(PaperForm):
    """What the scale says of one thing; with its container, where that was weighed too."""

    scale_g = mass_field(label="The scale says", least=0)
    container_g = mass_field(
        label="Empty container", least=0, required=False, help_text="Taken off, when it stood on the scale too."
    )
    why = forms.CharField(label="Note", max_length=200, required=False, help_text="Why it differs, or what was seen.")
    seen = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)

    def clean_seen(self) -> datetime.datetime | None:
        """Read when the line had been weighed as the page showed it."""
        try:
            return parse_datetime(self.cleaned_data["seen"])
        except ValueError:
            return None

    def clean(self) -> dict[str, Any]:
        """Refuse a container that weighs more than all of it."""
        cleaned = super().clean() or self.cleaned_data
        scale, container = cleaned.get("scale_g"), cleaned.get("container_g")
        if scale is not None and container is not None and container > scale:
            self.add_error("container_g", ValidationError("The container cannot weigh more than the scale says; check both."))
        return cleaned

    def counted_g(self) -> Decimal:
        """Return what is in it."""
        return Decimal(self.cleaned_data["scale_g"] - (self.cleaned_data["container_g"] or 0))


class ReasonsForm(PaperForm):
    """Why lines differ, a field for each that does."""

    def __init__(self, *args: Any, lines: Iterable[StocktakeLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for line in lines:
            if difference(line):
                self.fields[f"why-{line.pk}"] = forms.CharField(
                    label=f"Why {kept_of(line)} differs", max_length=200, required=False, initial=line.why
                )

    def reasons(self) -> dict[int, str]:
        """Return the reasons by line."""
        return {int(name.removeprefix("why-")): text for name, text in self.cleaned_data.items()}


class CodeForm(PaperForm):
    """A code that a scanner types, or a person."""

    code = forms.CharField(
        label="Code on the label", max_length=400, error_messages={"required": "Scan the label, or type its code, say L12."}
    )
