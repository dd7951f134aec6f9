"""What to buy by when: whole packs by supplier, and writing them down as ordered in one step."""

import datetime
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from jobs.errors import BuyingRefused
from jobs.services.needs_ahead import NeedLine, needs_ahead
from materials.models import ExpectedDelivery, Material, Pack
from materials.science.buying import PackSize, cheapest_packs
from materials.science.errors import OutsideRange
from materials.science.reorder import most_before_it_spoils
from materials.science.stock_ahead import LEAST_G
from materials.services.expected import cancel, expect, still_expected
from studio.figures import Given, Source, SourceKind
from studio.models import Account

MONTH_DAYS = 30.4375
# Without days of its own a delivery is written down for a week from today; the person sees and changes the day.
UNKNOWN_LEAD_DAYS = 7
BACK_FOR = datetime.timedelta(days=1)
NOTE = "from the buying list"
NO_SUPPLIER = "No supplier known"
_SHEET = Source(kind=SourceKind.COMPUTED, text="months × 30.44 days")


@dataclass(frozen=True, slots=True, kw_only=True)
class PackLine:
    """So many of one pack."""

    pack: Pack
    count: int

    @property
    def price(self) -> Decimal:
        """What they cost before tax."""
        return self.pack.price * self.count

    @property
    def mass_g(self) -> Decimal:
        """What they hold."""
        return (self.pack.mass_g or Decimal(0)) * self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyLine:
    """One material to buy: how much is short, how much would be low, in which packs, and by when. [g]"""

    need: NeedLine
    short_g: float
    low_g: float
    capped: bool
    packs: tuple[PackLine, ...]
    left_g: float
    order_by: datetime.date
    due_on: datetime.date
    trouble: str

    @property
    def material(self) -> Material:
        """Which material."""
        return self.need.material

    @property
    def wanted_g(self) -> float:
        """All that is to be covered."""
        return self.short_g + self.low_g

    @property
    def price(self) -> Decimal:
        """What all packs cost before tax."""
        return sum((one.price for one in self.packs), Decimal(0))

    @property
    def suppliers(self) -> str:
        """Who sells it."""
        return ", ".join(dict.fromkeys(one.pack.supplier for one in self.packs if one.pack.supplier)) or NO_SUPPLIER

    @property
    def seen(self) -> str:
        """What must still be so when it is written down as ordered."""
        packs = "+".join(f"{one.count}x{one.pack.pk}" for one in self.packs)
        return packs or f"{math.ceil(self.wanted_g)} g"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """A line that was ordered: its material, what the page showed of it, and the day it is to arrive."""

    material: int
    seen: str
    due_on: datetime.date


def buying_list(today: datetime.date | None = None) -> list[tuple[str, list[BuyLine]]]:
    """Return what to buy, by supplier, what is to be ordered first before the rest."""
    day = today or timezone.localdate()
    return by_supplier(_lines(needs_ahead(day).lines, day))


def by_supplier(lines: Sequence[BuyLine]) -> list[tuple[str, list[BuyLine]]]:
    """Put lines under their suppliers."""
    found: dict[str, list[BuyLine]] = defaultdict(list)
    for line in sorted(lines, key=lambda line: (line.order_by, line.material.name)):
        found[line.suppliers].append(line)
    return sorted(found.items(), key=lambda group: (group[0] == NO_SUPPLIER, group[0]))


@transaction.atomic
def write_down(*, chosen: Sequence[Chosen], by: Account | None) -> list[ExpectedDelivery]:
    """Write lines of the list down as ordered, all of them or none: a delivery for each size of pack.

    Raises
    ------
    BuyingRefused
        When nothing was chosen, or a line is not what the page showed any more, as when the form comes twice.
    """
    if not chosen:
        raise BuyingRefused("Nothing is ticked. Tick what you have ordered, then write it down.")
    # Locked, so that the same list sent twice at once is not ordered twice.
    list(Material.objects.select_for_update().filter(pk__in=[one.material for one in chosen]).order_by("pk"))
    today = timezone.localdate()
    there = {line.material.pk: line for line in _lines(needs_ahead(today).lines, today)}
    now = timezone.now()
    ordered: list[ExpectedDelivery] = []
    for one in chosen:
        line = there.get(one.material)
        if line is None or line.seen != one.seen:
            raise BuyingRefused(
                "The list has changed since it was shown: something was ordered, reserved or used. "
                "Nothing was written down; look at it again."
            )
        for pack, mass_g in _ordered(line):
            ordered.append(
                expect(
                    material=line.material,
                    pack=pack,
                    mass_g=mass_g,
                    supplier=pack.supplier if pack else "",
                    due_on=one.due_on,
                    note=NOTE,
                    by=by,
                )
            )
    # One moment for all, so that they can be taken back together.
    ExpectedDelivery.objects.filter(pk__in=[one.pk for one in ordered]).update(noted_at=now)
    return ordered


def last_written() -> list[ExpectedDelivery]:
    """Return what was last written down together and is still expected, for a day."""
    open_ones = still_expected().filter(note=NOTE)
    last = open_ones.filter(noted_at__gte=timezone.now() - BACK_FOR).order_by("-noted_at").first()
    return [] if last is None else list(open_ones.filter(noted_at=last.noted_at))


@transaction.atomic
def take_back(*, pks: Sequence[int]) -> int:
    """Cancel what was written down together; return how many deliveries it was."""
    mine = {one.pk for one in last_written()}
    if not mine or not set(pks) <= mine:
        raise BuyingRefused("These were cancelled or have come already. Look at the expected deliveries.")
    for pk in sorted(mine):
        cancel(expected_id=pk)
    return len(mine)


def _ordered(line: BuyLine) -> list[tuple[Pack | None, Decimal]]:
    if line.packs:
        return [(one.pack, one.mass_g) for one in line.packs]
    return [(None, Decimal(math.ceil(line.wanted_g)))]


def _lines(needs: Sequence[NeedLine], today: datetime.date) -> list[BuyLine]:
    packs: dict[int, list[Pack]] = defaultdict(list)
    for pack in Pack.objects.filter(material__in=[need.material.pk for need in needs], mass_g__isnull=False):
        packs[pack.material_id].append(pack)
    found = (_line(need, packs[need.material.pk], today) for need in needs)
    return [line for line in found if line.wanted_g >= LEAST_G]


def _line(need: NeedLine, packs: list[Pack], today: datetime.date) -> BuyLine:
    short_g = need.ahead.short_g
    low_g, capped = _to_the_point(need)
    wanted_g = short_g + low_g
    chosen, left_g, trouble = _packs(wanted_g, packs)
    lead = need.material.lead_days
    first = need.short_on if short_g >= LEAST_G else None
    order_by = today if first is None else max(first - datetime.timedelta(days=lead or 0), today)
    return BuyLine(
        need=need,
        short_g=short_g,
        low_g=low_g,
        capped=capped,
        packs=chosen,
        left_g=left_g,
        order_by=order_by,
        due_on=today + datetime.timedelta(days=UNKNOWN_LEAD_DAYS if lead is None else lead),
        trouble=trouble,
    )


def _to_the_point(need: NeedLine) -> tuple[float, bool]:
    """Return what is lacking to the reorder point, no more than is used up before it spoils; and whether that held it back."""
    if need.low_at_g is None:
        return 0.0, False
    stays_g = max(need.ahead.steps[-1].stock_g, 0.0)
    low_g = max(need.low_at_g - stays_g, 0.0)
    months = need.spec.get("shelf_life_months")
    if low_g < LEAST_G or months is None or need.use.mean is None or need.use.mean.value <= 0:
        return (low_g if low_g >= LEAST_G else 0.0), False
    keeps = Given(label="Keeps", value=months.value * MONTH_DAYS, unit="day", source=_SHEET)
    room_g = max(most_before_it_spoils(use=need.use.mean, shelf_life_days=keeps).value - stays_g, 0.0)
    return min(low_g, room_g), room_g < low_g


def _packs(wanted_g: float, packs: list[Pack]) -> tuple[tuple[PackLine, ...], float, str]:
    if wanted_g < LEAST_G:
        return (), 0.0, ""
    if not packs:
        return (), 0.0, "No pack of it is known; it is listed by mass."
    by_pk = {pack.pk: pack for pack in packs}
    sizes = [PackSize(key=pack.pk, mass_g=float(pack.mass_g or 0), price=pack.price) for pack in packs]
    try:
        found = cheapest_packs(wanted_g, sizes)
    except OutsideRange as refused:
        return (), 0.0, str(refused)
    return tuple(PackLine(pack=by_pk[key], count=count) for key, count in found.packs), found.left_g, ""
