"""What is typed about a lot apart from its mass."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from materials.forms.entries import check_past, day_field
from studio.web.forms import MoneyField, PaperForm


class OpenForm(PaperForm):
    """A container is opened."""

    opened_on = day_field(label="Opened on")
    expires_on = day_field(
        label="Good until", required=False, help_text="Opened containers keep less long: correct the day here."
    )

    def clean_opened_on(self) -> Any:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["opened_on"])


class MoveForm(PaperForm):
    """A lot is put elsewhere."""

    place = forms.CharField(label="Where it stands now", max_length=80, required=False)


class SetAsideForm(PaperForm):
    """A doubtful lot is kept out of new work."""

    why = forms.CharField(
        label="Why it is set aside", max_length=200, error_messages={"required": "Say what is doubtful about it, in a few words."}
    )


class GelTestForm(PaperForm):
    """What came of a test cup."""

    tested_on = day_field(label="Made on")
    cured = forms.TypedChoiceField(
        label="What came of it",
        choices=[("yes", "It cured as it should"), ("no", "It did not cure as it should: set it aside")],
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it cured."},
    )

    def clean_tested_on(self) -> Any:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["tested_on"])


class LotForm(PaperForm):
    """What was written down of a lot when it came."""

    supplier = forms.CharField(label="Supplier", max_length=120, required=False)
    supplier_lot = forms.CharField(label="Supplier's lot number", max_length=80, required=False)
    kit_code = forms.CharField(
        label="Pairs with", max_length=40, required=False, help_text="The same code on the A and the B that belong together."
    )
    received_on = day_field(label="Received on")
    expires_on = day_field(label="Good until", required=False)
    unit_cost_per_kg = MoneyField(
        label="Cost before tax",
        per="kg",
        places=4,
        required=False,
        help_text="As long as all of it is here, the books take this over.",
    )
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, sees_money: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not sees_money:
            del self.fields["unit_cost_per_kg"]

    def clean_received_on(self) -> Any:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["received_on"])

    def clean(self) -> dict[str, Any]:
        """Refuse an expiry before the delivery."""
        cleaned = super().clean() or self.cleaned_data
        received, expires = cleaned.get("received_on"), cleaned.get("expires_on")
        if received and expires and expires < received:
            self.add_error("expires_on", ValidationError("This is before it was received; correct one of the two days."))
        cleaned.setdefault("unit_cost_per_kg", None)
        return cleaned


def today_text() -> str:
    """Return today as a date field writes it."""
    return timezone.localdate().isoformat()
