"""What the mold maker should look at before a price goes out."""

import math

from costing.engine.breakeven import break_even_units
from costing.engine.brief import EstimateBrief
from costing.engine.castings import Break
from costing.engine.cost import Cost
from costing.engine.makeup import Makeup
from costing.engine.runs.further import Further
from costing.engine.totals import TotalFigures
from studio.figures import Figure, Given, Remark, Source, SourceKind

WEEK_H = 40.0
_DEPOSIT_RULE = Source(
    kind=SourceKind.COMMON_PRACTICE, text="a deposit covers at least the special materials and the first week of labour"
)


def money_remarks(
    brief: EstimateBrief, *, makeup: Makeup, totals: TotalFigures, count: int, mold: Cost, run: Break | None
) -> tuple[Remark, ...]:
    """Gather the remarks on a price: deposit too small, margin of nought, a run that outlives its mold."""
    found: list[Remark] = []
    least = least_deposit(makeup, mold=mold, run=run, brief=brief)
    if totals.deposit.value < least.value:
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
    if brief.terms.margin_percent == 0:
        found.append(Remark(key="margin-nought", text="With no margin the price only pays the cost: every surprise is a loss."))
    found += _life_remarks(brief, count)
    return tuple(found)


def least_deposit(makeup: Makeup, *, mold: Cost, run: Break | None, brief: EstimateBrief) -> Figure:
    """Return what a deposit should cover: all material and labour of at most the first week. [money]"""
    total_h = mold.hours.value + (run.quantity * run.each.hours.value if run else 0.0)
    hours = Given(
        label="Hours of the first week",
        value=min(total_h, WEEK_H),
        unit="h",
        source=Source(kind=SourceKind.COMPUTED, text="at most 40 h"),
    )
    rate = brief.terms.labour_rate_per_h
    return Figure(
        key="deposit-least",
        label="Material and first week of labour",
        value=makeup.material.value + hours.value * rate.value,
        unit="money",
        formula="material + hours of the first week × labour rate",
        given=(makeup.material, hours, rate),
        source=_DEPOSIT_RULE,
    )


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
