"""The tables of stock as they are taken out."""

from typing import Any

from materials.models import (
    ExpectedDelivery,
    Lot,
    Material,
    MaterialProperty,
    Movement,
    Pack,
    ScrapBin,
    StocktakeLine,
)
from materials.properties import PROPERTIES, Chemistry, MaterialKind, MixBasis
from materials.tables.leaving import Column, Table


def _labels(choices: Any) -> dict[Any, str]:
    return {item.value: item.label for item in choices}


STOCK_TABLES = (
    Table(
        key="materials",
        name="Materials",
        says="each with its kind, chemistry and how it is mixed",
        rows=lambda: Material.objects.order_by("pk"),
        columns=(
            Column("Number", "pk"), Column("Name", "name"), Column("Kind", "kind", labels=_labels(MaterialKind)),
            Column("Chemistry", "chemistry", labels=_labels(Chemistry)), Column("Family", "family"),
            Column("Mixed", "mix_basis", labels=_labels(MixBasis)), Column("Sheet revised on", "sheet_revised_on"),
            Column("Look when less than, g", "low_below_g"), Column("Days to deliver", "lead_days"),
            Column("In use", "active"), Column("Note", "note"),
        ),
    ),
    Table(
        key="packs",
        name="Packs",
        says="what each material is bought in, and from whom",
        rows=lambda: Pack.objects.order_by("pk"),
        columns=(
            Column("Number", "pk"), Column("Material", "material__name"), Column("Pack", "label"), Column("Mass, g", "mass_g"),
            Column("Pieces", "pieces"), Column("Price before tax", "price", money=True), Column("Price of", "priced_on"),
            Column("Supplier", "supplier"), Column("Usually bought", "usual"),
        ),
    ),
    Table(
        key="properties",
        name="Values",
        says="the values of materials, each with its range and source",
        rows=lambda: MaterialProperty.objects.order_by("material_id", "pk"),
        columns=(
            Column("Material", "material__name"),
            Column("Value of", "key", labels={key: kind.label for key, kind in PROPERTIES.items()}),
            Column("Value", "value"), Column("From", "low"), Column("To", "high"),
            Column("Unit", "key", labels={key: kind.unit for key, kind in PROPERTIES.items()}),
            Column("Source", "source_kind"), Column("Source in words", "source_text"),
        ),
    ),
    Table(
        key="lots",
        name="Lots",
        says="what was delivered, what is left, where it stands",
        rows=lambda: Lot.objects.order_by("pk"),
        columns=(
            Column("Number", "pk"), Column("Material", "material__name"),
            Column("Part", "component", labels=_labels(Lot.Component)), Column("Supplier's lot", "supplier_lot"),
            Column("Supplier", "supplier"), Column("Pairs with", "kit_code"), Column("Received on", "received_on"),
            Column("Opened on", "opened_on"), Column("Good until", "expires_on"), Column("Place", "place"),
            Column("Received, g", "received_g"), Column("On hand, g", "on_hand_g"), Column("Promised, g", "reserved_g"),
            Column("Cost before tax per kg", "unit_cost_per_kg", money=True), Column("Test gel on", "gel_tested_on"),
            Column("Set aside", "quarantined"), Column("Note", "note"),
        ),
    ),
    Table(
        key="movements",
        name="Day book",
        says="every line of the ledger, the oldest first",
        rows=lambda: Movement.objects.order_by("pk"),
        columns=(
            Column("Line", "pk"), Column("When", "happened_at"), Column("What", "kind", labels=_labels(Movement.Kind)),
            Column("Lot", "lot_id"), Column("Material", "lot__material__name"), Column("Bin", "scrap_bin__label"),
            Column("On hand, g", "mass_g"), Column("Promised, g", "reserved_g"),
            Column("Cost before tax per kg", "unit_cost_per_kg", money=True), Column("Worth before tax", "value", money=True),
            Column("Job", "job_number"), Column("Why", "why"),
            Column("By", "by__name"), Column("Undoes line", "reverses_id"),
        ),
    ),
    Table(
        key="scrap",
        name="Scrap",
        says="the bins of cured rubber",
        rows=lambda: ScrapBin.objects.order_by("pk"),
        columns=(
            Column("Number", "pk"), Column("Label", "label"), Column("Rubber", "chemistry", labels=_labels(Chemistry)),
            Column("Family", "family"), Column("Hardness, Shore A", "hardness_shore_a"), Column("Colour", "colour"),
            Column("Density, kg/m³", "density_kg_m3"), Column("Chunks, mm", "chunk_edge_mm"), Column("Washed", "washed"),
            Column("Came from", "origin"), Column("Kept since", "kept_since_on"), Column("Place", "place"),
            Column("On hand, g", "on_hand_g"), Column("Promised, g", "reserved_g"),
        ),
    ),
    Table(
        key="expected",
        name="Expected deliveries",
        says="what is ordered and when it is to come",
        rows=lambda: ExpectedDelivery.objects.order_by("pk"),
        columns=(
            Column("Number", "pk"), Column("Material", "material__name"), Column("Pack", "pack__label"),
            Column("Mass, g", "mass_g"), Column("Supplier", "supplier"), Column("Due on", "due_on"),
            Column("Arrived", "arrived_at"), Column("Cancelled", "cancelled_at"), Column("Note", "note"),
        ),
    ),
    Table(
        key="counts",
        name="Counts",
        says="what was weighed in each count, and what differed",
        rows=lambda: StocktakeLine.objects.order_by("pk"),
        columns=(
            Column("Count", "stocktake__name"), Column("Begun", "stocktake__started_at"),
            Column("Posted", "stocktake__posted_at"),
            Column("Dropped", "stocktake__dropped_at"), Column("Lot", "lot_id"), Column("Material", "lot__material__name"),
            Column("Bin", "scrap_bin__label"), Column("Book then, g", "book_g"), Column("Weighed, g", "counted_g"),
            Column("Weighed at", "counted_at"), Column("By", "counted_by__name"), Column("Why", "why"),
            Column("Posted line", "movement_id"),
        ),
    ),
)  # fmt: skip
