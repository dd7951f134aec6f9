"""Work the money of the lines written so far out by the rules of the books, and give each pack's price its first row."""

from decimal import Decimal

from django.db import migrations

from materials.models import append_only
from materials.valuing.money import part_of, per_kg
from materials.valuing.pool import Event, Pool, Way, after

NOTHING = Decimal(0)
OF_USE = {"issue", "return"}
AT_ONCE = 2000


def fill(apps, schema_editor):
    connection = schema_editor.connection
    append_only.lift(connection)
    _fill_lines(apps)
    if connection.vendor == "postgresql":
        # Checks that wait for the end of the transaction would keep the triggers from being made.
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    append_only.guard(connection)
    _first_prices(apps)


def _fill_lines(apps):
    movements, book_model = apps.get_model("materials", "Movement"), apps.get_model("materials", "StockBook")
    pools, books, left, out, lines = {}, {}, {}, {}, {}
    ready = []
    for line in movements.objects.select_related("lot").order_by("pk").iterator(chunk_size=AT_ONCE):
        kept = ("lot", line.lot_id) if line.lot_id else ("bin", line.scrap_bin_id)
        left[kept] = left.get(kept, NOTHING) + line.mass_g
        line.left_g = left[kept]
        line.material_id = line.lot.material_id if line.lot_id else None
        if line.mass_g:
            key = (line.lot.material_id, line.lot.component, None) if line.lot_id else (None, "", line.scrap_bin_id)
            if key not in books:
                books[key] = book_model.objects.create(material_id=key[0], component=key[1], scrap_bin_id=key[2])
                pools[key] = Pool()
            _cost(line, key, kept, pools, books, out, lines)
        ready.append(line)
        if len(ready) >= AT_ONCE:
            _save(movements, ready)
            ready = []
    _save(movements, ready)
    for book in books.values():
        book.save()


def _cost(line, key, kept, pools, books, out, lines):
    undone = lines.get(line.reverses_id)
    mass = abs(line.mass_g)
    per = line.unit_cost_per_kg
    who = (kept, line.job_number)
    if line.kind == "receive":
        event = Event(way=Way.IN, mass_g=mass, value=(mass * per / 1000).quantize(Decimal("0.0001")))
    elif line.kind == "return":
        mass_out, value_out = (
            out.get(who) if out.get(who, (NOTHING, NOTHING))[0] >= mass else out.get((kept, "all"), (mass, NOTHING))
        )
        event = Event(way=Way.BACK, mass_g=mass, value=part_of(max(value_out, NOTHING), mass_g=mass, of_g=max(mass_out, mass)))
    elif undone is not None:
        way = Way.UNDO_OUT if line.mass_g > 0 else Way.UNDO_IN
        event = Event(way=way, mass_g=mass, value=abs(undone[1]))
    elif line.mass_g > 0:
        event = Event(way=Way.FOUND, mass_g=mass, lot_per_kg=per)
    else:
        event = Event(way=Way.OUT, mass_g=mass)
    pool = pools[key]
    pools[key], line.value = after(pool, event)
    if line.kind != "receive":
        line.unit_cost_per_kg = per_kg(abs(line.value), mass)
    book = books[key]
    kind = undone[0] if undone is not None else line.kind
    if kind in OF_USE:
        for one in (who, (kept, "all")):
            mass_out, value_out = out.get(one, (NOTHING, NOTHING))
            out[one] = (mass_out - line.mass_g, value_out - line.value)
        book.used_g -= line.mass_g
        book.used_value -= line.value
    book.on_hand_g, book.value = pools[key].mass_g, pools[key].value
    book.moved_at = max(book.moved_at or line.happened_at, line.happened_at)
    line.book = book
    line.book_g, line.book_value = book.on_hand_g, book.value
    line.book_used_g, line.book_used_value = book.used_g, book.used_value
    lines[line.pk] = (line.kind, line.value)


def _save(movements, ready):
    names = ["left_g", "material", "value", "unit_cost_per_kg", "book", "book_g", "book_value", "book_used_g", "book_used_value"]
    movements.objects.bulk_update(ready, names, batch_size=200)


def _first_prices(apps):
    packs, prices = apps.get_model("materials", "Pack"), apps.get_model("materials", "PackPrice")
    prices.objects.bulk_create(
        prices(pack=pack, price=pack.price, priced_on=pack.priced_on) for pack in packs.objects.filter(prices__isnull=True)
    )


class Migration(migrations.Migration):
    dependencies = [
        ("materials", "0005_books_of_stock"),
    ]

    operations = [
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
