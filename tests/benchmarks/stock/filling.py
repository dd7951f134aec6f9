"""Fill a database with years of a studio's stock, the lines in the order of their time and the books right after each.

Started in a process of its own with the database in DATABASE_URL: python -m tests.benchmarks.stock.filling LINES LOTS MATERIALS
One material in the first place takes a tenth of everything; the lots of the others are spread evenly.
"""

import datetime
import random
import sys
from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, transaction  # noqa: E402
from django.utils import timezone  # noqa: E402

from materials.models import Lot, Material, MaterialProperty, Movement, StockBook  # noqa: E402
from materials.properties import Chemistry, MixBasis  # noqa: E402
from materials.valuing.money import worth  # noqa: E402
from materials.valuing.pool import Event, Pool, Way, after  # noqa: E402

YEARS = 4
AT_ONCE = 5000
GRAM = Decimal(1)
SEED = 20261126


def fill(*, lines: int, lots: int, materials: int) -> None:
    """Make the rows."""
    call_command("migrate", verbosity=0)
    if connection.vendor == "sqlite":
        # Only to fill it faster; whoever reads it later has a connection of their own, with the usual options.
        with connection.cursor() as cursor:
            for pragma in ("synchronous=OFF", "journal_mode=MEMORY", "cache_size=-300000"):
                cursor.execute(f"PRAGMA {pragma}")
    draw, now = random.Random(SEED), timezone.now()
    rows = _materials(materials)
    shelf = _lots(rows, lots, draw, now)
    events = sorted(_events(shelf, lines, draw, now), key=lambda event: event[0])
    with transaction.atomic():
        _write(shelf, events)


def _materials(many: int) -> list[Material]:
    rows = Material.objects.bulk_create(
        Material(name=f"Rubber {number:04d}", kind="rubber", chemistry=Chemistry.PLATINUM_SILICONE.value,
                 mix_basis=MixBasis.BY_WEIGHT.value) for number in range(many)
    )  # fmt: skip
    values = {"parts_a_by_weight": 100.0, "parts_b_by_weight": 10.0, "density_kg_m3": 1100.0}
    MaterialProperty.objects.bulk_create(
        MaterialProperty(material=row, key=key, value=value) for row in rows for key, value in values.items()
    )
    return list(rows)


def _lots(materials: list[Material], many: int, draw: random.Random, now: datetime.datetime) -> list[Lot]:
    """Make kits of an A and a B; the second half of the lots is still on the shelf."""
    rows = []
    for number in range(many):
        kit = number // 2
        material = materials[0] if kit % 10 == 0 else materials[1 + kit % (len(materials) - 1)]
        days = int(YEARS * 365 * (1 - number / many)) + 5
        came = (now - datetime.timedelta(days=days)).date()
        rows.append(
            Lot(material=material, component="AB"[number % 2], kit_code=f"K{kit}", supplier_lot=f"S{number:05d}",
                received_on=came, expires_on=came + datetime.timedelta(days=draw.randint(300, YEARS * 400)),
                unit_cost_per_kg=Decimal(draw.randint(1500, 4500)) / 100)
        )  # fmt: skip
    return list(Lot.objects.bulk_create(rows, batch_size=AT_ONCE))


def _events(shelf: list[Lot], lines: int, draw: random.Random, now: datetime.datetime) -> Iterator[tuple[Any, ...]]:
    """Yield for each lot its delivery and then promises, releases, uses and returns; old lots are empty in the end."""
    each = lines // len(shelf)
    for place, lot in enumerate(shelf):
        start = now - datetime.timedelta(days=(now.date() - lot.received_on).days, seconds=-place % 3600)
        share = 1 if lot.component == "A" else 0.1
        mass = Decimal(int(draw.randint(20_000, 60_000) * share))
        used_up = place < len(shelf) // 2
        yield start, lot.pk, "receive", mass, GRAM * 0, None
        step = (now - start) / (each + 1)
        part = mass / each * Decimal("1.2")
        left, held = mass, None
        for turn in range(1, each):
            at, job = start + step * turn, 1000 + (place * 7 + turn // 8) % 4000
            if turn == each - 1 and used_up:
                yield at, lot.pk, "issue", -left, -(held[0] if held else 0 * GRAM), held[1] if held else job
                continue
            if held is None and turn % 3 == 1 and left > part * 2:
                held = ((part * Decimal("0.9")).quantize(Decimal("0.001")), job)
                yield at, lot.pk, "reserve", 0 * GRAM, held[0], job
            elif held is not None and turn % 11 == 2:
                yield at, lot.pk, "release", 0 * GRAM, -held[0], held[1]
                held = None
            else:
                mass_out = held[0] if held else min(left / 4, part).quantize(Decimal("0.001"))
                if mass_out <= 0:
                    yield at, lot.pk, "adjust", GRAM, 0 * GRAM, None
                    left += GRAM
                    continue
                left -= mass_out
                yield at, lot.pk, "issue", -mass_out, -(held[0] if held else 0 * GRAM), held[1] if held else job
                held = None


def _write(shelf: list[Lot], events: list[tuple[Any, ...]]) -> None:
    lots = {lot.pk: lot for lot in shelf}
    keys = sorted({(lot.material_id, lot.component) for lot in shelf})
    books = {key: StockBook(material_id=key[0], component=key[1]) for key in keys}
    StockBook.objects.bulk_create(books.values())
    pools: dict[Any, Pool] = defaultdict(Pool)
    ready: list[Movement] = []
    for number, (at, pk, kind, mass, reserved, job) in enumerate(events):
        lot = lots[pk]
        key = (lot.material_id, lot.component)
        lot.on_hand_g += mass
        lot.reserved_g += reserved
        line = Movement(kind=kind, lot_id=pk, material_id=lot.material_id, mass_g=mass, reserved_g=reserved, left_g=lot.on_hand_g,
                        unit_cost_per_kg=lot.unit_cost_per_kg, job_number=job, happened_at=at, payload_sha256="0" * 64,
                        idempotency_key=f"fill-{number}")  # fmt: skip
        if mass:
            _cost(line, lot, books[key], pools, key)
        ready.append(line)
        if len(ready) == AT_ONCE:
            Movement.objects.bulk_create(ready)
            ready = []
    Movement.objects.bulk_create(ready)
    Lot.objects.bulk_update(shelf, ["on_hand_g", "reserved_g", "received_g"], batch_size=300)
    StockBook.objects.bulk_update(books.values(), ["on_hand_g", "value", "used_g", "used_value", "moved_at"], batch_size=100)


def _cost(line: Movement, lot: Lot, book: StockBook, pools: dict[Any, Pool], key: Any) -> None:
    mass = abs(line.mass_g)
    if line.kind == "receive":
        lot.received_g += mass
        event = Event(way=Way.IN, mass_g=mass, value=worth(mass, lot.unit_cost_per_kg))
    else:
        event = Event(way=Way.OUT if line.mass_g < 0 else Way.FOUND, mass_g=mass, lot_per_kg=lot.unit_cost_per_kg)
    pools[key], line.value = after(pools[key], event)
    if line.kind == "issue":
        book.used_g += mass
        book.used_value -= line.value
    book.on_hand_g, book.value, book.moved_at = pools[key].mass_g, pools[key].value, line.happened_at
    line.book = book
    line.book_g, line.book_value = book.on_hand_g, book.value
    line.book_used_g, line.book_used_value = book.used_g, book.used_value


if __name__ == "__main__":
    fill(lines=int(sys.argv[1]), lots=int(sys.argv[2]), materials=int(sys.argv[3]))
    sys.stdout.write(f"{Movement.objects.count()} {Lot.objects.filter(on_hand_g__gt=0).count()}\n")
