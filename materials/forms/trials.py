"""What is typed about a timing or a card of the studio's own."""

from collections.abc import Callable
from typing import Any

from django import forms

from materials.forms.entries import check_past, day_field, key_field
from materials.models import Lot, Material, MaterialTrial
from materials.properties import PROPERTIES
from materials.science.behaviour import FLATTEST_DEG, STEEPEST_DEG
from materials.science.kinetics import COLDEST_C, WARMEST_C
from materials.services.own_values import PROPERTY_OF
from studio.models import Person
from studio.web.forms import CountField, DurationField, PaperForm, QuantityField

TIMES = (MaterialTrial.Kind.POT_LIFE, MaterialTrial.Kind.GEL, MaterialTrial.Kind.DEMOLD)


class TrialForm(PaperForm):
    """When, where and by whom something was timed or measured."""

    key = key_field()
    temperature_c = QuantityField(
        unit="degC",
        label="Temperature of the mix",
        min_value=COLDEST_C,
        max_value=WARMEST_C,
        places=2,
        help_text="Measured in the cup or on the piece; the room may be colder.",
    )
    timed_on = day_field(label="Day")
    lot: Any = forms.ModelChoiceField(queryset=Lot.objects.none(), required=False, label="Lot", empty_label="not noted")
    person: Any = forms.ModelChoiceField(queryset=Person.objects.none(), required=False, label="By", empty_label="not noted")
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, material: Material, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lots, people = self.fields["lot"], self.fields["person"]
        if isinstance(lots, forms.ModelChoiceField) and isinstance(people, forms.ModelChoiceField):
            lots.queryset = Lot.objects.filter(material=material).select_related("material").order_by("-received_on", "-pk")
            lots.label_from_instance = _lot_words  # type: ignore[method-assign, assignment]
            people.queryset = Person.objects.filter(active=True)

    def clean_timed_on(self) -> Any:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["timed_on"])

    def facts(self) -> dict[str, Any]:
        """Return what the service takes of every trial."""
        cleaned = self.cleaned_data
        return {
            "key": cleaned["key"],
            "temperature_c": float(cleaned["temperature_c"]),
            "timed_on": cleaned["timed_on"],
            "lot": cleaned["lot"],
            "person": cleaned["person"],
            "note": cleaned["note"],
        }


class TimingForm(TrialForm):
    """A pot life, gel or demold that was timed."""

    kind = forms.ChoiceField(label="What was timed", choices=[(kind.value, kind.label.capitalize()) for kind in TIMES])
    minutes = DurationField(label="Time from the start of mixing", min_value=0.5, max_value=43200)
    field_order = ("kind", "minutes", "temperature_c", "timed_on", "lot", "person", "note")

    def clean(self) -> dict[str, Any]:
        """Hold the time against what is believable for its kind."""
        cleaned = super().clean() or self.cleaned_data
        kind, minutes = cleaned.get("kind"), cleaned.get("minutes")
        if kind and minutes is not None:
            bounds = PROPERTIES[PROPERTY_OF[kind]]
            say = self._say("minutes")
            if not bounds.least <= float(minutes) <= bounds.most:
                self.add_error(
                    "minutes",
                    f"A {bounds.label.lower()} lies between {say(bounds.least)} and {say(bounds.most)}; check the number and "
                    "its unit.",
                )
        return cleaned

    def _say(self, name: str) -> Callable[[float], str]:
        field = self.fields[name]
        return field.spoken if isinstance(field, DurationField) else str

    def facts(self) -> dict[str, Any]:
        """Return what the service takes of a timing."""
        return {**super().facts(), "kind": self.cleaned_data["kind"], "value": float(self.cleaned_data["minutes"])}


class HeldForm(TrialForm):
    """A card that was buttered in steps: the thickest step that stayed."""

    thickness_mm = QuantityField(unit="mm", label="Thickest step that stayed", min_value=0.1, max_value=50, places=2)
    slope_deg = CountField(
        things="°",
        label="Slope from level",
        min_value=int(FLATTEST_DEG),
        max_value=int(STEEPEST_DEG),
        initial=90,
        help_text="An upright card is at 90°.",
    )
    field_order = ("thickness_mm", "slope_deg", "temperature_c", "timed_on", "lot", "person", "note")

    def facts(self) -> dict[str, Any]:
        """Return what the service takes of a card."""
        return {
            **super().facts(),
            "kind": MaterialTrial.Kind.HELD.value,
            "value": float(self.cleaned_data["thickness_mm"]),
            "slope_deg": float(self.cleaned_data["slope_deg"]),
        }


def _lot_words(lot: Any) -> str:
    part = f", part {lot.component}" if lot.component in {Lot.Component.A, Lot.Component.B} else ""
    return f"{lot.supplier_lot or f'no. {lot.pk}'}{part}"
