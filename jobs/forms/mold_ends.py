"""What is typed when a mold is done with."""

import datetime
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from jobs.forms.jobs import DayInput
from jobs.forms.molds import past_day
from jobs.services.mold_ends import FittingBin
from materials.forms.entries import EntryForm, mass_field
from materials.models import ScrapBin
from materials.models.scrap import USUAL_DENSITY_KG_M3
from studio.models import Person
from studio.web.forms import DurationField, PaperForm, QuantityField

NEW = "new"
OF_A_NEW_BIN = ("label", "chunk_edge_mm", "hardness_shore_a", "density_kg_m3", "colour", "washed", "place")


class CutUpForm(EntryForm):
    """Into which bin, how much, how long it took and who did it; a new bin is described below."""

    into = forms.ChoiceField(label="Into which bin", error_messages={"required": "Choose a bin, or a new one."})
    mass_g = mass_field(label="Mass of the chunks, weighed", help_text="Without the bag; what is thrown away left out.")
    minutes = DurationField(label="Cutting and washing took", min_value=Decimal("0.1"), max_value=10_000)
    person: "forms.ModelChoiceField[Person]" = forms.ModelChoiceField(
        Person.objects.none(), required=False, label="Who cut it", empty_label="not said"
    )
    cut_on = forms.DateField(label="Cut up on", widget=DayInput(), error_messages={"required": "Give the day."})
    chunk_edge_mm = QuantityField(
        unit="mm", label="Edge of the chunks", min_value=0.5, max_value=500, places=1, required=False,
        help_text="For a bin that is there, left empty: cut as large as what lies in it.",
    )  # fmt: skip
    label = forms.CharField(label="Label of the new bin", max_length=60, required=False)
    hardness_shore_a = QuantityField(unit="Shore A", label="Hardness", min_value=1, max_value=95, places=1, required=False)
    density_kg_m3 = QuantityField(unit="kg/m3", label="Density", min_value=300, max_value=4000, places=1, required=False)
    colour = forms.CharField(label="Colour", max_length=40, required=False)
    washed = forms.BooleanField(label="Washed, free of release and dust", required=False)
    place = forms.CharField(label="Where the bin stands", max_length=80, required=False)

    def __init__(self, *args: Any, bins: Sequence[FittingBin], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.bins = {str(one.bin.pk): one.bin for one in bins}
        into, person = self.fields["into"], self.fields["person"]
        assert isinstance(into, forms.ChoiceField)
        assert isinstance(person, forms.ModelChoiceField)
        # Without a bin of the very same rubber nothing is chosen beforehand.
        choose = [("", "choose")] if bins and bins[0].differs else []
        into.choices = [*choose, *((str(one.bin.pk), _said(one)) for one in bins), (NEW, "a new bin, described below")]
        person.queryset = Person.objects.filter(active=True).order_by("name")

    def clean_cut_on(self) -> datetime.date:
        """Refuse a day that has not come."""
        return past_day(self.cleaned_data["cut_on"])

    def clean(self) -> dict[str, Any]:
        """Ask for the label and edge of a new bin; refuse another edge than that of the bin that is there."""
        typed = super().clean() or self.cleaned_data
        chosen = self.bins.get(typed.get("into", ""))
        edge = typed.get("chunk_edge_mm")
        if chosen is not None and edge is not None and edge != chosen.chunk_edge_mm:
            self.add_error(
                "chunk_edge_mm",
                f"“{chosen.label}” holds chunks of {chosen.chunk_edge_mm.normalize():f} mm. Cut them to that size and leave this "
                "empty, or choose another bin.",
            )
        if typed.get("into") == NEW:
            if edge is None and "chunk_edge_mm" not in self.errors:
                self.add_error("chunk_edge_mm", "Measure a few chunks and give their edge: it decides where they find room.")
            label = " ".join(str(typed.get("label", "")).split())
            if not any(sign.isalnum() for sign in label):
                self.add_error("label", "Give the bin a label; unlabelled scrap is waste.")
            typed["label"] = label
            typed["density_kg_m3"] = typed.get("density_kg_m3") or USUAL_DENSITY_KG_M3
        return typed

    def cutting(self) -> dict[str, Any]:
        """Return what the service takes of this."""
        typed = self.cleaned_data
        into: ScrapBin | None = self.bins.get(typed["into"])
        return {
            "into": into,
            "new_bin": None if into else {name: typed[name] for name in OF_A_NEW_BIN},
            **{name: typed[name] for name in ("mass_g", "minutes", "cut_on", "person", "key")},
        }


class ThrowAwayForm(PaperForm):
    """Why a mold is thrown away, and when."""

    why = forms.CharField(
        label="Why", max_length=150, error_messages={"required": "Say why in a few words: the next mold may learn from it."}
    )
    ended_on = forms.DateField(label="Thrown away on", widget=DayInput(), error_messages={"required": "Give the day."})

    def clean_ended_on(self) -> datetime.date:
        """Refuse a day that has not come."""
        return past_day(self.cleaned_data["ended_on"])


def _said(one: FittingBin) -> str:
    if not one.differs:
        return f"{one.bin.label}: the same rubber"
    return f"{one.bin.label}: {', '.join(one.differs)}"
