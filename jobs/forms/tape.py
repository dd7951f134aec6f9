"""The tape editor: girths and solids as rows that are added, taken away and moved without scripts."""

from typing import Any

from django import forms

from jobs.geometry.solids import DIMENSIONS, SolidKind
from jobs.models import SolidReading
from jobs.readings import LENGTH_FIELDS
from studio.web.forms import CountField, PaperForm, QuantityField

MAX_ROWS = 100
LONGEST_MM = 20_000
SHAPE_WORDS: dict[SolidKind, str] = {
    SolidKind.SPHERE: "ball",
    SolidKind.HEMISPHERE: "half ball",
    SolidKind.FRUSTUM: "cone without its tip",
    SolidKind.ELLIPSOID: "egg",
}
SHAPE_CHOICES = [(kind.value, SHAPE_WORDS.get(kind, kind.value)) for kind in SolidKind]


class GirthForm(PaperForm):
    """One girth, and how far the next one lies."""

    girth = QuantityField(unit="mm", min_value=0, max_value=LONGEST_MM, label="Girth")
    along = QuantityField(unit="mm", required=False, min_value=0, max_value=LONGEST_MM, label="Along to the next")
    height = QuantityField(unit="mm", required=False, min_value=0, max_value=LONGEST_MM, label="Height to the next")


class SolidForm(PaperForm):
    """A simple solid on the piece, or a hollow of that shape in it."""

    label = forms.CharField(required=False, max_length=80, label="What it is")
    shape = forms.ChoiceField(choices=SHAPE_CHOICES, initial=SolidKind.CYLINDER.value, label="Shape")
    sense = forms.ChoiceField(choices=SolidReading.Sense, initial=SolidReading.Sense.ADDED, label="Added or taken")
    count = CountField(min_value=1, max_value=50, initial=1, label="How many")
    length = QuantityField(unit="mm", max_value=LONGEST_MM, label="Length or diameter")
    width = QuantityField(unit="mm", required=False, max_value=LONGEST_MM, label="Width or second diameter")
    height = QuantityField(unit="mm", required=False, max_value=LONGEST_MM, label="Height or depth")
    contact = QuantityField(
        unit="cm2", required=False, min_value=0, max_value=1_000_000, label="Where it joins, if not its flat face"
    )
    through = forms.BooleanField(required=False, label="Goes right through")

    def clean(self) -> dict[str, Any]:
        """Want every length that the shape is measured by."""
        cleaned: dict[str, Any] = super().clean() or {}
        shape = cleaned.get("shape")
        if shape is None:
            return cleaned
        for name in DIMENSIONS[SolidKind(shape)]:
            field = LENGTH_FIELDS[name].removesuffix("_mm")
            if cleaned.get(field) is None and field not in self.errors:
                self.add_error(field, f"Give the {name} of the {dict(SHAPE_CHOICES)[shape]}.")
        return cleaned


GirthFormSet = forms.formset_factory(GirthForm, extra=0, max_num=MAX_ROWS, absolute_max=MAX_ROWS, validate_max=True)
SolidFormSet = forms.formset_factory(SolidForm, extra=0, max_num=MAX_ROWS, absolute_max=MAX_ROWS, validate_max=True)
