"""What the studio uses of its materials in a day, and when to order them again, from its own lines of use."""

import datetime
import math
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Min, Q, Sum
from django.utils import timezone

from materials.models import Material, Movement
from materials.science.errors import OutsideRange
from materials.science.reorder import ReorderPoint, reorder_point
from materials.services.stock_value import end_of
from studio.figures import Figure, Given, Source, SourceKind

WEEKS = 26
# Fewer weeks tell nothing of how use strays.
LEAST_WEEKS = 4
WEEK_DAYS = 7
_LEDGER = Source(kind=SourceKind.OWN, text="the stock ledger: used less what was put back, weeks without use counted as nought")
_TYPED = Source(kind=SourceKind.OWN, text="typed for this material")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnUse:
    """Use of a day and its spread [g], and the full weeks behind them; none where the weeks are too few."""

    weeks: int
    mean: Figure | None
    spread: Figure | None


def own_use(materials: Collection[int], today: datetime.date, *, weeks: int = WEEKS) -> dict[int, OwnUse]:
    """Return the use of materials in the last full weeks up to yesterday, in two queries however many there are.

    A material counts from its first line on; what was undone was never used. Weeks are summed and their spread is that of a
    day times √7, since what is used on one day says nothing of the next.
    """
    moved = Movement.objects.filter(material__in=materials, book__isnull=False).order_by()
    since = dict(moved.values_list("material").annotate(first=Min("happened_at")))
    ends = [end_of(today - datetime.timedelta(days=WEEK_DAYS * back + 1)) for back in range(weeks + 1)]
    sums = {
        f"week_{back}": Sum("mass_g", filter=Q(happened_at__lt=ends[back], happened_at__gte=ends[back + 1]))
        for back in range(weeks)
    }
    lines = moved.filter(kind__in=Movement.OF_USE, reversed_by=None, happened_at__gte=ends[-1])
    used = {row["material"]: row for row in lines.values("material").annotate(**sums)}
    found: dict[int, OwnUse] = {}
    for material in materials:
        first = since.get(material)
        known = 0 if first is None else min((today - timezone.localtime(first).date()).days // WEEK_DAYS, weeks)
        row = used.get(material, {})
        found[material] = _of_weeks([-float(row.get(f"week_{back}") or 0) for back in range(known)])
    return found


def reorder_of(material: Material, use: OwnUse) -> tuple[ReorderPoint | None, str]:
    """Return when to order a material again, or none and what is missing for it."""
    if material.lead_days is None:
        return None, "How many days a delivery takes is not known; type it on the material’s form."
    if use.mean is None or use.spread is None:
        return None, f"{use.weeks} of {LEAST_WEEKS} weeks of own use are there yet."
    try:
        found = reorder_point(
            use=use.mean,
            use_spread=use.spread,
            lead=Given(label="Days from order to delivery", value=material.lead_days, unit="day", source=_TYPED),
            lead_spread=Given(label="Days that it may be late", value=material.lead_spread_days or 0, unit="day", source=_TYPED),
        )
    except OutsideRange as refused:
        return None, str(refused)
    return found, ""


def _of_weeks(sums_g: list[float]) -> OwnUse:
    weeks = len(sums_g)
    if weeks < LEAST_WEEKS:
        return OwnUse(weeks=weeks, mean=None, spread=None)
    total_g = max(math.fsum(sums_g), 0.0)
    of_a_week = math.fsum(sums_g) / weeks
    spread_g = math.sqrt(math.fsum((one - of_a_week) ** 2 for one in sums_g) / (weeks - 1))
    given = (
        Given(label="Used in that time", value=total_g, unit="g", source=_LEDGER),
        Given(label="Full weeks behind it", value=weeks, unit="1", source=_LEDGER),
    )
    strays = Given(label="Spread of a week’s use", value=spread_g, unit="g", source=_LEDGER)
    mean = Figure(
        key="use_of_a_day", label="Use of a day", value=total_g / weeks / WEEK_DAYS, unit="g", formula="used ÷ weeks ÷ 7",
        given=given,
    )  # fmt: skip
    spread = Figure(
        key="use_spread", label="Spread of a day’s use", value=spread_g / math.sqrt(WEEK_DAYS), unit="g",
        formula="spread of a week’s use ÷ √7", given=(strays,),
    )  # fmt: skip
    return OwnUse(weeks=weeks, mean=mean, spread=spread)
