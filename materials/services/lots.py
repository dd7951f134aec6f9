"""What happens to a lot without its mass changing: opened, moved, set aside, its dates and its cost corrected."""

import datetime
from decimal import Decimal
from enum import Enum, auto

from django.db import transaction

from materials import ledger
from materials.models import Lot, Movement
from studio.models import Account


class CostCorrected(Enum):
    """What became of a corrected cost: nothing changed, the stock is worth that now, or only what moves later is."""

    NOT_WANTED = auto()
    IN_THE_BOOKS = auto()
    LATER_ONLY = auto()


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


def change_lot(
    *,
    lot: Lot,
    by: Account | None,
    supplier: str,
    supplier_lot: str,
    kit_code: str,
    received_on: datetime.date,
    expires_on: datetime.date | None,
    unit_cost_per_kg: Decimal | None,
    note: str,
) -> CostCorrected:
    """Correct what was written down of a lot, and say whether the books took over another cost."""
    facts = {
        "supplier": supplier, "supplier_lot": supplier_lot, "kit_code": kit_code, "received_on": received_on,
        "expires_on": expires_on, "note": note,
    }  # fmt: skip

    @transaction.atomic
    def changed() -> CostCorrected:
        Lot.objects.filter(pk=lot.pk).update(**facts)
        return CostCorrected.NOT_WANTED if unit_cost_per_kg is None else _cost_corrected(lot, unit_cost_per_kg, by)

    return ledger.patiently(changed)


def _cost_corrected(lot: Lot, per_kg: Decimal, by: Account | None) -> CostCorrected:
    """Receive a lot anew at its right cost, as long as all that came is still here.

    What has gone out went at the cost that the books had then; nobody can say any more which of it was worth what.
    """
    row = ledger.hold(lot).kept(lot)
    assert isinstance(row, Lot)
    Lot.objects.filter(pk=lot.pk).update(unit_cost_per_kg=per_kg)
    came = list(Movement.objects.filter(lot=lot, kind=Movement.Kind.RECEIVE, reversed_by=None).order_by("pk"))
    all_here = row.on_hand_g > 0 and sum((line.mass_g for line in came), Decimal(0)) == row.on_hand_g
    wrong = [line for line in came if line.unit_cost_per_kg != per_kg]
    if not all_here or not wrong:
        same = row.unit_cost_per_kg == per_kg or not wrong
        return CostCorrected.NOT_WANTED if same else CostCorrected.LATER_ONLY
    for line in wrong:
        # In before out, so that what is promised of it stays promised.
        ledger.receive(of=row, mass_g=line.mass_g, key=f"right-cost-{line.pk}", by=by, why="received anew at its right cost")
        ledger.reverse(movement=line, key=f"wrong-cost-{line.pk}", by=by, why="the cost was wrong")
    return CostCorrected.IN_THE_BOOKS
