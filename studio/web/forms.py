"""Form fields that read what people type.

    class CoatForm(PaperForm):
        wall = QuantityField(unit="mm", label="Wall thickness", min_value=1, max_value=60)   # "12,5 cm", "1/2 in" -> Decimal mm
        mass = QuantityField(unit="g", places=3, required=False)                             # "2 lb 3 oz" -> Decimal g
        share = PercentField(label="Scrap in the fill")                                      # "8", "8 %" -> Decimal 8
        rate = MoneyField(label="Labour", per="h")                                           # "€ 27.50" -> Decimal 27.50
        work = DurationField(label="Setting up")                                             # "1 h 20", "1:20" -> Decimal min
        castings = CountField(label="Castings", min_value=1, max_value=500)                  # "12" -> int

    form = CoatForm(request.POST or None, initial={...}, profile=request.profile)            # profile may be left out

A bare number is in the studio's own unit (mm or in, g or oz). Bounds, initial and cleaned values are in `unit`. Empty and
not required gives None. For a model form: `class PieceForm(PaperModelForm[Piece])`. In a template
`{% field form.wall %}` prints the whole field; answer an invalid form with status 422.
"""

from typing import TYPE_CHECKING, Any, TypeVar

from django import forms
from django.db.models import Model
from django.forms.boundfield import BoundField

from studio.models import StudioProfile
from studio.web.context import current_profile
from studio.web.fields import CountField, DurationField, MoneyField, PercentField, QuantityField, TypedField

__all__ = [
    "CountField",
    "DurationField",
    "MoneyField",
    "PaperForm",
    "PaperModelForm",
    "PercentField",
    "QuantityField",
]


class PaperForm(forms.Form):
    """A form whose fields know the studio's units, and whose labels stand above without a colon."""

    def __init__(self, *args: Any, profile: StudioProfile | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.profile = profile or current_profile()
        self.use_required_attribute = False
        for field in self.fields.values():
            if isinstance(field, TypedField):
                field.profile = self.profile
            elif field.required:
                plain = type(field).default_error_messages.get("required") or forms.Field.default_error_messages["required"]
                if field.error_messages.get("required") == plain:
                    field.error_messages["required"] = _asked(field)

    @property
    def faults(self) -> list[BoundField]:
        """The fields that have an error, in the order of the page."""
        return [bound for bound in self if bound.errors]


if TYPE_CHECKING:
    _Row = TypeVar("_Row", bound=Model)

    class PaperModelForm(PaperForm, forms.ModelForm[_Row]):
        """A paper form that takes its fields from a model; written PaperModelForm[Piece]."""

else:

    class PaperModelForm(PaperForm, forms.ModelForm):
        """A paper form that takes its fields from a model; written PaperModelForm[Piece]."""

        def __class_getitem__(cls, _row):
            return cls


def _asked(field: forms.Field) -> str:
    """Say what is missing in a field that must not stay empty."""
    if isinstance(field, forms.FileField):
        return "Choose a file."
    if isinstance(field, forms.ChoiceField | forms.ModelChoiceField):
        return "Choose one of these."
    if isinstance(field, forms.BooleanField):
        return "Tick this to go on."
    return "Fill this in."
