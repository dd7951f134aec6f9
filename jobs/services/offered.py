"""What of the studio's stock an alternative may take: a thickener for this rubber, a bin whose scrap bonds to it."""

from collections.abc import Iterable, Mapping

from jobs.models import Plan
from materials.models import ScrapBin
from materials.properties import Chemistry
from materials.science.bonding import additive_verdict, scrap_verdict
from materials.science.compatibility import Outcome
from materials.science.material import MaterialSpec

DOSE = "dose_percent"


def offered_thickener(rubber: MaterialSpec, at_hand: Iterable[MaterialSpec]) -> MaterialSpec | None:
    """Choose the thickener that suits a rubber best: of its own chemistry first, then one with a price; None where none does."""
    suits = [
        one
        for one in at_hand
        if one.get(DOSE) is not None
        and additive_verdict(rubber=rubber.chemistry, additive=one.chemistry, name=one.name).allowed
    ]  # fmt: skip
    return min(
        suits, key=lambda one: (one.chemistry is not rubber.chemistry, one.price_per_kg is None, one.name), default=None
    )  # fmt: skip


def offered_scrap(plan: Plan, specs: Mapping[int, MaterialSpec]) -> ScrapBin | None:
    """Choose the bin that a plan may take: its own, or the fullest of those whose scrap bonds best; None where none bonds."""
    if plan.scrap_bin is not None:
        return plan.scrap_bin
    rubber = specs.get(plan.rubber_id or 0)
    if rubber is None:
        return None
    ranked: list[tuple[bool, float, int, ScrapBin]] = []
    for row in ScrapBin.objects.order_by("pk"):
        free = float(row.on_hand_g - row.reserved_g)
        verdict = scrap_verdict(
            rubber=rubber.chemistry, rubber_family=rubber.family, scrap=Chemistry(row.chemistry), scrap_family=row.family
        )
        if free > 0 and verdict.allowed:
            ranked.append((verdict.outcome is not Outcome.GOOD, -free, row.pk, row))
    return min(ranked, key=lambda one: one[:3])[3] if ranked else None
