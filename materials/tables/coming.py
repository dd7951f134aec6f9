"""A table that is read in: shown first, kept whole or not at all, and undone while nothing of it was used."""

import hashlib
from collections.abc import Collection
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError, Q
from django.utils import timezone

from materials import ledger
from materials.errors import ImportClosed, RowsWrong, naming, verbatim
from materials.models import ImportRun, Lot, Material, Movement, Pack, ScrapBin
from materials.services.deliveries import Delivery, receive_delivery
from materials.services.lots import open_lot
from materials.services.materials import save_material
from materials.services.packs import remove_pack, save_pack
from materials.services.scrap import save_bin
from materials.tables.reading import RawTable, read_table
from materials.tables.understanding import Row, Understood, understand
from studio.models import Account

KEPT_ALREADY = "This table is kept or dropped already. Look at what came of it, or send the file again."
USED = "Something of this table was used, moved or promised since, so it cannot be undone as a whole. Undo line by line."


def read_in(*, kind: str, file_name: str, content: bytes, by: Account, sees_money: bool) -> ImportRun:
    """Read a file and keep what stands in it beside what is wrong; nothing of the shelf changes."""
    table = read_table(content)
    understood = understand(kind, table, sees_money=sees_money)
    run: ImportRun = ImportRun.objects.create(
        kind=kind,
        file_name=file_name[-200:],
        rows={
            "sha256": hashlib.sha256(content).hexdigest(),
            "headings": list(table.headings),
            "cells": [[number, list(cells)] for number, cells in table.rows],
        },
        problems=problems_of(understood),
        read_by=by,
    )
    return run


def problems_of(understood: Understood) -> list[dict[str, Any]]:
    """Return what is wrong, by row and column; row 1 is that of the headings."""
    found = [{"row": 1, "column": "", "says": says} for says in understood.problems]
    found += [{"row": row.number, "column": column, "says": says} for row in understood.rows for column, says in row.problems]
    return found


def table_of(run: ImportRun) -> RawTable:
    """Return the rows of a run as they were read."""
    rows = tuple((int(number), tuple(cells)) for number, cells in run.rows["cells"])
    return RawTable(headings=tuple(run.rows["headings"]), rows=rows)


def kept_before(run: ImportRun) -> ImportRun | None:
    """Return an earlier run of the very same file that was kept."""
    same = ImportRun.objects.filter(kind=run.kind, kept_at__isnull=False, rows__sha256=run.rows["sha256"])
    found: ImportRun | None = same.exclude(pk=run.pk).select_related("read_by").first()
    return found


@ledger.patient
@transaction.atomic
def keep(*, run: ImportRun, leave: Collection[int], by: Account, sees_money: bool) -> int:
    """Write all rows that are not left out, or none; return how many."""
    run = _open(run)
    understood = understand(run.kind, table_of(run), sees_money=sees_money)
    if understood.problems:
        raise RowsWrong(verbatim(understood.problems[0]))
    wanted = [row for row in understood.rows if row.number not in leave]
    wrong = [row for row in wanted if row.problems]
    if wrong:
        numbers = ", ".join(str(row.number) for row in wrong[:10])
        raise RowsWrong(f"Nothing was kept: row {numbers} {'is' if len(wrong) == 1 else 'are'} wrong. Correct or leave out.")
    if not wanted:
        raise RowsWrong("All rows are left out, so there is nothing to keep.")
    made: dict[str, list[Any]] = {"lots": [], "bins": [], "materials": [], "packs": [], "prices": []}
    for row in wanted:
        with naming(f"Row {row.number}"):
            _KEEPERS[run.kind](run, row, made, by)
    ImportRun.objects.filter(pk=run.pk).update(kept_at=timezone.now(), rows={**run.rows, "made": made, "left": sorted(leave)})
    return len(wanted)


@transaction.atomic
def drop(*, run: ImportRun) -> None:
    """Leave a table that was read in; nothing of it is kept."""
    _open(run)
    ImportRun.objects.filter(pk=run.pk).update(dropped_at=timezone.now())


@transaction.atomic
def take_up(*, run: ImportRun) -> None:
    """Let a dropped table be looked at and kept after all."""
    if not ImportRun.objects.filter(pk=run.pk, dropped_at__isnull=False).update(dropped_at=None):
        raise ImportClosed("This table was not dropped.")


@ledger.patient
@transaction.atomic
def undo(*, run: ImportRun, by: Account) -> None:
    """Take back all that came of a table, while nothing of it was used."""
    kept_run = ImportRun.objects.select_for_update().filter(pk=run.pk, kept_at__isnull=False).first()
    if kept_run is None:
        raise ImportClosed("This table is not kept, so there is nothing to undo.")
    made = kept_run.rows["made"]
    lots, bins = Lot.objects.filter(pk__in=made["lots"]), ScrapBin.objects.filter(pk__in=made["bins"])
    written = Movement.objects.filter(idempotency_key__startswith=f"import-{run.pk}-", reversed_by=None)
    lines = list(written.select_related("lot", "scrap_bin"))
    if Movement.objects.filter(lot__in=lots).exclude(pk__in=[line.pk for line in lines]).exists():
        raise ImportClosed(USED)
    first = min((line.pk for line in lines), default=0)
    if Movement.objects.filter(scrap_bin__in=bins, pk__gt=first).exclude(pk__in=[line.pk for line in lines]).exists():
        raise ImportClosed(USED)
    kept = [line.lot or line.scrap_bin for line in lines]
    if kept:
        ledger.hold(*(one for one in kept if one is not None))
    for line in lines:
        ledger.reverse(movement=line, key=f"undo-line-{line.pk}", by=by, why=f"table “{run.file_name[:80]}” undone")
    # A pack may stand in several rows; the first of them found the price that is put back last.
    for pack_pk, price, day, supplier in reversed(made["prices"]):
        pack = Pack.objects.select_related("material").filter(pk=pack_pk).first()
        if pack is not None:
            save_pack(material=pack.material, pack=pack, price=Decimal(price), priced_on=day, supplier=supplier)
    for pack in Pack.objects.filter(pk__in=made["packs"]):
        remove_pack(pack=pack)
    fresh = Material.objects.filter(pk__in=made["materials"])
    # What was written down of them since would go with them without a word.
    if fresh.filter(Q(properties__isnull=False) | Q(trials__isnull=False) | Q(packs__isnull=False)).exists():
        raise ImportClosed(USED)
    try:
        fresh.delete()
    except ProtectedError:
        raise ImportClosed(USED) from None
    rest = {**kept_run.rows, "made": {}}
    ImportRun.objects.filter(pk=run.pk).update(kept_at=None, dropped_at=timezone.now(), rows=rest)


def _open(run: ImportRun) -> ImportRun:
    row: ImportRun | None = ImportRun.objects.select_for_update().filter(pk=run.pk).first()
    if row is None or not row.open:
        raise ImportClosed(KEPT_ALREADY)
    return row


def _key(run: ImportRun, row: Row) -> str:
    """Return the idempotency key of a row; a table that is taken up again after an undo writes under new ones."""
    start = f"import-{run.pk}-{row.number}"
    earlier = Movement.objects.filter(idempotency_key__startswith=f"{start}t").count()
    return f"{start}t{earlier}"


def _keep_material(_run: ImportRun, row: Row, made: dict[str, list[Any]], _by: Account) -> None:
    values = row.values
    material = Material.objects.filter(name__iexact=values["name"]).first()
    if material is None:
        names = ("name", "kind", "chemistry", "mix_basis", "family", "note")
        material = save_material(material=None, **{name: values[name] for name in names})
        made["materials"].append(material.pk)
    if values["label"]:
        _keep_pack(material, values, made)


def _keep_pack(material: Material, values: dict[str, Any], made: dict[str, list[Any]]) -> None:
    pack = Pack.objects.filter(
        material=material, label__iexact=values["label"], mass_g=values["mass_g"], pieces=values["pieces"]
    ).first()
    fields = {name: values[name] for name in ("price", "priced_on", "supplier")}
    if pack is not None:
        made["prices"].append([pack.pk, str(pack.price), pack.priced_on.isoformat(), pack.supplier])
        save_pack(material=material, pack=pack, **(fields if fields["supplier"] else fields | {"supplier": pack.supplier}))
        return
    saved = save_pack(
        material=material, pack=None, label=values["label"], mass_g=values["mass_g"], pieces=values["pieces"],
        usual=values["usual"], **fields,
    )  # fmt: skip
    made["packs"].append(saved.pk)


def _keep_lot(run: ImportRun, row: Row, made: dict[str, list[Any]], by: Account) -> None:
    values = row.values
    delivery = Delivery(
        material=values["material"],
        component=values["component"],
        mass_g=values["mass_g"],
        mass_b_g=values["mass_b_g"],
        unit_cost_per_kg=values.get("unit_cost_per_kg") or Decimal(0),
        received_on=values["received_on"],
        expires_on=values["expires_on"],
        supplier=values["supplier"],
        supplier_lot=values["supplier_lot"],
        kit_code=values["kit_code"],
        place=values["place"],
        note=values["note"],
    )
    for lot in receive_delivery(delivery=delivery, key=_key(run, row), by=by):
        made["lots"].append(lot.pk)
        if values["opened_on"]:
            open_lot(lot=lot, opened_on=values["opened_on"], expires_on=values["expires_on"])


def _keep_bin(run: ImportRun, row: Row, made: dict[str, list[Any]], by: Account) -> None:
    facts = {name: value for name, value in row.values.items() if name != "mass_g"}
    there = ScrapBin.objects.filter(label__iexact=facts["label"]).first()
    scrap_bin = save_bin(scrap_bin=there, **facts)
    made["bins"].append(scrap_bin.pk)
    if row.values["mass_g"]:
        why = scrap_bin.origin or "read in from a table"
        ledger.receive(of=scrap_bin, mass_g=row.values["mass_g"], key=_key(run, row), by=by, why=why)


_KEEPERS: dict[str, Any] = {
    ImportRun.Kind.MATERIALS.value: _keep_material,
    ImportRun.Kind.LOTS.value: _keep_lot,
    ImportRun.Kind.SCRAP.value: _keep_bin,
}
