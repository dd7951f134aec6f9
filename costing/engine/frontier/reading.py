"""Whose hour it is: what an hour counts, and what material counts, for who reads the ways."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from costing.engine.brief import Terms
from costing.engine.cost import margin_given
from costing.engine.errors import EngineError
from studio.figures import Figure, Given

_CENT = Decimal("0.01")


class Reading(StrEnum):
    """Who pays for hours and material."""

    OWN = "own"
    EMPLOYED = "employed"
    CLIENT = "client"

    @property
    def label(self) -> str:
        """The words a person chooses by."""
        return {"own": "My own time", "employed": "Employed", "client": "The client pays"}[self.value]

    @property
    def cheapest(self) -> str:
        """The words for the way of least cost."""
        return {
            "own": "least with your hours counted", "employed": "cheapest at your rate", "client": "cheapest for the client",
        }[self.value]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """A reading with its numbers.

    `hour` is None where nobody has said what an hour counts; it counts for nothing then. `factor` multiplies material: 1, or the
    markup of the price that a client pays. `rubber_price` is the price in force of the rubber of the plan in use.
    """

    reading: Reading
    hour: Given | Figure | None
    factor: Figure | None = None
    rubber_price: Given | None = None

    @property
    def rate(self) -> float:
        """Return what an hour counts. [money/h]"""
        return self.hour.value if self.hour else 0.0

    @property
    def times(self) -> float:
        """Return what material is multiplied by."""
        return self.factor.value if self.factor else 1.0


def employed_hour(terms: Terms) -> Figure:
    """Return what an hour of employed work costs: labour and overhead. [money/h]"""
    rate, overhead = terms.labour_rate_per_h, terms.overhead_per_h
    return Figure(
        key="hour-employed", label="An hour with overhead", value=rate.value + overhead.value, unit="money/h",
        formula="labour rate + overhead per hour", given=(rate, overhead),
    )  # fmt: skip


def charged_hour(terms: Terms) -> Figure:
    """Return what a client is charged for an hour: its cost with the margin. [money/h]"""
    cost = employed_hour(terms)
    return Figure(
        key="hour-client", label="An hour as it is charged", value=cost.value * price_factor(terms).value, unit="money/h",
        formula="(labour rate + overhead) ÷ (1 − margin)", given=(cost, margin_given(terms)),
    )  # fmt: skip


def price_factor(terms: Terms) -> Figure:
    """Return what a cost is multiplied by to become a price with the margin in it."""
    margin = margin_given(terms)
    return Figure(
        key="price-factor", label="Price to cost", value=1 / (1 - margin.value / 100), unit="1",
        formula="1 ÷ (1 − margin)", given=(margin,),
    )  # fmt: skip


def labour_rate_from(reading: Reading, hour: Decimal, terms: Terms) -> Decimal:
    """Return the labour rate at which an hour counts this much in a reading. [money/h]

    Raises
    ------
    EngineError
        When overhead alone is more than that.
    """
    overhead = Decimal(str(terms.overhead_per_h.value))
    rate = {
        Reading.OWN: lambda: hour,
        Reading.EMPLOYED: lambda: hour - overhead,
        Reading.CLIENT: lambda: hour * (1 - terms.margin_percent / 100) - overhead,
    }[reading]()
    if rate < 0:
        raise EngineError(
            "Overhead alone is more than that an hour, so no labour rate gives it; type a higher rate, or lower the overhead on "
            "the Price page."
        )
    return rate.quantize(_CENT)
