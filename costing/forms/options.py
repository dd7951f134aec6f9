"""The form for one option: what it is, how many, what it costs us and what we ask."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from costing.models import OfferOption
from costing.services.options import FIELDS, seen_mark
from studio.models import StudioProfile
from studio.web.forms import DurationField, MoneyField, PaperForm, PercentField, QuantityField

MOST_QUANTITY = 100_000
MOST_HOURS = 10_000


class OptionForm(PaperForm):
    """One option; an empty price takes the one suggested from expense and hours, an empty tax the job's."""

    text = forms.CharField(
        label="What the client may add", max_length=300, strip=True, help_text="One line, as it will be printed: “Bronze patina”."
    )
    quantity = QuantityField(unit="1", label="Quantity", places=2, min_value=Decimal("0.01"), max_value=MOST_QUANTITY)
    cost = MoneyField(label="Expense for each", required=False)
    hours = DurationField(unit="h", label="Work in each", required=False, max_value=MOST_HOURS)
    unit_price = MoneyField(label="Price of each, before tax", required=False)
    tax_percent = PercentField(label="Tax", required=False)
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)

    def __init__(self, *args: Any, profile: StudioProfile, tax_percent: Decimal, **kwargs: Any) -> None:
        super().__init__(*args, profile=profile, **kwargs)
        self.fields["tax_percent"].label = profile.tax_name or "Tax"
        self.fields["tax_percent"].widget.attrs["placeholder"] = f"the job's {tax_percent.normalize():f}"
        self.fields["unit_price"].help_text = "Left empty, the price suggested from expense and work is taken."

    def clean(self) -> dict[str, Any]:
        """A price is typed, or can be suggested."""
        cleaned: dict[str, Any] = super().clean() or {}
        readable = not {"unit_price", "cost", "hours"} & set(self.errors)
        if readable and cleaned.get("unit_price") is None and not self.can_suggest:
            self.add_error("unit_price", "Type a price, or an expense or work from which one is suggested.")
        return cleaned

    @property
    def can_suggest(self) -> bool:
        """Whether expense or work was typed."""
        return bool(self.cleaned_data.get("cost") or self.cleaned_data.get("hours"))

    @property
    def values(self) -> Mapping[str, Any]:
        """The typed option, as a row takes it; its price may still be missing."""
        return {name: self.cleaned_data[name] for name in FIELDS}


def initial_of(option: OfferOption) -> dict[str, Any]:
    """Return what the form shows of a kept option."""
    return {**{name: getattr(option, name) for name in FIELDS}, "seen": seen_mark(option)}
