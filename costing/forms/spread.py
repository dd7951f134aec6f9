"""The form for how many of 100 cases a price shall cover."""

from django import forms

LEAST, MOST = 50, 95


class ContingencyForm(forms.Form):
    """A percentage to cover, or nothing; and the revision of the terms that the page was opened at."""

    cases = forms.CharField(required=False, max_length=4)
    revision = forms.IntegerField(widget=forms.HiddenInput, required=False, max_value=2_000_000_000)

    def clean_cases(self) -> str:
        """Read a whole number of cases; empty puts nothing aside."""
        text: str = self.cleaned_data["cases"].strip()
        if text and not (text.isascii() and text.isdigit() and LEAST <= int(text) <= MOST):
            raise forms.ValidationError(f"A price covers {LEAST} to {MOST} of 100 cases; choose one of the rows.")
        return text

    @property
    def percentile(self) -> int | None:
        """Return the chosen percentage, None where nothing is put aside."""
        text = self.cleaned_data.get("cases", "")
        return int(text) if text else None
