"""The form of a run: how many castings to look at, practice, further molds, and what a stop would cost."""

from decimal import Decimal
from typing import Any

from django import forms

from costing.engine.brief import MOST_CASTINGS
from costing.models import PriceTerms
from studio.web.forms import CountField, MoneyField, PaperForm, PercentField

MOST_FURTHER = 20


class RunForm(PaperForm):
    """Learning and further molds are terms of the job; castings and the cost of a stop are only looked at."""

    castings = CountField(label="Look at a run of", things="castings", required=False, min_value=1, max_value=MOST_CASTINGS)
    learning_percent = PercentField(
        label="Learning rate", required=False, min_value=51, max_value=100,
        help_text="90 %: at twice the castings each takes nine tenths of the handwork. Empty: each takes the same.",
    )  # fmt: skip
    learning_model = forms.ChoiceField(
        label="What falls by it", required=False, choices=PriceTerms.Learning.choices,
        help_text="The average of all castings so far, or the time of the last one. The first says less time.",
    )  # fmt: skip
    spare_molds = CountField(
        label="Further molds to price", required=False, max_value=MOST_FURTHER,
        help_text="Beside those of the plan. Empty: what is advised is only said, not priced.",
    )  # fmt: skip
    standing = MoneyField(
        label="What a stop costs you", required=False,
        help_text="Beside the mold that is made then: a day lost, a date missed. Not kept.",
    )  # fmt: skip
    revision = CountField(widget=forms.HiddenInput, required=False, max_value=2_000_000_000)

    def clean(self) -> dict[str, Any]:
        """An empty model is the first; an empty cost of a stop is nought."""
        cleaned: dict[str, Any] = super().clean() or {}
        cleaned["learning_model"] = cleaned.get("learning_model") or PriceTerms.Learning.CUMULATIVE_AVERAGE.value
        if "standing" not in self.errors:
            cleaned["standing"] = cleaned.get("standing") or Decimal(0)
        return cleaned


def initial_of(terms: PriceTerms, castings: int) -> dict[str, Any]:
    """Return what the form shows of kept terms and of the plan."""
    return {
        "castings": castings,
        "learning_percent": terms.learning_percent,
        "learning_model": terms.learning_model,
        "spare_molds": terms.spare_molds,
        "revision": terms.revision,
    }
