"""What happens to a lot without its mass changing: opened, moved, set aside, its dates corrected."""

import datetime
from decimal import Decimal

from django.db import transaction

from materials.models import Lot


def open_lot(*, lot: Lot, opened_on: datetime.date, expires_on: datetime.date | None) -> None:
    """Note that a container was opened, and until when it is good now."""
    Lot.objects.filter(pk=lot.pk).update(opened_on=opened_on, expires_on=expires_on)


def move_lot(*, lot: Lot, place: str) -> None:
    """Note where a lot stands now."""
    Lot.objects.filter(pk=lot.pk).update(place=place)


def set_lot_aside(*, lot: Lot, why: str) -> None:
    """Keep a doubtful lot out of new work; the reason stays with it."""
    Lot.objects.filter(pk=lot.pk).update(quarantined=True, note=why[:200])


def take_lot_back(*, lot: Lot) -> None:
    """Let a lot that was set aside be used again."""
    Lot.objects.filter(pk=lot.pk).update(quarantined=False, note="")


@transaction.atomic
def change_lot(
    *,
    lot: Lot,
    supplier: str,
    supplier_lot: str,
    kit_code: str,
    received_on: datetime.date,
    expires_on: datetime.date | None,
    unit_cost_per_kg: Decimal | None,
    note: str,
) -> None:
    """Correct what was written down of a lot; lines already in the ledger keep the cost they were written with."""
    row = Lot.objects.filter(pk=lot.pk)
    row.update(
        supplier=supplier,
        supplier_lot=supplier_lot,
        kit_code=kit_code,
        received_on=received_on,
        expires_on=expires_on,
        note=note,
    )
    if unit_cost_per_kg is not None:
        row.update(unit_cost_per_kg=unit_cost_per_kg)
