"""What the page of one material shows."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.utils import timezone

from materials.forms.material import MIXED
from materials.forms.values import LAST, SECTIONS, ValueForms, order_of, section_of
from materials.inputs import material_spec
from materials.models import Lot, Material, Movement, Pack
from materials.properties import PROPERTIES, MaterialKind, MixBasis, PropertyKind, properties_of
from materials.science.material import MaterialSpec
from materials.services.cautions import caution_for
from materials.services.expected import still_expected
from materials.services.gel_tests import gel_test_wanted
from materials.services.kits import kit_remainders
from materials.services.ratios import b_per_100_a, ratio_remarks, ratios_disagree, weight_from_volume
from materials.views.daybook import book_lines, book_page
from materials.views.expected import expected_lines
from materials.views.material_stock import KITS_SHOWN, LOTS_SHOWN, stock_context
from studio.access import Right
from studio.figures import Figure, Given, Source, SourceKind
from studio.web.context import current_profile

FAR_APART = 0.10


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """One property on the page, opening to its source and range."""

    kind: PropertyKind
    figure: Figure


def material_context(material: Material, *, rights: frozenset[Right], asked: Mapping[str, str]) -> dict[str, Any]:
    """Return what is known of a material, its packs, its lots and a page of its day book."""
    spec, today = material_spec(material), timezone.localdate()
    lots = list(Lot.objects.filter(material=material).on_shelf())
    for lot in lots:
        lot.material = material
    usable = [lot for lot in lots if lot.usable_on(today)]
    kits = sorted(kit_remainders(spec=spec, lots=usable), key=lambda kit: -kit.stranded.value if kit.stranded else 0.0)
    lines = book_page(Movement.objects.of_material(material.pk).for_day_book(), asked)
    may_stock = Right.CHANGE_STOCK in rights
    sees_money = Right.SEE_MONEY in rights
    return stock_context(material, today=today, profile=current_profile(), sees_money=sees_money) | {
        "material": material,
        "cures": spec.kind in MIXED,
        "sections": known_sections(spec),
        "missing": missing_of(spec),
        "weighed": b_per_100_a(spec),
        "remarks": ratio_remarks(spec),
        "caution": caution_for(material),
        "packs": list(Pack.objects.filter(material=material)),
        "price": price_figure(spec) if sees_money else None,
        "lots": [(lot, lot.expired_by(today), gel_test_wanted(lot, today)) for lot in lots[:LOTS_SHOWN]],
        "more_lots": max(len(lots) - LOTS_SHOWN, 0),
        "expected": expected_lines(still_expected().filter(material=material), today),
        "kits": kits[:KITS_SHOWN],
        "more_kits": max(len(kits) - KITS_SHOWN, 0),
        "page": lines,
        "lines": book_lines(lines, may_stock=may_stock),
        "sees_money": sees_money,
        "may_stock": may_stock,
        "may_materials": Right.CHANGE_MATERIALS in rights,
    }


def known_sections(spec: MaterialSpec) -> list[tuple[str, list[Known]]]:
    """Return the known values under their headings."""
    known = [
        Known(kind=PROPERTIES[key], figure=as_figure(key, given))
        for key, given in sorted(spec.properties.items(), key=lambda item: order_of(item[0]))
    ]
    names = [*(name for name, _ in SECTIONS), LAST]
    grouped = [(name, [one for one in known if section_of(one.kind.key) == name]) for name in names]
    return [(name, found) for name, found in grouped if found]


def missing_of(spec: MaterialSpec) -> list[PropertyKind]:
    """Return what is not known and wanted by the computing, as far as the way of mixing asks for it."""
    unasked = {
        MixBasis.BY_WEIGHT: {"parts_a_by_volume", "parts_b_by_volume", "density_a_kg_m3", "density_b_kg_m3", "dose_percent"},
        MixBasis.BY_VOLUME: {"parts_a_by_weight", "parts_b_by_weight", "dose_percent"},
    }.get(spec.mix_basis, {"parts_a_by_weight", "parts_b_by_weight", "parts_a_by_volume", "parts_b_by_volume", "density_a_kg_m3",
                           "density_b_kg_m3"})  # fmt: skip
    if spec.mix_basis is MixBasis.ONE_PART and spec.kind in {MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL}:
        unasked = unasked | {"dose_percent"}
    # Either of two will do.
    for one, other in (("q10", "activation_energy_kj_mol"), ("held_thickness_mm", "yield_stress_pa")):
        if one in spec.properties or other in spec.properties:
            unasked = unasked | {one, other}
    unasked = unasked | {"q10", "activation_energy_kj_mol", "water_per_100"}
    return [
        kind
        for kind in properties_of(spec.kind)
        if kind.required_for and kind.key not in spec.properties and kind.key not in unasked
    ]


def as_figure(key: str, given: Given) -> Figure:
    """Return a stated value as a figure, so that it opens like any other."""
    kind = PROPERTIES[key]
    wanted = f" Needed for {kind.required_for}." if kind.required_for else ""
    return Figure(
        key=key,
        label=given.label,
        value=given.value,
        unit=given.unit,
        formula="as stated for the material",
        source=given.source,
        low=given.low,
        high=given.high,
        note=f"{kind.meaning}{wanted}",
    )


def price_figure(spec: MaterialSpec) -> Figure | None:
    """Return what a kilogram costs as a figure."""
    price = spec.price_per_kg
    if price is None:
        return None
    return Figure(
        key="price_per_kg", label=price.label, value=price.value, unit=price.unit, formula="price before tax ÷ mass",
        source=price.source, low=price.low, high=price.high,
    )  # fmt: skip


def ratios_contradict(material: Material, basis: str | None, values: ValueForms) -> Figure | None:
    """Return the ratio by volume as weights when it is far from the ratio by weight that was typed beside it."""
    properties: Mapping[str, Given] = {
        form.kind.key: Given(
            label=form.kind.label,
            value=typed.value,
            unit=form.kind.unit,
            source=Source(kind=SourceKind.OWN, text="as typed above"),
        )
        for form in values
        if (typed := form.typed()).value is not None
    }
    spec = replace(material_spec(material), properties=properties, mix_basis=MixBasis(basis or material.mix_basis))
    return weight_from_volume(spec) if ratios_disagree(spec, by_more_than=FAR_APART) else None
