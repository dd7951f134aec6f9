"""The form that an offer is looked over on before it is frozen."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS

from costing.engine.brief import MOST_CASTINGS
from costing.services.offer import Offer
from costing.services.pictures import CHOICES
from studio.web.forms import CountField, PaperForm, PercentField

MOST_WORDS = 4000
LONGEST_VALIDITY_DAYS = 365
LONGEST_LEAD_DAYS = 500


def _words(label: str, *, rows: int, help_text: str = "", required: bool = False) -> forms.CharField:
    field = forms.CharField(
        label=label,
        max_length=MOST_WORDS,
        strip=True,
        required=required,
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": rows}),
    )
    field.error_messages["required"] = "Say in a sentence what is done for this price."
    return field


class OfferForm(PaperForm):
    """Scope, castings, validity, deposit and terms of one quote."""

    TYPED: ClassVar[tuple[str, ...]] = (
        "scope", "castings", "valid_days", "working_days", "deposit_percent", "exclusions", "size", "ownership",
        "terms", "pictures",
    )  # fmt: skip

    scope = _words("Scope", rows=5, required=True, help_text="What is done for this price.")
    castings = CountField(label="Castings", max_value=MOST_CASTINGS, help_text="Nought quotes the mold alone.")
    valid_days = CountField(label="Valid for", things="days", min_value=1, max_value=LONGEST_VALIDITY_DAYS)
    working_days = CountField(
        label="Working days until it is done",
        things="days",
        required=False,
        min_value=1,
        max_value=LONGEST_LEAD_DAYS,
        help_text="Counted from the deposit and the arrival of the piece; left empty, nothing is said.",
    )
    deposit_percent = PercentField(label="Deposit")
    exclusions = _words("Not in the price", rows=5, help_text="One line each.")
    size = _words(
        "Size and tolerance of the castings", rows=5, help_text="Suggested from what the materials shrink. One line each."
    )
    ownership = _words("Ownership and storage of the mold", rows=5)
    pictures = forms.MultipleChoiceField(label="Pictures", required=False, widget=forms.CheckboxSelectMultiple, choices=CHOICES)
    terms = _words("Terms", rows=5, help_text="From the studio's profile.")
    seen_total = forms.DecimalField(widget=forms.HiddenInput, required=False, max_digits=14, decimal_places=3)
    seen_options = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)
    after_version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0, max_value=30_000)

    def __init__(
        self,
        *args: Any,
        has_castings: bool = True,
        in_stages: bool = False,
        pictures: Sequence[tuple[str, str]] = CHOICES,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        if in_stages:
            del self.fields["deposit_percent"]
        if not has_castings:
            del self.fields["castings"], self.fields["size"]
        if pictures:
            self.fields["pictures"].choices = list(pictures)  # type: ignore[attr-defined]
        else:
            del self.fields["pictures"]

    @property
    def fields_are_valid(self) -> bool:
        """Whether every field could be read, so that there is an offer, even if it was refused as a whole."""
        return set(self.errors) <= {NON_FIELD_ERRORS}

    @property
    def offer(self) -> Offer:
        """The offer as typed."""
        values = self.cleaned_data
        return Offer(
            castings=values.get("castings") or 0,
            valid_days=values["valid_days"],
            deposit_percent=Decimal(values.get("deposit_percent") or 0),
            scope=values["scope"],
            terms=values["terms"],
            exclusions=values["exclusions"],
            ownership=values["ownership"],
            working_days=values["working_days"],
            size=values.get("size") or "",
            pictures=tuple(values.get("pictures") or ()),
        )


def initial_of(offer: Offer, *, total: Decimal, version: int) -> dict[str, Any]:
    """Return what the form shows of a suggested offer."""
    return {
        "scope": offer.scope,
        "castings": offer.castings,
        "valid_days": offer.valid_days,
        "working_days": offer.working_days,
        "deposit_percent": offer.deposit_percent,
        "exclusions": offer.exclusions,
        "ownership": offer.ownership,
        "size": offer.size,
        "pictures": list(offer.pictures),
        "terms": offer.terms,
        "seen_total": total,
        "after_version": version,
    }
