"""A file to fill in: the headings of a kind of table, and a row that shows how."""

from materials.models import ImportRun
from materials.tables.csv_files import csv_file
from materials.tables.fields import columns_in

EXAMPLES: dict[str, dict[str, str]] = {
    ImportRun.Kind.MATERIALS.value: {
        "name": "Soft rubber 20", "kind": "Rubber", "chemistry": "Platinum silicone", "mix_basis": "Parts by weight",
        "label": "kit of 10 kg", "mass_g": "10 kg", "price": "238.00", "supplier": "Harbour Road Supplies",
        "priced_on": "2026-03-01", "usual": "yes",
    },
    ImportRun.Kind.LOTS.value: {
        "material": "Soft rubber 20", "component": "part A", "mass_g": "4.2 kg", "received_on": "2026-02-01",
        "expires_on": "2026-12-31", "supplier_lot": "HR-4107", "kit_code": "K1", "place": "shelf 1", "unit_cost_per_kg": "23.80",
    },
    ImportRun.Kind.SCRAP.value: {
        "label": "P1", "chemistry": "Platinum silicone", "mass_g": "2.5 kg", "chunk_edge_mm": "25 mm", "colour": "white",
        "washed": "yes", "origin": "mold of a garden urn", "place": "rack",
    },
}  # fmt: skip


def template_csv(kind: str, *, sees_money: bool) -> bytes:
    """Return a CSV file with the headings and one example."""
    columns = [column for column in columns_in(kind) if sees_money or not column.money]
    example = [EXAMPLES[kind].get(column.key, "") for column in columns]
    return csv_file([column.heading for column in columns], [example])
