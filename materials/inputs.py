"""Rows of materials as the values that the computing core takes."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import QuerySet

from materials.models import Lot, Material, MaterialProperty, Pack
from materials.properties import PROPERTIES, Chemistry, MaterialKind, MixBasis
from materials.science.material import MaterialSpec
from studio.figures import Given, Source, SourceKind


def material_spec(material: Material) -> MaterialSpec:
    """Return a material with its properties and price, each with its source."""
    return specs([material.pk])[material.pk]


def specs(ids: Iterable[int]) -> dict[int, MaterialSpec]:
    """Return materials by their id, in four queries however many there are; unknown ids are left out."""
    return specs_of(Material.objects.filter(pk__in=set(ids)))


def specs_of(materials: "QuerySet[Material]", *, priced: bool = True) -> dict[int, MaterialSpec]:
    """Return the materials of a queryset by their id, in four queries however many there are, two where no price is asked."""
    rows = {material.pk: material for material in materials}
    properties: dict[int, dict[str, Given]] = defaultdict(dict)
    for row in MaterialProperty.objects.filter(material__in=rows):
        if row.key in PROPERTIES:
            properties[row.material_id][row.key] = given_of(row)
    packs = _usual_packs(rows) if priced else {}
    lots = _priced_lots(rows) if priced else {}
    return {pk: _spec(material, properties[pk], packs.get(pk), lots.get(pk, [])) for pk, material in rows.items()}


def given_of(row: MaterialProperty) -> Given:
    """Return a property with its range and source."""
    kind = PROPERTIES[row.key]
    return Given(
        label=kind.label,
        value=row.value,
        unit=kind.unit,
        source=Source(kind=SourceKind(row.source_kind), text=row.source_text),
        low=row.low,
        high=row.high,
    )


def price_per_kg(*, lots: list[Lot], pack: Pack | None) -> Given | None:
    """Return what a kilogram costs: the mean of the lots on hand, weighted by what is left; failing that the usual pack."""
    mass = sum((lot.on_hand_g for lot in lots), Decimal(0))
    if mass > 0:
        mean = sum((lot.on_hand_g * lot.unit_cost_per_kg for lot in lots), Decimal(0)) / mass
        costs = [float(lot.unit_cost_per_kg) for lot in lots]
        spread = min(costs) < max(costs)
        return Given(
            label="Price per mass",
            value=float(mean),
            unit="money/kg",
            source=Source(kind=SourceKind.OWN, text="what the lots on hand cost, weighted by what is left of each"),
            low=min(costs) if spread else None,
            high=max(costs) if spread else None,
        )
    per_kg = pack.price_per_kg if pack else None
    if pack is None or per_kg is None:
        return None
    seller = f", {pack.supplier}" if pack.supplier else ""
    return Given(
        label="Price per mass",
        value=float(per_kg),
        unit="money/kg",
        source=Source(kind=SourceKind.OWN, text=f"pack {pack.label}{seller}, price of {pack.priced_on:%d %b %Y}"),
    )


def _spec(material: Material, properties: dict[str, Given], pack: Pack | None, lots: list[Lot]) -> MaterialSpec:
    return MaterialSpec(
        key=material.pk,
        name=material.name,
        kind=MaterialKind(material.kind),
        chemistry=Chemistry(material.chemistry),
        family=material.family,
        mix_basis=MixBasis(material.mix_basis),
        properties=properties,
        price_per_kg=price_per_kg(lots=lots, pack=pack),
        pack_mass_g=float(pack.mass_g) if pack and pack.mass_g else None,
    )


def _usual_packs(materials: Iterable[int]) -> dict[int, Pack]:
    """Return one pack a material: the usual one, or the smallest where none is marked."""
    first: dict[int, Pack] = {}
    for pack in Pack.objects.filter(material__in=materials, mass_g__isnull=False).order_by("material", "-usual", "mass_g"):
        first.setdefault(pack.material_id, pack)
    return first


def _priced_lots(materials: Iterable[int]) -> dict[int, list[Lot]]:
    found: dict[int, list[Lot]] = defaultdict(list)
    for lot in Lot.objects.filter(material__in=materials, on_hand_g__gt=0, unit_cost_per_kg__gt=0):
        found[lot.material_id].append(lot)
    return found
