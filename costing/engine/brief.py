"""What a price is made from: the plan, what materials cost, and the terms of the job."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from jobs.planning.results import MoldPlan
from studio.figures import Figure, Given

MOST_CASTINGS = 10_000
MOST_BREAKS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialPrice:
    """What a material costs before tax, and the pack it is bought in; None where the studio has not said."""

    name: str
    per_kg: Given | None = None
    pack_mass_g: float | None = None
    own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """The terms a job is priced on; `quantities` are the runs to show a price for."""

    labour_rate_per_h: Given
    overhead_per_h: Given | Figure
    margin_percent: Decimal
    tax_percent: Decimal
    deposit_percent: Decimal
    quantities: tuple[int, ...] = ()
    extra_label: str = ""
    extra_cost: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateBrief:
    """Everything that `make_estimate` needs.

    `prices` holds what is known by material key; `places` the decimals of the currency's minor unit;
    `castings_expected` how many castings one mold of this rubber usually gives; `count` replaces the number of castings
    of the plan.
    """

    plan: MoldPlan
    prices: Mapping[int | str, MaterialPrice]
    terms: Terms
    places: int = 2
    measured: bool = True
    count: int | None = None
    castings_expected: Given | None = None
