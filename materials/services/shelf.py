"""What stands on the shelf, and what of it wants looking at today."""

import datetime
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Count, F, Min, Q, Sum

from materials.inputs import specs_of
from materials.ledger.masses import rounded
from materials.models import Lot, Material
from materials.science.material import MaterialSpec
from materials.science.mixing import component_shares, kit_use
from materials.services.gel_tests import CURING, GOOD_DAYS, GelTestWanted, gel_test_wanted
from materials.services.kits import KitRemainder, kit_remainders
from studio.figures import WorkingError

SOON_DAYS = 30
# Of each thing to look at no more than these are listed; the others are counted.
LISTED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfLine:
    """One material on the shelf; `usable_g` is promised to nobody, not expired and not set aside.

    `soon_g` is the part of it that expires within `SOON_DAYS`.
    """

    material: Material
    on_hand_g: Decimal
    promised_g: Decimal
    expired_g: Decimal
    set_aside_g: Decimal
    usable_g: Decimal
    soon_g: Decimal
    delivered_g: Decimal
    next_expiry_on: datetime.date | None
    low: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SomeLots:
    """The first of the lots that want looking at, and how many more there are."""

    lots: tuple[Lot, ...] = ()
    more: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """Everything on the shelf and what to look at."""

    lines: tuple[ShelfLine, ...]
    expired: SomeLots
    soon: SomeLots
    set_aside: SomeLots
    to_test: tuple[tuple[Lot, GelTestWanted], ...]
    low: tuple[ShelfLine, ...]
    stranded: tuple[tuple[Material, KitRemainder], ...]
    more_stranded: int

    @property
    def more(self) -> int:
        """How much else wants looking at and is not listed."""
        return self.expired.more + self.soon.more + self.set_aside.more + self.more_stranded

    @property
    def quiet(self) -> bool:
        """Whether nothing wants looking at."""
        return not (self.expired.lots or self.soon.lots or self.set_aside.lots or self.to_test or self.low or self.stranded)


def look_at_shelf(today: datetime.date) -> Shelf:
    """Read the shelf in a handful of queries that add up in the database, however much stands on it."""
    until = today + datetime.timedelta(days=SOON_DAYS)
    lines = _lines(today, until)
    lots = Lot.objects.on_shelf().select_related("material")
    many = _counts(today, until)
    stranded, more_stranded = _stranded(today)
    return Shelf(
        lines=tuple(line for line in lines if line.on_hand_g > 0),
        expired=_some(lots.expired(today).filter(quarantined=False), many["expired"]),
        soon=_some(lots.expiring_by(until, today), many["soon"]),
        set_aside=_some(lots.filter(quarantined=True), many["set_aside"]),
        to_test=_to_test(today),
        low=tuple(line for line in lines if line.low),
        stranded=stranded,
        more_stranded=more_stranded,
    )


def _counts(today: datetime.date, until: datetime.date) -> dict[str, int]:
    """Count the lots that want looking at, by why."""
    good = Q(quarantined=False)
    counts: dict[str, int] = Lot.objects.on_shelf().aggregate(
        expired=Count("pk", filter=good & Q(expires_on__lt=today)),
        soon=Count("pk", filter=good & Q(expires_on__gte=today, expires_on__lte=until)),
        set_aside=Count("pk", filter=Q(quarantined=True)),
    )
    return counts


def _some(lots: Any, many: int) -> SomeLots:
    return SomeLots(lots=tuple(lots[:LISTED]), more=max(many - LISTED, 0))


def _to_test(today: datetime.date) -> tuple[tuple[Lot, GelTestWanted], ...]:
    """Return open containers and aged lots that want a test cup, the first to expire first."""
    recently = today - datetime.timedelta(days=GOOD_DAYS)
    old = Q(opened_on__isnull=False) | Q(expires_on__isnull=False)
    lots = (
        Lot.objects.usable(today)
        .filter(old, Q(gel_tested_on__isnull=True) | Q(gel_tested_on__lt=recently), material__kind__in=CURING)
        .select_related("material")[: LISTED * 4]
    )
    wanted = ((lot, gel_test_wanted(lot, today)) for lot in lots)
    return tuple((lot, why) for lot, why in wanted if why is not None)[:LISTED]


def _lines(today: datetime.date, until: datetime.date) -> list[ShelfLine]:
    good = Q(quarantined=False) & (Q(expires_on__isnull=True) | Q(expires_on__gte=today))
    sums = {
        row["material"]: row
        for row in Lot.objects.on_shelf()
        .order_by()
        .values("material")
        .annotate(
            on_hand=Sum("on_hand_g"),
            promised=Sum("reserved_g"),
            delivered=Sum("received_g"),
            expired=Sum("on_hand_g", filter=Q(expires_on__lt=today, quarantined=False), default=Decimal(0)),
            set_aside=Sum("on_hand_g", filter=Q(quarantined=True), default=Decimal(0)),
            usable=Sum(F("on_hand_g") - F("reserved_g"), filter=good, default=Decimal(0)),
            soon=Sum(F("on_hand_g") - F("reserved_g"), filter=good & Q(expires_on__lte=until), default=Decimal(0)),
            next_expiry=Min("expires_on", filter=Q(expires_on__gte=today, quarantined=False)),
        )
    }
    nothing = dict.fromkeys(("on_hand", "promised", "delivered", "expired", "set_aside", "usable", "soon"), Decimal(0))
    found = []
    for material in Material.objects.weighed().in_bench_order():
        row = sums.get(material.pk, nothing)
        usable = rounded(row["usable"])
        low = material.low_below_g is not None and material.active and usable < material.low_below_g
        if row["on_hand"] <= 0 and not low:
            continue
        found.append(
            ShelfLine(
                material=material,
                on_hand_g=rounded(row["on_hand"]),
                promised_g=rounded(row["promised"]),
                expired_g=rounded(row["expired"]),
                set_aside_g=rounded(row["set_aside"]),
                usable_g=usable,
                soon_g=rounded(row["soon"]),
                delivered_g=rounded(max(row["delivered"], row["on_hand"])),
                next_expiry_on=row.get("next_expiry"),
                low=low,
            )
        )
    return found


def _stranded(today: datetime.date) -> tuple[tuple[tuple[Material, KitRemainder], ...], int]:
    """Return the largest rests of pairings whose A and B no longer match, and how many more there are."""
    free = _free_parts(today)
    specs = specs_of(Material.objects.filter(pk__in=free), priced=False) if free else {}
    rests = []
    for pk, kits in free.items():
        try:
            a, b = (share.value for share in component_shares(specs[pk]))
        except WorkingError:
            continue
        if b <= 0:
            continue
        for code, masses in kits.items():
            use = kit_use(stock_a_g=max(masses["A"], 0.0), stock_b_g=max(masses["B"], 0.0), parts_a=a, parts_b=b)
            rest = max(use.stranded_a_g, use.stranded_b_g)
            if rest >= 1:
                rests.append((rest, pk, code))
    rests.sort(key=lambda one: (-one[0], one[1], one[2]))
    return tuple(_listed(rests[:LISTED], specs, today)), max(len(rests) - LISTED, 0)


def _free_parts(today: datetime.date) -> dict[int, dict[str, dict[str, float]]]:
    """Add up for each material and pairing what is free of A and of B."""
    free: dict[int, dict[str, dict[str, float]]] = defaultdict(lambda: defaultdict(lambda: {"A": 0.0, "B": 0.0}))
    rows = (
        Lot.objects.usable(today)
        .filter(component__in=[Lot.Component.A, Lot.Component.B])
        .order_by()
        .values_list("material", "kit_code", "component")
        .annotate(free=Sum(F("on_hand_g") - F("reserved_g")))
    )
    for material, code, part, mass in rows:
        free[material][code.strip()][part] += float(mass)
    return free


def _listed(
    rests: list[tuple[float, int, str]], specs: dict[int, MaterialSpec], today: datetime.date
) -> Iterator[tuple[Material, KitRemainder]]:
    """Read the lots of a few pairings, and say of each what is left over."""
    wanted = Q(pk__in=[])
    for _, pk, code in rests:
        wanted |= Q(material=pk, kit_code__in={code, f" {code}", f"{code} "})
    lots: dict[tuple[int, str], list[Lot]] = defaultdict(list)
    for lot in Lot.objects.usable(today).filter(wanted).select_related("material"):
        lots[lot.material_id, lot.kit_code.strip()].append(lot)
    for _, pk, code in rests:
        for rest in kit_remainders(spec=specs[pk], lots=lots[pk, code]):
            if rest.stranded is not None:
                yield lots[pk, code][0].material, rest
