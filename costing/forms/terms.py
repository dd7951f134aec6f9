"""The form for the terms that a job is priced on."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from costing.engine.brief import MOST_BREAKS, MOST_CASTINGS
from costing.inputs import studio_overhead
from costing.models import PriceTerms
from costing.services.terms import FIELDS
from studio.models import StudioProfile
from studio.web.forms import CountField, MoneyField, PaperForm, PercentField
from studio.web.quantities import show

MOST_RATE = 10_000
MOST_MARGIN = Decimal("95")


class QuantitiesField(forms.CharField):
    """Runs to price, written with commas; cleans to the same, sorted and without repeats."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=200, strip=True, **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def clean(self, value: Any) -> str:
        """Read "1, 5 and 10"; refuse what cannot be priced."""
        text = super().clean(value).replace(" and ", ",").replace(";", ",")
        parts = [part for chunk in text.split(",") for part in chunk.split()]
        if not parts:
            return ""
        wrong = next((part for part in parts if not (part.isascii() and part.isdigit() and len(part) < 9)), None)
        if wrong is not None:
            raise ValidationError(f"“{wrong[:20]}” is not a whole number; write quantities with commas, like 1, 5, 10, 25.")
        numbers = sorted({int(part) for part in parts})
        if numbers[0] < 1 or numbers[-1] > MOST_CASTINGS:
            raise ValidationError(f"Quantities lie between 1 and {MOST_CASTINGS}.")
        if len(numbers) > MOST_BREAKS:
            raise ValidationError(f"At most {MOST_BREAKS} quantities can be compared; take some away.")
        return ", ".join(map(str, numbers))


class TermsForm(PaperForm):
    """Rates, margin, tax, quantities and another expense; what is left empty takes the studio's value."""

    labour_rate_per_h = MoneyField(per="h", label="Labour rate", required=False, max_value=MOST_RATE)
    overhead_per_h = MoneyField(per="h", label="Overhead per hour", required=False, max_value=MOST_RATE)
    margin_percent = PercentField(label="Margin in the price", required=False, max_value=MOST_MARGIN)
    tax_percent = PercentField(label="Tax", required=False)
    quantity_breaks = QuantitiesField(label="Quantities to price", required=False)
    extra_label = forms.CharField(label="Other expense", required=False, max_length=120, strip=True)
    extra_cost = MoneyField(label="What it costs", required=False)
    revision = CountField(widget=forms.HiddenInput, required=False, max_value=2_000_000_000)

    def __init__(self, *args: Any, profile: StudioProfile, **kwargs: Any) -> None:
        super().__init__(*args, profile=profile, **kwargs)
        self.label_with_studio("labour_rate_per_h", profile.labour_rate_per_h, "money/h")
        self.label_with_studio("overhead_per_h", studio_overhead(profile).value, "money/h")
        self.label_with_studio("margin_percent", profile.margin_percent, "%")
        self.label_with_studio("tax_percent", profile.tax_percent, "%")
        self.fields["tax_percent"].label = profile.tax_name or "Tax"
        self.fields["quantity_breaks"].help_text = "With commas, for example 1, 5, 10, 25."
        self.fields["extra_label"].help_text = "A crate, a courier, a print: it gets a line of its own."

    def label_with_studio(self, name: str, value: Decimal | float, unit: str) -> None:
        """Say in the empty field, and beside it, which value holds when nothing is typed."""
        self.fields[name].widget.attrs["placeholder"] = f"the studio's {show(value, unit, self.profile)}"

    def clean(self) -> dict[str, Any]:
        """An expense has words and an amount, or neither."""
        cleaned: dict[str, Any] = super().clean() or {}
        if "extra_cost" not in self.errors and "extra_label" not in self.errors:
            if cleaned.get("extra_cost") and not cleaned.get("extra_label"):
                self.add_error("extra_label", "Say what this expense is for; it stands on the quote as a line.")
            elif cleaned.get("extra_label") and not cleaned.get("extra_cost"):
                self.add_error("extra_cost", "Say what this costs before margin, or clear the words beside it.")
        if cleaned.get("extra_cost") is None:
            cleaned["extra_cost"] = Decimal(0)
        return cleaned

    @property
    def terms(self) -> Mapping[str, Any]:
        """The typed terms, as a row takes them."""
        return {name: self.cleaned_data[name] for name in FIELDS}


def initial_of(terms: PriceTerms) -> dict[str, Any]:
    """Return what the form shows of kept terms."""
    found: dict[str, Any] = {name: getattr(terms, name) for name in FIELDS}
    found["extra_cost"] = terms.extra_cost or None
    found["revision"] = terms.revision
    return found
