"""The demo's stock: the starter catalogue, invented prices, lots, scrap and what was done with them."""

from datetime import date, timedelta
from decimal import Decimal

from materials import ledger
from materials.models import Lot, Material, ScrapBin
from materials.properties import Chemistry, MaterialKind
from materials.services.catalogue import load_starter_catalogue
from materials.services.deliveries import Delivery, receive_delivery
from materials.services.expected import expect
from materials.services.materials import save_material
from materials.services.packs import save_pack
from materials.services.scrap import save_bin
from studio.models import Account

# Invented prices before tax: (starter key, pack, grams or pieces, price).
PACKS = (
    ("platinum-20a", "kit of 10 kg", 10000, "238.00"),
    ("platinum-30a", "kit of 10 kg", 10000, "246.00"),
    ("tin-25a", "kit of 5.5 kg", 5500, "96.00"),
    ("thixotropic-liquid", "bottle of 250 g", 250, "21.50"),
    ("polyethylene-fibre", "bag of 1 kg", 1000, "32.00"),
    ("fumed-silica", "bag of 500 g", 500, "14.00"),
    ("tint-silicone", "jar of 100 g", 100, "17.00"),
    ("tint-resin", "bottle of 100 g", 100, "13.50"),
    ("polyurethane-fast", "kit of 9 kg", 9000, "121.00"),
    ("polyurethane-slow", "kit of 9 kg", 9000, "126.00"),
    ("laminating-polyester", "drum of 20 kg", 20000, "94.00"),
    ("chopped-strand-mat-450", "roll of 10 kg", 10000, "58.00"),
    ("molding-plaster", "sack of 25 kg", 25000, "19.50"),
    ("hemp-fibre", "bale of 2 kg", 2000, "23.00"),
)
SUPPLIER = "Harbour Road Supplies"
# Invented: (starter key, days from order to delivery, days that it may be late).
LEADS = (("platinum-20a", 8, 3), ("tin-25a", 6, 2), ("polyurethane-slow", 7, 2), ("hemp-fibre", 4, 1), ("fumed-silica", 5, 1))


def _material(key: str) -> Material:
    return Material.objects.get(starter_key=key)


def rubber_name() -> str:
    """Return the name of the rubber that the demo lays most."""
    return _material("tin-25a").name


def add_materials(by: Account, today: date) -> None:
    """Load the starter catalogue and give its materials packs with invented prices and days to deliver."""
    load_starter_catalogue(by=by)
    for key, days, late in LEADS:
        save_material(material=_material(key), lead_days=days, lead_spread_days=late)
    for key, label, mass, price in PACKS:
        save_pack(
            material=_material(key),
            pack=None,
            label=label,
            mass_g=Decimal(mass),
            price=Decimal(price),
            supplier=SUPPLIER,
            priced_on=today - timedelta(days=40),
            usual=True,
        )
    for material in Material.objects.filter(kind__in=[MaterialKind.RELEASE, MaterialKind.CONSUMABLE], packs=None):
        counted = material.counted
        save_pack(
            material=material,
            pack=None,
            label="box of 100" if counted else "can of 500 g",
            mass_g=None if counted else Decimal(500),
            pieces=100 if counted else None,
            price=Decimal("16.00"),
            supplier=SUPPLIER,
            priced_on=today - timedelta(days=40),
            usual=True,
        )


def add_lots(by: Account, today: date) -> None:
    """Put deliveries on the shelf: fresh ones, one about to expire, one expired."""
    for number, (key, kit, mass, days_ago, expires_in, place) in enumerate(
        (
            ("platinum-20a", True, 20000, 60, 200, "shelf 1"),
            ("platinum-20a", True, 10000, 250, 12, "shelf 1"),
            ("tin-25a", True, 5500, 300, -9, "shelf 2"),
            ("polyethylene-fibre", False, 1000, 120, None, "shelf 3"),
            ("tint-silicone", False, 100, 120, 400, "shelf 3"),
            ("polyurethane-slow", True, 18000, 35, 150, "cool cupboard"),
            ("laminating-polyester", False, 20000, 30, 90, "flammables cabinet"),
            ("chopped-strand-mat-450", False, 10000, 30, None, "rack"),
            ("molding-plaster", False, 50000, 20, 160, "by the door, on a pallet"),
        ),
        start=1,
    ):
        material = _material(key)
        per_kg = material.packs.get(usual=True, mass_g__isnull=False).price_per_kg or Decimal(0)
        receive_delivery(
            delivery=Delivery(
                material=material,
                component=Lot.Component.KIT if kit else Lot.Component.WHOLE,
                mass_g=Decimal(mass),
                received_on=today - timedelta(days=days_ago),
                unit_cost_per_kg=per_kg.quantize(Decimal("0.0001")),
                expires_on=None if expires_in is None else today + timedelta(days=expires_in),
                supplier=SUPPLIER,
                supplier_lot=f"HR-{4100 + 7 * number}",
                place=place,
            ),
            key=f"demo-delivery-{number}",
            by=by,
        )


def expect_some(by: Account, today: date) -> None:
    """Have one delivery on its way and one overdue."""
    for key, packs, days, note in (("tin-25a", 2, 6, "order 4471"), ("laminating-polyester", 1, -2, "")):
        material = _material(key)
        pack = material.packs.get(usual=True)
        expect(
            material=material, pack=pack, mass_g=packs * (pack.mass_g or Decimal(0)), supplier=pack.supplier,
            due_on=today + timedelta(days=days), note=note, by=by,
        )  # fmt: skip


def use_some(by: Account) -> None:
    """Use some of the oldest rubber, so that A and B no longer match and the day book has lines."""
    lots = Lot.objects.filter(material=_material("platinum-20a")).order_by("expires_on", "component")
    for lot, mass in zip(lots[:2], (Decimal("3140"), Decimal("2905")), strict=True):
        ledger.issue(of=lot, mass_g=mass, key=f"demo-use-{lot.pk}", by=by, why="test blanket for the open day")


def add_scrap(by: Account, today: date) -> ScrapBin:
    """Keep scrap in three bins and return the one that the first job can use."""
    kept = []
    for label, chemistry, family, edge, mass, colour, washed, origin in (
        ("P1", Chemistry.PLATINUM_SILICONE, "starter", 25, 6200, "white", True, "mold of a garden urn"),
        ("P2", Chemistry.PLATINUM_SILICONE, "", 12, 1850, "pale blue", False, "cut-offs of several molds"),
        ("T1", Chemistry.TIN_SILICONE, "", 30, 4400, "white", True, "mold of a frieze"),
    ):
        scrap_bin = save_bin(
            scrap_bin=None,
            label=label,
            chemistry=chemistry,
            family=family,
            hardness_shore_a=Decimal(20),
            colour=colour,
            density_kg_m3=Decimal(1100),
            chunk_edge_mm=Decimal(edge),
            washed=washed,
            origin=origin,
            kept_since_on=today - timedelta(days=90),
            place="under the long bench",
        )
        ledger.receive(of=scrap_bin, mass_g=Decimal(mass), key=f"demo-scrap-{label}", by=by, why="cut up and weighed")
        kept.append(scrap_bin)
    return kept[0]
