"""What is typed about a material itself; its values have forms of their own."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from materials.forms.entries import check_past, day_field, mass_field
from materials.models import Material
from materials.properties import Chemistry, MaterialKind, MixBasis
from studio.web.forms import CountField, PaperForm

MIXED = frozenset({MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL})
MOST_LEAD_DAYS = 365
MIX_HELP = (
    "Look at the sheet: parts by weight and parts by volume are different weights, "
    "and so are 5 % of B on the base and 5 % of the whole mix."
)


class MaterialForm(PaperForm):
    """Name, kind, chemistry and how it is mixed."""

    name = forms.CharField(label="Name", max_length=120, error_messages={"required": "Give the material a name."})
    kind = forms.ChoiceField(
        label="What it is for",
        choices=[("", "choose"), *((kind.value, kind.label) for kind in MaterialKind)],
        error_messages={"required": "Say what it is for; the values asked for depend on it."},
    )
    chemistry = forms.ChoiceField(
        label="Chemistry",
        choices=[("", "choose"), *((item.value, item.label) for item in Chemistry)],
        error_messages={"required": "Say what it is made of; whether rubber cures against it hangs on that."},
    )
    mix_basis = forms.ChoiceField(
        label="How it is mixed",
        choices=[("", "choose"), *((basis.value, basis.label) for basis in MixBasis)],
        help_text=MIX_HELP,
        error_messages={"required": "Say how the mix ratio is stated; nothing is guessed here."},
    )
    family = forms.CharField(
        label="Maker's family", max_length=80, required=False, help_text="Materials of one maker and line that belong together."
    )
    sheet_revised_on = day_field(label="Data sheet revised on", required=False)
    low_below_g = mass_field(label="Look when less than this is left", required=False, least=0)
    lead_days = CountField(
        label="Days from order to delivery", required=False, min_value=1, max_value=MOST_LEAD_DAYS,
        help_text="Usually, weekends counted. Left empty, nothing is said of when to order.",
    )  # fmt: skip
    lead_spread_days = CountField(
        label="Days that it may be late", required=False, min_value=0, max_value=MOST_LEAD_DAYS,
        help_text="How far the days usually stray; the more, the earlier it is ordered again.",
    )  # fmt: skip
    note = forms.CharField(label="Note", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, material: Material | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kind = MaterialKind(material.kind) if material else None
        if kind is not None:
            # The values asked for hang on the kind; it is fixed once they are there.
            del self.fields["kind"]
        if kind is not None and kind not in MIXED:
            del self.fields["mix_basis"]
        if kind is MaterialKind.CONSUMABLE:
            # Bought by the piece and never weighed, so nothing is reckoned of its use.
            for name in ("low_below_g", "lead_days", "lead_spread_days"):
                del self.fields[name]

    def clean_name(self) -> str:
        """Return the name with single spaces."""
        name = " ".join(str(self.cleaned_data["name"]).split())
        if not any(sign.isalnum() for sign in name):
            raise ValidationError("A name needs at least one letter or digit.")
        return name

    def clean_sheet_revised_on(self) -> Any:
        """Refuse a day that has not come."""
        day = self.cleaned_data["sheet_revised_on"]
        return check_past(day) if day else None

    def clean(self) -> dict[str, Any]:
        """Only rubber, resin and shell materials are mixed from two parts."""
        cleaned = super().clean() or self.cleaned_data
        kind, basis = cleaned.get("kind"), cleaned.get("mix_basis")
        if kind and basis and MaterialKind(kind) not in MIXED and basis != MixBasis.ONE_PART:
            self.add_error("mix_basis", "Only rubber, resin and shell materials are mixed from two parts; choose “one part”.")
        return cleaned
