"""The form for the terms that a job is priced on."""

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from costing.engine.brief import MOST_BREAKS, MOST_CASTINGS
from costing.engine.payments import Moment
from costing.inputs import stages_of, studio_overhead
from costing.models import PriceTerms
from costing.services.terms import FIELDS
from studio.models import StudioProfile
from studio.web.forms import CountField, MoneyField, PaperForm, PercentField
from studio.web.quantities import show

MOST_RATE = 10_000
MOST_MARGIN = Decimal("95")
MOST_MARKUP = Decimal("1900")  # a margin of 95 %
ON_PRICE, ON_COST = "price", "cost"
# What a row holds when nothing is typed, where that is not "as the studio has it".
NOTHING_TYPED = {
    "extra_cost": Decimal(0),
    "rush_percent": Decimal(0),
    "discount_percent": Decimal(0),
    "storage_months": 0,
    "learning_model": PriceTerms.Learning.CUMULATIVE_AVERAGE.value,
}
PAYMENTS = {moment: f"pay_{moment.value}" for moment in Moment}
_GROUPS = (
    ("Castings, molds and how sure", ("learning_percent", "learning_model", "spare_molds", "contingency_percentile")),
    (
        "Haste, discount, least charge, storage",
        ("rush_percent", "discount_percent", "discount_label", "minimum_charge", "storage_months", "storage_per_month"),
    ),
    ("Tax by line", ("mold_tax_percent", "casting_tax_percent", "extra_tax_percent")),
    ("When the client pays", tuple(PAYMENTS.values())),
)


class Group(NamedTuple):
    """Fields that are folded away together until something is typed in one of them."""

    heading: str
    fields: list[BoundField]
    opened: bool


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
    """Rates, margin, tax, quantities and what is charged besides; what is left empty takes the studio's value."""

    labour_rate_per_h = MoneyField(per="h", label="Labour rate", required=False, max_value=MOST_RATE)
    overhead_per_h = MoneyField(per="h", label="Overhead per hour", required=False, max_value=MOST_RATE)
    margin_percent = PercentField(label="Margin", required=False, max_value=MOST_MARKUP)
    margin_of = forms.ChoiceField(
        label="Margin said as",
        required=False,
        choices=[(ON_PRICE, "margin in the price"), (ON_COST, "markup on the cost")],
    )
    tax_percent = PercentField(label="Tax", required=False)
    quantity_breaks = QuantitiesField(label="Quantities to price", required=False)
    extra_label = forms.CharField(label="Other expense", required=False, max_length=120, strip=True)
    extra_cost = MoneyField(label="What it costs", required=False)
    learning_percent = PercentField(
        label="Learning rate", required=False, min_value=51, max_value=100,
        help_text="80 %: each doubling of castings takes 80 % of the time for each. Empty: every casting takes the same.",
    )  # fmt: skip
    learning_model = forms.ChoiceField(label="Learning counts", required=False, choices=PriceTerms.Learning.choices)
    spare_molds = CountField(label="Molds beside the first, for the run", required=False, max_value=20)
    contingency_percentile = CountField(
        label="Cost covered in so many of 100 cases", required=False, min_value=50, max_value=95,
        help_text="From 50 to 95. Empty: nothing is set aside.",
    )  # fmt: skip
    rush_percent = PercentField(label="For haste", required=False, max_value=300)
    discount_percent = PercentField(label="Discount", required=False, max_value=Decimal("99.99"))
    discount_label = forms.CharField(label="What the discount is for", required=False, max_length=120, strip=True)
    minimum_charge = MoneyField(label="Least charge before tax", required=False)
    storage_months = CountField(label="Storage paid in advance", things="months", required=False, max_value=600)
    storage_per_month = MoneyField(label="Storage, each month", required=False)
    mold_tax_percent = PercentField(label="Tax on the mold", required=False)
    casting_tax_percent = PercentField(label="Tax on castings", required=False)
    extra_tax_percent = PercentField(label="Tax on the other expense", required=False)
    pay_agreed = PercentField(label="Before work begins", required=False)
    pay_opened = PercentField(label="When the mold is opened", required=False)
    pay_ready = PercentField(label="Before the work leaves the studio", required=False)
    revision = CountField(widget=forms.HiddenInput, required=False, max_value=2_000_000_000)

    def __init__(self, *args: Any, profile: StudioProfile, **kwargs: Any) -> None:
        super().__init__(*args, profile=profile, **kwargs)
        self.label_with_studio("labour_rate_per_h", profile.labour_rate_per_h, "money/h")
        self.label_with_studio("overhead_per_h", studio_overhead(profile).value, "money/h")
        self.label_with_studio("margin_percent", profile.margin_percent, "%")
        for name in ("tax_percent", "mold_tax_percent", "casting_tax_percent", "extra_tax_percent"):
            self.label_with_studio(name, profile.tax_percent, "%")
        self.label_with_studio("minimum_charge", profile.minimum_charge, "money")
        self.label_with_studio("storage_per_month", profile.storage_per_month, "money")
        tax = profile.tax_name or "Tax"
        self.fields["tax_percent"].label = tax
        for name, words in (("mold", "the mold"), ("casting", "castings"), ("extra", "the other expense")):
            self.fields[f"{name}_tax_percent"].label = f"{tax} on {words}"
        self.fields["rush_percent"].help_text = f"Usually {show(profile.rush_percent, '%', profile)} here, where there is haste."
        free = show(profile.storage_free_months, "1", profile)
        self.fields["storage_months"].help_text = f"Beside the {free} months in which a mold is kept free here."
        self.fields["quantity_breaks"].help_text = "With commas, for example 1, 5, 10, 25."
        self.fields["extra_label"].help_text = "A crate, a courier, a print: it gets a line of its own."
        self.fields["pay_agreed"].help_text = (
            f"Shares of the total with tax, 100 % together. All empty: {show(profile.deposit_percent, '%', profile)} before work "
            "begins, the rest at the end."
        )

    def label_with_studio(self, name: str, value: Decimal | float, unit: str) -> None:
        """Say in the empty field, and beside it, which value holds when nothing is typed."""
        self.fields[name].widget.attrs["placeholder"] = f"the studio's {show(value, unit, self.profile)}"

    @property
    def groups(self) -> list[Group]:
        """The folded groups; one with something in it stands open."""
        return [self._group(heading, [self[name] for name in names]) for heading, names in _GROUPS]

    def _group(self, heading: str, bounds: list[BoundField]) -> Group:
        said = any(bound.errors or str(bound.value() or "") not in {"", NOTHING_TYPED["learning_model"]} for bound in bounds)
        return Group(heading, bounds, said)

    def clean(self) -> dict[str, Any]:
        """What belongs together is there together; shares of the payments make up the whole."""
        cleaned: dict[str, Any] = super().clean() or {}
        self._expense(cleaned)
        self._margin(cleaned)
        if cleaned.get("discount_label") and not cleaned.get("discount_percent") and "discount_percent" not in self.errors:
            self.add_error("discount_percent", "Say how large this discount is, or clear the words beside it.")
        cleaned["payment_stages"] = self._stages(cleaned)
        for name, value in NOTHING_TYPED.items():
            if cleaned.get(name) in (None, ""):
                cleaned[name] = value
        return cleaned

    def _expense(self, cleaned: Mapping[str, Any]) -> None:
        if "extra_cost" in self.errors or "extra_label" in self.errors:
            return
        if cleaned.get("extra_cost") and not cleaned.get("extra_label"):
            self.add_error("extra_label", "Say what this expense is for; it stands on the quote as a line.")
        elif cleaned.get("extra_label") and not cleaned.get("extra_cost"):
            self.add_error("extra_cost", "Say what this costs before margin, or clear the words beside it.")

    def _margin(self, cleaned: dict[str, Any]) -> None:
        """Keep a markup as the margin that it comes to."""
        typed = cleaned.get("margin_percent")
        if typed is None:
            return
        if cleaned.get("margin_of") == ON_COST:
            cleaned["margin_percent"] = (100 * typed / (100 + typed)).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
        elif typed > MOST_MARGIN:
            self.add_error(
                "margin_percent", f"A margin must be {MOST_MARGIN} % or less; a markup on the cost may be more: say so beside it."
            )

    def _stages(self, cleaned: Mapping[str, Any]) -> list[list[str]]:
        shares = [(moment, cleaned.get(name)) for moment, name in PAYMENTS.items()]
        kept = [[moment.value, f"{share.normalize():f}"] for moment, share in shares if share]
        typed = any(share is not None for _, share in shares)
        if typed and not self.errors.keys() & set(PAYMENTS.values()):
            together = sum((share for _, share in shares if share), Decimal(0))
            if together != 100:
                self.add_error(
                    "pay_ready", f"These shares come to {show(together, '%', self.profile)} together; they must make up 100 %."
                )
        return kept

    @property
    def terms(self) -> Mapping[str, Any]:
        """The typed terms, as a row takes them."""
        return {name: self.cleaned_data[name] for name in FIELDS}


def initial_of(terms: PriceTerms) -> dict[str, Any]:
    """Return what the form shows of kept terms."""
    found: dict[str, Any] = {name: getattr(terms, name) for name in FIELDS}
    for name in ("extra_cost", "rush_percent", "discount_percent", "storage_months"):
        found[name] = found[name] or None
    found |= {PAYMENTS[stage.moment]: stage.percent for stage in stages_of(terms.payment_stages)}
    found["revision"] = terms.revision
    return found
