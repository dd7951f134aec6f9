"""What is typed about a pack."""

from typing import Any

from django import forms

from materials.forms.entries import check_past, day_field, mass_field
from materials.models import Material
from studio.web.forms import CountField, MoneyField, PaperForm


class PackForm(PaperForm):
    """A size to buy in, and its price."""

    label = forms.CharField(
        label="What it says on the pack", max_length=80, error_messages={"required": "Name the pack, say “5 kg kit”."}
    )
    mass_g = mass_field(label="Mass in it", help_text="A and B together, without the containers.")
    pieces = CountField(label="Pieces in it", min_value=1, max_value=1_000_000)
    price = MoneyField(label="Price before tax")
    supplier = forms.CharField(label="Supplier", max_length=120, required=False)
    priced_on = day_field(label="Price of")
    usual = forms.BooleanField(label="This is the pack usually bought", required=False)

    def __init__(self, *args: Any, material: Material, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["mass_g" if material.counted else "pieces"]

    def clean_priced_on(self) -> Any:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["priced_on"])
