"""When to order again and how much: the reorder point with its safety stock, and an order capped by the shelf life."""

import math
from dataclasses import dataclass
from statistics import NormalDist

from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import OutsideRange
from studio.figures import Figure, Given, Source, SourceKind

LEAST_READY, MOST_READY = 50.0, 99.9
LONGEST_LEAD_DAYS = 365.0
DAYS_OF_A_YEAR = 365.0
USUAL_READY = Given(
    label="Never short in",
    value=95.0,
    unit="%",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="of 100 orders, 95 come before the shelf is empty"),
)
NORMAL = Source(kind=SourceKind.STANDARD, text="quantile of the normal distribution")
TEXTBOOK = Source(kind=SourceKind.PUBLISHED, text="Stevenson, Operations Management, chapter on inventory")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReorderPoint:
    """Order when less than `point` is at hand or on its way; `safety` is the part of it that is kept against surprise. [g]"""

    safety: Figure
    point: Figure


def quantile(ready_percent: float) -> float:
    """Return how many standard deviations of stock leave so many of 100 orders without a shortage.

    Raises
    ------
    OutsideRange
        Below 50 %, where no stock would be kept at all, and above 99.9 %, where the normal distribution says nothing any more.
    """
    if not LEAST_READY <= ready_percent <= MOST_READY:
        raise OutsideRange(
            f"How often the shelf must not run short has to lie between {LEAST_READY:g} and {MOST_READY:g} %; "
            "choose another share."
        )
    return NormalDist().inv_cdf(ready_percent / 100)


def reorder_point(
    *,
    use: Given | Figure,
    use_spread: Given | Figure,
    lead: Given,
    lead_spread: Given,
    ready: Given = USUAL_READY,
) -> ReorderPoint:
    """Compute the reorder point of a material.

    Parameters
    ----------
    use, use_spread : Given or Figure
        Mean use of a day and its standard deviation, nought or more. [g]
    lead, lead_spread : Given
        Days from order to delivery, more than nought and no more than a year, and their standard deviation. [1]
    ready : Given
        Share of orders that come before the shelf is empty. [%]

    Raises
    ------
    OutsideRange
        When a number is outside those ranges.

    Notes
    -----
    Use × lead + z × √(lead × spread of use² + use² × spread of lead²), days taken as independent of each other. What jobs are
    known to need is not in it: it guards what is not known yet.
    """
    if not nought_or_more(use.value, use_spread.value, lead_spread.value):
        raise OutsideRange("Use, its spread and the days that a delivery may be late must be nought or more.")
    if not (above_nought(lead.value) and lead.value <= LONGEST_LEAD_DAYS and lead_spread.value <= LONGEST_LEAD_DAYS):
        raise OutsideRange("From order to delivery it must take more than no day and no more than a year.")
    z = quantile(ready.value)
    spread = math.sqrt(lead.value * use_spread.value**2 + use.value**2 * lead_spread.value**2)
    quantity = Given(label="Standard deviations kept", value=z, unit="1", source=NORMAL)
    over_lead = Figure(
        key="use_spread_over_lead", label="Spread of use until it comes", value=spread, unit="g",
        formula="√(days × spread of a day’s use² + use of a day² × spread of the days²)",
        given=(use, use_spread, lead, lead_spread), source=TEXTBOOK,
    )  # fmt: skip
    safety = Figure(
        key="safety_stock", label="Kept against surprise", value=z * spread, unit="g",
        formula="standard deviations × spread of use until it comes", given=(ready, quantity, over_lead), source=TEXTBOOK,
    )  # fmt: skip
    point = Figure(
        key="reorder_point", label="Order again below", value=use.value * lead.value + safety.value, unit="g",
        formula="use of a day × days until it comes + what is kept against surprise", given=(use, lead, safety), source=TEXTBOOK,
    )  # fmt: skip
    return ReorderPoint(safety=safety, point=point)


def most_before_it_spoils(*, use: Given | Figure, shelf_life_days: Given | Figure) -> Figure:
    """Return what is used up within the shelf life: more than that at once is thrown away. [g]"""
    if not nought_or_more(use.value) or not above_nought(shelf_life_days.value):
        raise OutsideRange("Use must be nought or more and the shelf life longer than no day.")
    return Figure(
        key="most_before_it_spoils", label="Used up within its shelf life", value=use.value * shelf_life_days.value, unit="g",
        formula="use of a day × days that it keeps", given=(use, shelf_life_days),
    )  # fmt: skip


def economic_order(
    *, use_per_year: float, cost_of_an_order: float, keeping_per_unit_year: float, most: float | None = None
) -> float:
    """Return the order at which ordering and keeping cost least together, in the unit of use, no more than `most`.

    Notes
    -----
    √(2 × use of a year × cost of an order ÷ cost of keeping one unit for a year); `most` is what is used up before it spoils.
    """
    if not above_nought(use_per_year, cost_of_an_order, keeping_per_unit_year):
        raise OutsideRange("The use of a year, what an order costs and what keeping costs must be more than nought.")
    if most is not None and not above_nought(most):
        raise OutsideRange("What keeps until it is used must be more than nought; nothing can be ordered ahead.")
    order = math.sqrt(2 * use_per_year * cost_of_an_order / keeping_per_unit_year)
    return order if most is None else min(order, most)
