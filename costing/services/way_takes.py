"""What one way of a job spends, and everything that it takes besides."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils import timezone

from costing.engine.brief import MaterialPrice, Terms
from costing.engine.frontier.reading import Reading, Stance
from costing.engine.frontier.takes import HandHours, days_to_end, hours_by_hand, machine_hours, money_by_kind
from costing.engine.spend import SpendLine, material_spend
from costing.inputs import PlannedJob
from jobs.planning.results import MoldPlan
from jobs.services.alternatives import Way
from materials.properties import MaterialKind
from materials.science.material import MaterialSpec
from materials.science.scrap_value import ScrapWorth
from materials.services.scrap_worth import CUTTING, SEATING, worth_of
from materials.services.scrap_worth import Terms as ScrapTerms
from studio.figures import Figure, Given, Remark

G_PER_KG = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class WaySpend:
    """What the materials of a way cost in a reading, and how much of the rubber whose price may move is in it (kg)."""

    key: str
    lines: tuple[SpendLine, ...]
    material: Figure
    rubber: Figure
    extra: Given | None
    remarks: tuple[Remark, ...]

    def cost(self, hours: Figure, stance: Stance) -> Figure:
        """Return material, other expense and hours together. [money]"""
        label, formula = {
            Reading.OWN: ("Out of pocket, with your hours counted", "money out of pocket + hours × what an hour is worth"),
            Reading.EMPLOYED: ("Cost", "material + hours × an hour with overhead"),
            Reading.CLIENT: ("Price before tax", "material with markup + hours × an hour as it is charged"),
        }[stance.reading]
        given: list[Given | Figure] = [self.material, hours]
        value = self.material.value + hours.value * stance.rate
        if stance.hour is not None:
            given.append(stance.hour)
        if self.extra is not None:
            value += self.extra.value * stance.times
            formula += " + other expense"
            given.append(self.extra)
        return Figure(
            key=f"{self.key}-cost", label=label, value=value, unit="money", formula=formula, given=tuple(given),
            note="Before tax, rounding, haste, discount and least charge." if stance.reading is Reading.CLIENT else "",
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Takes:
    """What a way takes, kind by kind; money is left out where it may not be seen."""

    money: tuple[Figure, ...]
    scrap_mass: Figure
    scrap: ScrapWorth | None
    hands: tuple[HandHours, ...]
    machines: tuple[Figure, ...]
    days: Figure
    priced_rubber: Figure

    def moved(self) -> Iterator[Figure]:
        """Go through the figures that another price moves."""
        yield from self.money
        if self.scrap is not None:
            yield self.scrap.value


def spend_of(
    key: str,
    job: PlannedJob,
    prices: Mapping[int | str, MaterialPrice],
    rubber_key: int | None,
    stance: Stance | None,
    terms: Terms,
) -> WaySpend:
    """Price the materials of a way at the rubber's price in force, with the markup of a client's reading."""
    if stance is not None and rubber_key is not None and rubber_key in prices and stance.rubber_price is not None:
        prices = {**prices, rubber_key: replace(prices[rubber_key], per_kg=stance.rubber_price)}
    spend = material_spend(plan=job.mold, prices=prices, count=job.mold.casting.count if job.mold.casting else 0)
    costs = tuple(line.cost for line in spend.lines if line.cost is not None)
    note = "What is used counts, not whole packs. Old rubber of the studio's own is not charged."
    bare = Figure(
        key=f"{key}-material", label="Material", value=math.fsum(cost.value for cost in costs), unit="money",
        formula="sum of used mass × price per mass", given=costs, note=note + _missing(spend.left_out),
    )  # fmt: skip
    factor = stance.factor if stance else None
    material = bare if factor is None else Figure(
        key=f"{key}-material", label="Material with markup", value=bare.value * factor.value, unit="money",
        formula="material ÷ (1 − margin)", given=(replace(bare, key=f"{key}-material-bare"), factor),
    )  # fmt: skip
    extra = Given(label=terms.extra_label or "Other expense", value=float(terms.extra_cost), unit="money")
    return WaySpend(
        key=key,
        lines=spend.lines,
        material=material,
        rubber=_rubber(key, spend.lines, rubber_key, factor),
        extra=extra if terms.extra_cost else None,
        remarks=spend.remarks,
    )


def takes_of(
    key: str,
    way: Way,
    mold: MoldPlan,
    spend: WaySpend,
    hands: Mapping[str, Any],
    stance: Stance | None,
    terms: Terms,
    specs: Mapping[int, MaterialSpec],
) -> Takes:
    """Gather what a way takes besides its sums."""
    kinds: dict[int | str, MaterialKind] = {pk: spec.kind for pk, spec in specs.items()}
    return Takes(
        money=money_by_kind(key, spend.lines, kinds) if stance else (),
        scrap_mass=replace(mold.scrap, key=f"{key}-scrap-mass"),
        scrap=_scrap(key, way, mold, stance) if stance else None,
        hands=hours_by_hand(key, mold.tasks, hands, terms.labour_rate_per_h),
        machines=machine_hours(key, mold.tasks),
        days=days_to_end(key, mold),
        priced_rubber=spend.rubber,
    )


def _rubber(key: str, lines: Sequence[SpendLine], rubber_key: int | None, factor: Figure | None) -> Figure:
    masses = tuple(line.mass for line in lines if line.material_key == rubber_key)
    kilograms = math.fsum(mass.value for mass in masses) / G_PER_KG
    if factor is None:
        return Figure(
            key=f"{key}-priced-rubber", label="Rubber of this price", value=kilograms, unit="kg", formula="sum of its masses",
            given=masses,
        )  # fmt: skip
    return Figure(
        key=f"{key}-priced-rubber", label="Rubber of this price, with markup", value=kilograms * factor.value, unit="kg",
        formula="sum of its masses ÷ (1 − margin)", given=(*masses, factor),
    )  # fmt: skip


def _scrap(key: str, way: Way, mold: MoldPlan, stance: Stance) -> ScrapWorth | None:
    """Return what the old rubber in a way is worth, as its bin is valued: less the seating, and the cutting if it is unwashed."""
    scrap_bin, rubber = way.plan.scrap_bin, way.alternative.brief.rubber
    if mold.scrap.value <= 0 or scrap_bin is None:
        return None
    if rubber.key == way.plan.rubber_id and stance.rubber_price is not None:
        rubber = replace(rubber, price_per_kg=stance.rubber_price)
    rates = way.alternative.brief.rates
    minutes = [rates[SEATING], *(() if scrap_bin.washed else (rates[CUTTING],))]
    labour = Given(label="An hour", value=stance.rate, unit="money/h")
    held = ScrapTerms(rubbers=(), rates=rates, labour=labour, today=timezone.localdate())
    return worth_of(mold.scrap, rubber, minutes, held, prefix=f"{key}-scrap")


def _missing(names: Sequence[str]) -> str:
    return f" Without a price: {', '.join(names)}." if names else ""
