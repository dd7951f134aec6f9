"""What the mold maker should look at before a price goes out."""

import math
from collections.abc import Sequence

from costing.engine.breakeven import break_even_units
from costing.engine.brief import EstimateBrief
from costing.engine.castings import Break
from costing.engine.cost import Cost
from costing.engine.lines import DISCOUNT, MINIMUM, STORAGE, Charge
from costing.engine.makeup import Makeup
from costing.engine.runs.further import Further
from costing.engine.totals import TotalFigures
from studio.figures import Figure, Given, Remark

WEEK_H = 40.0


def money_remarks(
    brief: EstimateBrief, *, makeup: Makeup, totals: TotalFigures, count: int, least: Figure, charges: Sequence[Charge]
) -> tuple[Remark, ...]:
    """Gather the remarks on a price: below cost, margin of nought, terms that undo each other, deposit too small, mold's life."""
    found = [*_margin_remarks(brief, makeup, charges), *_terms_remarks(brief, charges)]
    coin = 10**-brief.places
    if least.value - totals.deposit.value > 0.51 * coin and totals.deposit_amount < totals.exact.gross:
        found.append(
            Remark(
                key="deposit-small",
                text=(
                    "The deposit does not cover the material and the first week of labour: the studio would be lending "
                    "the client the difference. Ask for a larger share up front."
                ),
                figures=(totals.deposit, least),
            )
        )
    found += _life_remarks(brief, count)
    return tuple(found)


def _margin_remarks(brief: EstimateBrief, makeup: Makeup, charges: Sequence[Charge]) -> list[Remark]:
    loss, coin = makeup.cost.value - makeup.net.value, 10**-brief.places
    if loss >= 0.5 * coin:
        discounted = any(charge.line.kind == DISCOUNT for charge in charges)
        shortfall = Figure(
            key="below-cost",
            label="Below cost by",
            value=loss,
            unit="money",
            formula="cost − price before tax",
            given=(makeup.cost, makeup.net),
        )
        why = (
            "The discount takes more than the margin: this price lies below cost."
            if discounted
            else "This price lies below cost."
        )
        return [
            Remark(key="below-cost", text=f"{why} The studio would pay the difference, as below.", figures=(shortfall,)),
        ]
    if brief.terms.margin_percent == 0:
        return [Remark(key="margin-nought", text="With no margin the price only pays the cost: every surprise is a loss.")]
    return []


def _terms_remarks(brief: EstimateBrief, charges: Sequence[Charge]) -> list[Remark]:
    terms, kinds = brief.terms, {charge.line.kind for charge in charges}
    found = []
    if {DISCOUNT, MINIMUM} <= kinds:
        found.append(
            Remark(
                key="discount-undone",
                text=(
                    "The least charge takes back some or all of the discount. Type a smaller least charge for this job, "
                    "or leave the discount out."
                ),
            )
        )
    if terms.storage_months and STORAGE not in kinds:
        found.append(
            Remark(
                key="storage-free",
                text="Months of storage are counted, but a month costs nothing: type what it costs, or clear the months.",
            )
        )
    return found


def castings_to_pay_mold(mold: Cost, run: Break, further: Further | None = None) -> Figure | None:
    """Return how many castings pay for the molds when nobody pays for them separately; None when none ever does."""
    price, variable = float(run.each.unit_price), run.each.cost.value
    if price <= variable:
        return None
    given: tuple[Given | Figure, ...]
    fixed, given, words = mold.cost.value, (mold.cost, run.each.price, run.each.cost), "cost of the mold"
    if further is not None:
        number = Given(label="Further molds", value=further.count, unit="1")
        fixed, given = fixed + further.count * further.each.cost.value, (*given, number, further.each.cost)
        words = "(cost of the mold + further molds × cost of each)"
    units = break_even_units(fixed=fixed, price=price, variable=variable)
    return Figure(
        key="break-even",
        label="Castings that pay for an unpaid mold",
        value=math.ceil(units - 1e-9),
        unit="1",
        formula=f"{words} ÷ (price of a casting − cost of a casting), rounded up",
        given=given,
        note="If the mold is not charged, this many castings must be sold at this price before the job earns anything.",
    )


def _life_remarks(brief: EstimateBrief, count: int) -> list[Remark]:
    life = brief.castings_expected
    most = max((count, *brief.terms.quantities), default=0)
    molds = brief.plan.molds + (brief.terms.spare_molds or 0)
    if life is None or most <= life.value * molds:
        return []
    more = "second mold" if molds == 1 else "further mold"
    return [
        Remark(
            key="outlives-mold",
            text=(
                f"A mold of this rubber usually gives about {life.value:.0f} castings; prices for more than "
                f"{'that' if molds == 1 else f'{life.value * molds:.0f} from {molds} molds'} leave out the {more} that the run "
                "will need."
            ),
        )
    ]
