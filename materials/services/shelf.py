"""What stands on the shelf, and what of it wants looking at today."""

import datetime
from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from materials.inputs import specs_of
from materials.models import Lot, Material
from materials.services.kits import KitRemainder, kit_remainders

SOON_DAYS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfLine:
    """One material on the shelf; `usable_g` is promised to nobody, not expired and not set aside."""

    material: Material
    on_hand_g: Decimal
    promised_g: Decimal
    expired_g: Decimal
    set_aside_g: Decimal
    usable_g: Decimal
    delivered_g: Decimal
    next_expiry_on: datetime.date | None
    low: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """Everything on the shelf and what to look at."""

    lines: tuple[ShelfLine, ...]
    expired: tuple[Lot, ...]
    soon: tuple[Lot, ...]
    set_aside: tuple[Lot, ...]
    low: tuple[ShelfLine, ...]
    stranded: tuple[tuple[Material, KitRemainder], ...]

    @property
    def quiet(self) -> bool:
        """Whether nothing wants looking at."""
        return not (self.expired or self.soon or self.set_aside or self.low or self.stranded)


def look_at_shelf(today: datetime.date) -> Shelf:
    """Read the shelf in a handful of queries, however much stands on it."""
    lots = list(Lot.objects.on_shelf().select_related("material"))
    usable = [lot for lot in lots if not lot.quarantined and not lot.expired_by(today)]
    lines = _lines(usable, today)
    until = today + datetime.timedelta(days=SOON_DAYS)
    return Shelf(
        lines=tuple(line for line in lines if line.on_hand_g > 0),
        expired=tuple(lot for lot in lots if lot.expired_by(today) and not lot.quarantined),
        soon=tuple(lot for lot in usable if lot.expires_on is not None and lot.expires_on <= until),
        set_aside=tuple(lot for lot in lots if lot.quarantined),
        low=tuple(line for line in lines if line.low),
        stranded=tuple(_stranded(usable)),
    )


def _lines(usable: list[Lot], today: datetime.date) -> list[ShelfLine]:
    free: dict[int, Decimal] = defaultdict(Decimal)
    for lot in usable:
        free[lot.material_id] += lot.free_g
    found = []
    for material in Material.objects.weighed().in_bench_order().with_balances(today):
        low = material.low_below_g is not None and material.active and free[material.pk] < material.low_below_g
        if material.on_hand_g <= 0 and not low:
            continue
        found.append(
            ShelfLine(
                material=material,
                on_hand_g=material.on_hand_g,
                promised_g=material.reserved_g,
                expired_g=material.expired_g,
                set_aside_g=material.set_aside_g,
                usable_g=free[material.pk],
                delivered_g=max(material.delivered_g, material.on_hand_g),
                next_expiry_on=material.next_expiry_on,
                low=low,
            )
        )
    return found


def _stranded(usable: list[Lot]) -> list[tuple[Material, KitRemainder]]:
    """Return the rest of each pairing whose A and B no longer match."""
    paired: dict[int, list[Lot]] = defaultdict(list)
    for lot in usable:
        if lot.component in {Lot.Component.A, Lot.Component.B}:
            paired[lot.material_id].append(lot)
    specs = specs_of(Material.objects.filter(pk__in=paired))
    found = []
    for pk, lots in paired.items():
        rests = kit_remainders(spec=specs[pk], lots=lots)
        found += [(lots[0].material, rest) for rest in rests if rest.stranded is not None]
    return found
