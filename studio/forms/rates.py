"""A rate of work as it is typed."""

from typing import Any

from django import forms

from studio.web.forms import PaperForm, QuantityField
from studio.workrates import WorkRateKind

WIDEST = 50  # an own value further than this from the usual range is a slip of the unit
NOTE_LENGTH = 200


class RateForm(PaperForm):
    """The studio's own value of one rate; empty puts the default back."""

    note = forms.CharField(label="Why", max_length=NOTE_LENGTH, required=False)

    def __init__(self, *args: Any, kind: WorkRateKind, **kwargs: Any) -> None:
        kwargs.setdefault("prefix", kind.key)
        super().__init__(*args, **kwargs)
        largest = 100.0 if kind.unit == "%" else 1.0 if kind.key.endswith(("_share", "_factor")) else kind.high * WIDEST
        value = QuantityField(label=kind.label, unit=kind.unit, required=False, min_value=0, max_value=largest)
        value.profile = self.profile
        self.fields = {"value": value, **self.fields}
