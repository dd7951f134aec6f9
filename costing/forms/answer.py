"""The forms for an answer: the client's own, and what a client told the studio."""

from typing import Any

from django import forms

from costing.services.agreement import LONGEST_NAME, MOST_WORDS
from studio.web.forms import PaperForm


class AnswerForm(PaperForm):
    """Name, a few words, and the box that an acceptance wants ticked."""

    name = forms.CharField(
        label="Your name", max_length=LONGEST_NAME, strip=True, error_messages={"required": "Write your name."}
    )
    words = forms.CharField(
        label="A few words to the studio", required=False, max_length=MOST_WORDS, strip=True,
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    agreed = forms.BooleanField(required=False)
    total = forms.DecimalField(required=False, max_digits=14, decimal_places=3, widget=forms.HiddenInput)

    def __init__(self, *args: Any, accepting: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.accepting = accepting
        self.fields["name"].widget.attrs["autocomplete"] = "name"

    def clean(self) -> dict[str, Any]:
        """Want the box ticked by whoever accepts."""
        values = super().clean() or {}
        if self.accepting and not values.get("agreed"):
            self.add_error("agreed", "Tick this box to accept, or leave the page to think it over.")
        return values


class ToldForm(PaperForm):
    """What a client told the studio by letter or telephone: who it was, and a few words."""

    positions: frozenset[str] = frozenset()

    name = forms.CharField(label="Who answered", required=False, max_length=LONGEST_NAME, strip=True)
    words = forms.CharField(
        label="What they said", required=False, max_length=MOST_WORDS, strip=True, widget=forms.Textarea(attrs={"rows": 2})
    )
