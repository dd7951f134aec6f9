"""What is chosen for a sheet of labels."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from materials.labels.drawing import Wanted
from materials.labels.kinds import FACTS, LabelKind
from materials.labels.sheets import SHEETS
from studio.web.forms import CountField, PaperForm, QuantityField

MOST_LABELS = 400


class LabelsForm(PaperForm):
    """Which things, on which sheet, from which label on, and what stands on each."""

    things = forms.TypedMultipleChoiceField(
        label="Labels for",
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick at least one thing that wants a label."},
    )
    sheet = forms.ChoiceField(label="Sheet", choices=[(sheet.key, sheet.name) for sheet in SHEETS.values()])
    start = CountField(label="First free label on the sheet", min_value=1, max_value=65, help_text="Counted along the rows.")
    copies = CountField(label="Of each", min_value=1, max_value=20, things="labels")
    facts = forms.MultipleChoiceField(
        label="What stands on each, beside its name",
        choices=list(FACTS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    right_mm = QuantityField(
        unit="mm", label="Shift to the right", min_value=-10, max_value=10, places=1, required=False,
        help_text="Where the printer feeds it askew; less than nought shifts to the left.",
    )  # fmt: skip
    down_mm = QuantityField(unit="mm", label="Shift down", min_value=-10, max_value=10, places=1, required=False)

    def __init__(self, *args: Any, kind: LabelKind, choices: Sequence[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        things: Any = self.fields["things"]
        things.choices = list(choices)

    def clean(self) -> dict[str, Any]:
        """Hold the start against the sheet, and the labels against what one print may be."""
        cleaned = super().clean() or self.cleaned_data
        sheet = SHEETS.get(cleaned.get("sheet", ""))
        if sheet and cleaned.get("start") and cleaned["start"] > sheet.many:
            self.add_error("start", ValidationError(f"This sheet has {sheet.many} labels; start at one of them."))
        if cleaned.get("things") and cleaned.get("copies") and len(cleaned["things"]) * cleaned["copies"] > MOST_LABELS:
            self.add_error("copies", ValidationError(f"These are more than {MOST_LABELS} labels; print them in two goes."))
        return cleaned

    def wanted(self) -> Wanted:
        """Return what is to be drawn."""
        cleaned = self.cleaned_data
        return Wanted(
            labels=self.kind.labels(cleaned["things"]),
            sheet=SHEETS[cleaned["sheet"]],
            facts=set(cleaned["facts"]),
            start=cleaned["start"],
            copies=cleaned["copies"],
            right_mm=float(cleaned["right_mm"] or 0),
            down_mm=float(cleaned["down_mm"] or 0),
        )
