"""The values of a material: one small form a property, all sent together."""

from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.http import QueryDict

from materials.models import Material, MaterialProperty
from materials.properties import PROPERTY_KINDS, MaterialKind, PropertyKind, properties_of
from materials.services.materials import TypedValue
from studio.figures import SourceKind
from studio.models import StudioProfile
from studio.web.forms import DurationField, PaperForm, QuantityField
from studio.web.quantities import show, show_range

SECTIONS: tuple[tuple[str, frozenset[str]], ...] = (
    (
        "Mixing",
        frozenset({
            "parts_a_by_weight", "parts_b_by_weight", "parts_a_by_volume", "parts_b_by_volume", "density_a_kg_m3",
            "density_b_kg_m3", "dose_percent", "water_per_100", "density_kg_m3", "viscosity_pa_s",
        }),
    ),
    (
        "Times and temperature",
        frozenset({
            "pot_life_min", "gel_min", "recoat_latest_min", "demold_min", "reference_temp_c", "lowest_cure_temp_c", "q10",
            "activation_energy_kj_mol", "exotherm_kj_kg",
        }),
    ),
    (
        "Laying",
        frozenset({"held_thickness_mm", "yield_stress_pa", "layer_mass_g_m2", "resin_per_glass", "coverage_m2_per_kg"}),
    ),
    (
        "When cured",
        frozenset({
            "hardness_shore_a", "modulus_100_mpa", "elongation_percent", "tear_strength_kn_m", "shrinkage_percent",
            "castings_expected",
        }),
    ),
    ("Keeping", frozenset({"shelf_life_months"})),
)  # fmt: skip
LAST = "Else"


def section_of(key: str) -> str:
    """Return the heading that a property stands under."""
    return next((name for name, keys in SECTIONS if key in keys), LAST)


class ValueForm(PaperForm):
    """One property: its value, its range, and where they come from."""

    source_kind = forms.ChoiceField(
        label="Source", choices=[(kind.value, kind.value) for kind in MaterialProperty.STATED], required=False
    )
    source_text = forms.CharField(label="Which sheet or trial", max_length=200, required=False)

    def __init__(self, *args: Any, kind: PropertyKind, profile: StudioProfile, **kwargs: Any) -> None:
        self.kind = kind
        super().__init__(*args, prefix=kind.key, profile=profile, **kwargs)
        self.fields = {
            "value": _number(kind, "Value", profile),
            "low": _number(kind, "At the least", profile),
            "high": _number(kind, "At the most", profile),
            **self.fields,
        }

    def clean(self) -> dict[str, Any]:
        """Hold the range against the value."""
        cleaned = super().clean() or self.cleaned_data
        value, low, high = (cleaned.get(name) for name in ("value", "low", "high"))
        if value is None and "value" not in self.errors and (low is not None or high is not None):
            self.add_error("value", "A range needs a value in it; give the usual one, or empty the range.")
        if value is not None and low is not None and low > value:
            self.add_error("low", "The least is more than the value; correct one of them.")
        if value is not None and high is not None and high < value:
            self.add_error("high", "The most is less than the value; correct one of them.")
        return cleaned

    @property
    def open(self) -> bool:
        """Whether the form is shown unfolded: something is wrong with it."""
        return self.is_bound and bool(self.errors)

    @property
    def shown(self) -> str:
        """What stands on the folded line: the value with its range, as stored or as typed."""
        value, low, high = (self.initial.get(name) for name in ("value", "low", "high"))
        if self.is_bound and self.has_changed():
            return str(self["value"].value() or "")
        if value is None:
            return ""
        if low is None and high is None:
            return str(show(value, self.kind.unit, self.profile))
        low, high = value if low is None else low, value if high is None else high
        stored = show(value, self.kind.unit, self.profile, low=low, high=high)
        return f"{stored}, {show_range(low, high, self.kind.unit, self.profile)}"

    def typed(self) -> TypedValue:
        """Return what was typed."""
        value, low, high = (self.cleaned_data[name] for name in ("value", "low", "high"))
        return TypedValue(
            value=None if value is None else float(value),
            low=None if low is None else float(low),
            high=None if high is None else float(high),
            source_kind=self.cleaned_data["source_kind"] or SourceKind.OWN.value,
            source_text=self.cleaned_data["source_text"],
        )


class ValueForms:
    """The forms of all properties that a kind of material has."""

    def __init__(self, *, material: Material, profile: StudioProfile, data: QueryDict | None = None) -> None:
        stored = {row.key: row for row in material.properties.all()}
        self.forms = [
            ValueForm(data, kind=kind, profile=profile, initial=_initial(stored.get(kind.key)))
            for kind in properties_of(MaterialKind(material.kind))
        ]

    def __iter__(self) -> Iterator[ValueForm]:
        return iter(self.forms)

    def is_valid(self) -> bool:
        """Check all of them, so that every error shows at once."""
        return not [form for form in self.forms if not form.is_valid()]

    @property
    def wrong(self) -> list[ValueForm]:
        """The forms with something wrong in them."""
        return [form for form in self.forms if form.open]

    def typed(self) -> Mapping[str, TypedValue]:
        """Return what was typed in the forms that changed."""
        return {form.kind.key: form.typed() for form in self.forms if form.has_changed()}

    def sections(self) -> list[tuple[str, list[ValueForm]]]:
        """Return the forms under their headings."""
        names = [*(name for name, _ in SECTIONS), LAST]
        grouped = [(name, [form for form in self.forms if section_of(form.kind.key) == name]) for name in names]
        return [(name, found) for name, found in grouped if found]


def order_of(key: str) -> int:
    """Return the place of a property in the table."""
    return next((place for place, kind in enumerate(PROPERTY_KINDS) if kind.key == key), len(PROPERTY_KINDS))


def _number(kind: PropertyKind, label: str, profile: StudioProfile) -> QuantityField:
    make = DurationField if kind.unit == "min" else QuantityField
    field = make(unit=kind.unit, label=label, min_value=kind.least, max_value=kind.most, places=6, required=False)
    field.profile = profile
    return field


def _initial(row: MaterialProperty | None) -> dict[str, Any]:
    if row is None:
        return {"source_kind": SourceKind.DATA_SHEET.value}
    return {
        "value": row.value,
        "low": row.low,
        "high": row.high,
        "source_kind": row.source_kind,
        "source_text": row.source_text,
    }
