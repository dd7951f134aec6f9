"""The sentence that filters the list of quotes."""

from typing import ClassVar

from django import forms

from studio.web.forms import PaperForm


class QuotesFilterForm(PaperForm):
    """Which quotes the list shows: "quotes that stand, with the words …, every version"."""

    WHICH: ClassVar[tuple[tuple[str, str], ...]] = (
        ("all", "all quotes"),
        ("offered", "quotes on offer"),
        ("run out", "offers that have run out"),
        ("accepted", "accepted quotes"),
        ("declined", "declined quotes"),
        ("withdrawn", "withdrawn quotes"),
    )
    VERSIONS: ClassVar[tuple[tuple[str, str], ...]] = (("newest", "the newest version of each"), ("every", "every version"))

    which = forms.ChoiceField(choices=WHICH, required=False, label="Show")
    versions = forms.ChoiceField(choices=VERSIONS, required=False, label="in")
    words = forms.CharField(required=False, max_length=100, strip=True, label="for a client or job with the words")
