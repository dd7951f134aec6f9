"""What is typed when a delivery comes."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from materials.forms.entries import EntryForm, check_past, day_field, mass_field
from materials.models import Lot, Material, Pack
from materials.services.deliveries import Delivery, expiry_after
from studio.web.forms import CountField, MoneyField

MOST_PER_KG = Decimal("99999999")


class DeliveryForm(EntryForm):
    """Packs or a mass of one material, with what is written on the container."""

    component = forms.ChoiceField(label="What came", widget=forms.RadioSelect)
    pack = forms.ModelChoiceField(
        label="Pack", queryset=Pack.objects.none(), required=False, empty_label="another size, weighed below"
    )
    packs = CountField(label="How many", min_value=1, max_value=1000, things="packs", required=False)
    mass_g = mass_field(label="Mass in all", required=False, help_text="When it is none of the packs above.")
    mass_b_g = mass_field(label="B in it", required=False, help_text="Left empty, the mix ratio tells.")
    total_cost = MoneyField(label="Paid before tax", required=False, help_text="Left empty, the pack's price counts.")
    received_on = day_field(label="Received on")
    expires_on = day_field(label="Good until", required=False)
    supplier = forms.CharField(label="Supplier", max_length=120, required=False)
    supplier_lot = forms.CharField(label="Supplier's lot number", max_length=80, required=False)
    kit_code = forms.CharField(
        label="Pairs with", max_length=40, required=False, help_text="The same code on the A and the B that belong together."
    )
    place = forms.CharField(label="Where it stands", max_length=80, required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)
    expected = forms.IntegerField(widget=forms.HiddenInput, required=False)
    rest_comes = forms.BooleanField(label="If this is less than was expected, the rest still comes", required=False)

    def __init__(
        self,
        *args: Any,
        material: Material,
        shelf_life_months: float | None,
        sees_money: bool,
        awaited: bool = False,
        **kwargs: Any,
    ) -> None:
        self.material, self.shelf_life_months = material, shelf_life_months
        super().__init__(*args, **kwargs)
        packs = Pack.objects.filter(material=material, mass_g__isnull=False)
        pack_field: Any = self.fields["pack"]
        pack_field.queryset = packs
        pack_field.label_from_instance = lambda pack: pack.label
        component: Any = self.fields["component"]
        if material.two_part:
            component.choices = [
                (Lot.Component.KIT, "A and B together"),
                (Lot.Component.A, "part A alone"),
                (Lot.Component.B, "part B alone"),
            ]
            component.initial = Lot.Component.KIT
        else:
            component.choices = [(Lot.Component.WHOLE, "one part")]
            component.initial = Lot.Component.WHOLE
            component.widget = component.hidden_widget()
            del self.fields["mass_b_g"], self.fields["kit_code"]
        if not awaited:
            del self.fields["expected"], self.fields["rest_comes"]
        if not sees_money:
            del self.fields["total_cost"]
        if shelf_life_months is not None:
            self.fields[
                "expires_on"
            ].help_text = f"Left empty, the shelf life of {shelf_life_months:g} months counts from the delivery."

    def clean_received_on(self) -> Any:
        """Refuse a day that has not come."""
        return check_past(self.cleaned_data["received_on"])

    def clean(self) -> dict[str, Any]:
        """Find the mass, and hold the days against each other."""
        cleaned = super().clean() or self.cleaned_data
        pack, mass = cleaned.get("pack"), cleaned.get("mass_g")
        if pack and mass:
            self.add_error("mass_g", ValidationError("Choose a pack above or type a mass here, not both."))
        if not pack and not mass and not {"pack", "mass_g"} & set(self.errors):
            self.add_error("mass_g", ValidationError("Choose a pack above, or type the mass that came."))
        whole = self.mass_in_all() if not self.errors else None
        if whole is not None and whole > Decimal(100_000_000):
            self.add_error("packs", ValidationError("That is more than a lot can hold; check the number of packs."))
        part_b = cleaned.get("mass_b_g")
        if part_b and cleaned.get("component") != Lot.Component.KIT:
            self.add_error("mass_b_g", ValidationError("This is asked only when A and B came together; leave it empty."))
        elif part_b and whole is not None and part_b >= whole:
            self.add_error("mass_b_g", ValidationError("B cannot be all of it; give the mass of B alone."))
        received, expires = cleaned.get("received_on"), cleaned.get("expires_on")
        if received and expires and expires < received:
            self.add_error("expires_on", ValidationError("This is before it was received; correct one of the two days."))
        if not self.errors and self.unit_cost() > MOST_PER_KG:
            self.add_error("total_cost", ValidationError("That is too much for this mass; check both."))
        return cleaned

    def mass_in_all(self) -> Decimal | None:
        """Return the mass that came, or None where nothing was chosen."""
        pack: Pack | None = self.cleaned_data.get("pack")
        mass: Decimal | None = self.cleaned_data.get("mass_g")
        if pack is None or pack.mass_g is None:
            return mass
        return pack.mass_g * Decimal(self.cleaned_data.get("packs") or 1)

    def unit_cost(self) -> Decimal:
        """Return what a kilogram cost: as paid, else by the pack's price, else nought for not known."""
        pack: Pack | None = self.cleaned_data.get("pack")
        paid: Decimal | None = self.cleaned_data.get("total_cost")
        mass = self.mass_in_all()
        if not mass:
            return Decimal(0)
        if paid is None:
            per_kg = pack.price_per_kg if pack else None
            return per_kg.quantize(Decimal("0.0001")) if per_kg else Decimal(0)
        return (paid / mass * 1000).quantize(Decimal("0.0001"))

    def delivery(self) -> Delivery:
        """Return what came, with the expiry that the shelf life suggests where none was typed."""
        cleaned = self.cleaned_data
        expires = cleaned["expires_on"]
        if expires is None and self.shelf_life_months is not None:
            expires = expiry_after(cleaned["received_on"], self.shelf_life_months)
        return Delivery(
            material=self.material,
            component=Lot.Component(cleaned["component"]),
            mass_g=self.mass_in_all() or Decimal(0),
            mass_b_g=cleaned.get("mass_b_g"),
            unit_cost_per_kg=self.unit_cost(),
            received_on=cleaned["received_on"],
            expires_on=expires,
            supplier=cleaned["supplier"],
            supplier_lot=cleaned["supplier_lot"],
            kit_code=cleaned.get("kit_code", ""),
            place=cleaned["place"],
            note=cleaned["note"],
        )
