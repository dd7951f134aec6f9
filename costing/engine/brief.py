"""What a price is made from: the plan, what materials cost, and the terms of the job."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from costing.engine.payments import StageShare
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
    """The terms a job is priced on.

    `quantities` are the runs to show a price for. A tax of None is `tax_percent`. Without `stages`, `deposit_percent` is due
    before work begins and the rest when all is ready; `deposit_covers_special` lifts the first payment to special material
    and the first week of labour, at most `week_h` hours. `contingency_percentile`, `learning_percent` and `spare_molds` are
    None where nobody has said. Money in the currency's unit.
    """

    labour_rate_per_h: Given
    overhead_per_h: Given | Figure
    margin_percent: Decimal
    tax_percent: Decimal
    deposit_percent: Decimal
    quantities: tuple[int, ...] = ()
    extra_label: str = ""
    extra_cost: Decimal = Decimal(0)
    mold_tax_percent: Decimal | None = None
    casting_tax_percent: Decimal | None = None
    extra_tax_percent: Decimal | None = None
    minimum_charge: Decimal = Decimal(0)
    rush_percent: Decimal = Decimal(0)
    discount_percent: Decimal = Decimal(0)
    discount_label: str = ""
    storage_months: int = 0
    storage_per_month: Decimal = Decimal(0)
    stages: tuple[StageShare, ...] = ()
    deposit_covers_special: bool = False
    week_h: Given | None = None
    contingency_percentile: int | None = None
    learning_percent: Decimal | None = None
    learning_model: str = "cumulative"
    spare_molds: int | None = None

    @property
    def tax_on_mold(self) -> Decimal:
        """Tax on the mold. [%]"""
        return self.tax_percent if self.mold_tax_percent is None else self.mold_tax_percent

    @property
    def tax_on_castings(self) -> Decimal:
        """Tax on the castings. [%]"""
        return self.tax_percent if self.casting_tax_percent is None else self.casting_tax_percent

    @property
    def tax_on_extra(self) -> Decimal:
        """Tax on the other expense. [%]"""
        return self.tax_percent if self.extra_tax_percent is None else self.extra_tax_percent


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateBrief:
    """Everything that `make_estimate` needs.

    `prices` holds what is known by material key; `places` the decimals of the currency's minor unit;
    `castings_expected` how many castings one mold of this rubber usually gives; `count` replaces the number of castings
    of the plan. `contingency` is what is put aside for the cost coming out higher [money]; it is paid once, with the mold.
    `alike` counts the jobs of this kind that were delivered before.
    """

    plan: MoldPlan
    prices: Mapping[int | str, MaterialPrice]
    terms: Terms
    places: int = 2
    measured: bool = True
    count: int | None = None
    castings_expected: Given | None = None
    contingency: Figure | None = None
    alike: int = 0
