"""What is typed about a scrap bin."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from materials.forms.entries import EntryForm, check_past, day_field, mass_field
from materials.properties import Chemistry
from studio.web.forms import PaperForm, QuantityField

RUBBERS = (Chemistry.PLATINUM_SILICONE, Chemistry.TIN_SILICONE, Chemistry.POLYURETHANE)


class ScrapBinForm(PaperForm):
    """A bin of cured rubber of one kind; what is not known of it makes it waste."""

    label = forms.CharField(
        label="Label on the bin",
        max_length=60,
        error_messages={"required": "Give the bin a label; unlabelled scrap is waste."},
    )
    chemistry = forms.ChoiceField(
        label="What the rubber is",
        choices=[("", "choose"), *((item.value, item.label) for item in RUBBERS), (Chemistry.OTHER.value, "Not known")],
        help_text="Only scrap of the same chemistry bonds to fresh rubber; what is not known is never offered.",
        error_messages={"required": "Say what the rubber is, or that it is not known."},
    )
    family = forms.CharField(
        label="Maker's family",
        max_length=80,
        required=False,
        help_text="As on the material's page; another family is tested first.",
    )
    chunk_edge_mm = QuantityField(unit="mm", label="Edge of the chunks", min_value=0.5, max_value=500, places=1)
    hardness_shore_a = QuantityField(unit="Shore A", label="Hardness", min_value=1, max_value=95, places=1, required=False)
    density_kg_m3 = QuantityField(unit="kg/m3", label="Density", min_value=300, max_value=4000, places=1)
    colour = forms.CharField(label="Colour", max_length=40, required=False)
    washed = forms.BooleanField(label="Washed, free of release and dust", required=False)
    origin = forms.CharField(label="Which mold it came from", max_length=120, required=False)
    kept_since_on = day_field(label="Kept since")
    place = forms.CharField(label="Where it stands", max_length=80, required=False)

    def clean_kept_since_on(self) -> Any:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["kept_since_on"])

    def clean_label(self) -> str:
        """Refuse a label that cannot be read."""
        label = " ".join(str(self.cleaned_data["label"]).split())
        if not any(sign.isalnum() for sign in label):
            raise ValidationError("A label needs at least one letter or digit.")
        return label


class NewBinForm(ScrapBinForm, EntryForm):
    """A new bin with what is in it."""

    mass_g = mass_field(label="Mass in it now", required=False)
