"""What is typed of a delivery that is ordered."""

import datetime
from collections import defaultdict
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from materials.forms.entries import MOST_G, day_field, mass_field
from materials.models import Material, Pack
from studio.web.forms import CountField, PaperForm

FARTHEST_DAYS = 3 * 366


def check_ahead(day: datetime.date) -> datetime.date:
    """Refuse a day that is past, or that nobody can have meant."""
    today = timezone.localdate()
    if day < today:
        raise ValidationError("This day is past. Give today or a later day; what is here already is received instead.")
    if (day - today).days > FARTHEST_DAYS:
        raise ValidationError("This day is more than three years ahead; check the year.")
    return day


class ExpectForm(PaperForm):
    """One pack, or a mass, of one material, and the day it is to come."""

    what = forms.ChoiceField(
        label="What is ordered",
        error_messages={"required": "Choose what is ordered.", "invalid_choice": "Choose one from the list."},
    )
    packs = CountField(
        label="How many packs", min_value=1, max_value=1000, things="packs", required=False, help_text="Left empty, one."
    )
    mass_g = mass_field(label="Mass in all", required=False, help_text="When it is none of the packs; A and B together.")
    due_on = day_field(label="Arrives on")
    supplier = forms.CharField(label="Supplier", max_length=120, required=False, help_text="Left empty, the pack's supplier.")
    note = forms.CharField(label="Note", max_length=200, required=False, help_text="An order number, for example.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.materials = {material.pk: material for material in Material.objects.in_use().weighed().in_bench_order()}
        packs = Pack.objects.filter(material__in=self.materials, mass_g__isnull=False).order_by("-usual", "pk")
        self.packs_by_pk = {pack.pk: pack for pack in packs}
        packs_of: dict[int, list[Pack]] = defaultdict(list)
        for pack in self.packs_by_pk.values():
            packs_of[pack.material_id].append(pack)
        what: Any = self.fields["what"]
        what.choices = [
            ("", "choose"),
            *(
                (
                    material.name,
                    [
                        *((f"pack-{pack.pk}", f"{material.name}: {pack.label}") for pack in packs_of[material.pk]),
                        (f"mass-{material.pk}", f"{material.name}, by mass"),
                    ],
                )
                for material in self.materials.values()
            ),
        ]

    def clean_due_on(self) -> datetime.date:
        """Refuse a day that is past."""
        return check_ahead(self.cleaned_data["due_on"])

    def clean(self) -> dict[str, Any]:
        """Find the mass: of packs, or as typed."""
        typed = super().clean() or self.cleaned_data
        pack, mass = self.pack(), typed.get("mass_g")
        if "what" not in self.errors and not {"packs", "mass_g"} & set(self.errors):
            if pack and mass:
                self.add_error("mass_g", "Choose a pack above or type a mass here, not both.")
            elif not pack and not mass:
                self.add_error("mass_g", "Type the mass that is ordered, or choose a pack above.")
            elif not pack and typed.get("packs"):
                self.add_error("packs", "A mass is not counted in packs; leave this empty or choose a pack above.")
            elif pack and (pack.mass_g or Decimal(0)) * (typed.get("packs") or 1) > MOST_G:
                self.add_error("packs", "That is more than a lot can hold; check the number of packs.")
        return typed

    def pack(self) -> Pack | None:
        """Return the pack that was chosen, if one was."""
        kind, _, pk = self.cleaned_data.get("what", "").partition("-")
        return self.packs_by_pk[int(pk)] if kind == "pack" else None

    def expected(self) -> dict[str, Any]:
        """Return what the service takes."""
        typed, pack = self.cleaned_data, self.pack()
        material = pack.material_id if pack else int(typed["what"].partition("-")[2])
        return {
            "material": self.materials[material],
            "pack": pack,
            "mass_g": (pack.mass_g or Decimal(0)) * (typed["packs"] or 1) if pack else typed["mass_g"],
            "due_on": typed["due_on"],
            "supplier": typed["supplier"] or (pack.supplier if pack else ""),
            "note": typed["note"],
        }


class ChangeExpectedForm(PaperForm):
    """Another day, or a correction."""

    due_on = day_field(label="Arrives on")
    mass_g = mass_field(label="Mass in all")
    supplier = forms.CharField(label="Supplier", max_length=120, required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def clean_due_on(self) -> datetime.date:
        """Refuse a day that is past, unless it is the one that stands there."""
        day: datetime.date = self.cleaned_data["due_on"]
        return day if day == self.initial.get("due_on") else check_ahead(day)
