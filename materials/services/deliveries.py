"""Receive what was delivered: lots on the shelf, each with its line in the ledger."""

import calendar
import datetime
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from materials import ledger
from materials.errors import BadMass, KeyUsedForOther, NotWeighed, RatioUnknown
from materials.inputs import material_spec
from materials.models import Lot, Material, Movement
from materials.science.mixing import component_shares
from studio.figures import WorkingError
from studio.models import Account

STEP = Decimal("0.001")


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What came: `mass_g` in all; `mass_b_g` the B in it, where that is known better than the mix ratio tells."""

    material: Material
    component: Lot.Component
    mass_g: Decimal
    received_on: datetime.date
    mass_b_g: Decimal | None = None
    unit_cost_per_kg: Decimal = Decimal(0)
    expires_on: datetime.date | None = None
    supplier: str = ""
    supplier_lot: str = ""
    place: str = ""
    kit_code: str = ""
    note: str = ""


def expiry_after(received_on: datetime.date, months: float) -> datetime.date | None:
    """Return the day that a shelf life ends: whole months by the calendar, the rest in days of a 30.4-day month."""
    whole = int(months)
    year, month = divmod(received_on.year * 12 + received_on.month - 1 + whole, 12)
    if year > 9998:
        return None
    day = min(received_on.day, calendar.monthrange(year, month + 1)[1])
    return datetime.date(year, month + 1, day) + datetime.timedelta(days=round((months - whole) * 30.4375))


def receive_delivery(*, delivery: Delivery, key: str, by: Account | None) -> list[Lot]:
    """Put a delivery on the shelf; an A and B that came together become two lots that belong together."""
    if delivery.material.counted:
        raise NotWeighed(f"{delivery.material.name} is counted by the piece and not kept by mass.")
    parts = _parts(delivery)
    first = _received_before(key, delivery, parts)
    if first:
        return first
    return ledger.patiently(lambda: _put_on_shelf(delivery, parts, key, by)) or _received_before(key, delivery, parts)


def _put_on_shelf(delivery: Delivery, parts: list[tuple[Lot.Component, Decimal]], key: str, by: Account | None) -> list[Lot]:
    """Write the lots and their lines in one transaction; none where the same form was written meanwhile."""
    with transaction.atomic():
        lots = [_lot(delivery, component) for component, _ in parts]
        ledger.hold(*lots)
        if len(lots) == 2 and not delivery.kit_code:
            Lot.objects.filter(pk__in=[lot.pk for lot in lots]).update(kit_code=f"K{lots[0].pk}")
        try:
            for lot, (component, mass) in zip(lots, parts, strict=True):
                ledger.receive(of=lot, mass_g=mass, key=_part_key(key, component), by=by, why="delivered")
        except KeyUsedForOther:
            # The same form came twice at once; the other one is on the shelf already and this one is not needed.
            transaction.set_rollback(True)
            lots = []
    return lots


def _parts(delivery: Delivery) -> list[tuple[Lot.Component, Decimal]]:
    """Split what came into the lots it is kept as."""
    if delivery.component != Lot.Component.KIT:
        return [(delivery.component, delivery.mass_g)]
    if delivery.mass_b_g is None:
        try:
            _, share_b = component_shares(material_spec(delivery.material))
        except WorkingError as unknown:
            raise RatioUnknown(f"{unknown} Or type how much of the delivery is B.") from unknown
        mass_b = (delivery.mass_g * Decimal(str(share_b.value))).quantize(STEP)
    else:
        mass_b = delivery.mass_b_g
    if not 0 < mass_b < delivery.mass_g:
        raise BadMass("The mass of B must be more than nought and less than all that came.")
    return [(Lot.Component.A, delivery.mass_g - mass_b), (Lot.Component.B, mass_b)]


def _lot(delivery: Delivery, component: Lot.Component) -> Lot:
    return Lot.objects.create(
        material=delivery.material,
        component=component,
        kit_code=delivery.kit_code,
        supplier_lot=delivery.supplier_lot,
        supplier=delivery.supplier,
        received_on=delivery.received_on,
        expires_on=delivery.expires_on,
        place=delivery.place,
        unit_cost_per_kg=delivery.unit_cost_per_kg,
        note=delivery.note,
    )


def _part_key(key: str, component: Lot.Component) -> str:
    return f"{key}-{component.value}"


def _received_before(key: str, delivery: Delivery, parts: list[tuple[Lot.Component, Decimal]]) -> list[Lot]:
    """Return the lots that this very form has put on the shelf already; another form under its key is refused."""
    keys = [_part_key(key, component) for component in Lot.Component]
    lines = list(Movement.objects.filter(idempotency_key__in=keys).select_related("lot").order_by("pk"))
    if not lines:
        return []
    lots = [line.lot for line in lines if line.lot is not None]
    came = [(Lot.Component(lot.component), line.mass_g) for lot, line in zip(lots, lines, strict=True)]
    if came != parts or any(lot.material_id != delivery.material.pk for lot in lots):
        raise KeyUsedForOther(
            "This delivery was already written with other figures. Look at the shelf, then load the page again."
        )
    return lots
