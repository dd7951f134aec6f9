"""What is typed to put scrap of one bin into another."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from materials.forms.entries import EntryForm, mass_field, why_field
from materials.models import ScrapBin


class PutTogetherForm(EntryForm):
    """Which bin, how much, and that what differs was looked at."""

    target = forms.TypedChoiceField(
        label="Into which bin", coerce=int, widget=forms.RadioSelect, error_messages={"required": "Choose a bin."}
    )
    mass_g = mass_field(label="Mass put there", required=False, help_text="Empty: all that is free.")
    knows = forms.BooleanField(label="I have looked at what differs; they may go together", required=False)
    why = why_field(required=False)

    def __init__(self, *args: Any, bins: Sequence[tuple[ScrapBin, list[str]]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.differing = {scrap_bin.pk: words for scrap_bin, words in bins}
        target: Any = self.fields["target"]
        target.choices = [
            (scrap_bin.pk, f"{scrap_bin.label} ({'; '.join(words) or 'the same by all that is written on both'})")
            for scrap_bin, words in bins
        ]

    def clean(self) -> dict[str, Any]:
        """Want a look at what differs."""
        cleaned = super().clean() or self.cleaned_data
        words = self.differing.get(cleaned.get("target") or 0)
        if words and not cleaned.get("knows"):
            told = "; ".join(words)
            self.add_error("knows", ValidationError(f"These differ: {told}. Tick this if they may go together all the same."))
        return cleaned
