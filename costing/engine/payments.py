"""When a client pays which part of a price: shares of the total, tied to moments of the work."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from costing.engine.errors import EngineError
from costing.engine.money import round_money
from studio.figures import Figure, Given, Source, SourceKind

USUAL_WEEK = Given(
    label="Hours of a week", value=40.0, unit="h", source=Source(kind=SourceKind.COMMON_PRACTICE, text="a week of 40 h")
)
PAYMENT_RULE = "What is paid so far is the rounded share so far, so that the payments make up the total; the last takes the rest."
LIFTED = "It is more than its share, so that it pays the material and the first week; the later payments share what is left."
_DEPOSIT_RULE = Source(
    kind=SourceKind.COMMON_PRACTICE, text="a deposit covers at least the special materials and the first week of labour"
)


class Moment(StrEnum):
    """A moment of the work at which money is due, in the order of the work."""

    AGREED = "agreed"
    OPENED = "opened"
    READY = "ready"

    @property
    def label(self) -> str:
        """The words a person reads."""
        return {
            "agreed": "Deposit, before work begins",
            "opened": "When the mold is opened",
            "ready": "Balance, before the work leaves the studio",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageShare:
    """The share of the total that is due at a moment. [%]"""

    moment: Moment
    percent: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentStage:
    """A payment: when it is due, and how much with tax; `amount` is exact and rounded, `figure` has the working."""

    moment: Moment
    amount: Decimal
    figure: Figure

    @property
    def label(self) -> str:
        """The words a client reads."""
        return self.moment.label


def shares_or_deposit(stages: Sequence[StageShare], deposit_percent: Decimal) -> tuple[StageShare, ...]:
    """Return the stages asked for, or a deposit and the rest at the end; what has no share is left out."""
    if not 0 <= deposit_percent <= 100:
        raise EngineError("A deposit lies between 0 % and 100 % of the price.")
    asked = tuple(stages) or (
        StageShare(moment=Moment.AGREED, percent=deposit_percent),
        StageShare(moment=Moment.READY, percent=100 - deposit_percent),
    )
    return tuple(stage for stage in asked if stage.percent)


def least_deposit(*, material: Figure, hours: Figure, rate: Given, overhead: Given | Figure, week_h: Given | None) -> Figure:
    """Return what a deposit should cover at least.

    Parameters
    ----------
    material : Figure
        Material of the mold; all of it counts as bought for this job, whatever the shelf may hold. [money]
    hours : Figure
        Hours of the whole job. [h]
    rate, overhead : Given or Figure
        Labour rate, and overhead per hour. [money/h]
    week_h : Given or None
        Bench hours of a week; 40 h where nobody's hours are kept. [h]

    Returns
    -------
    Figure
        material + hours of the first week × (rate + overhead), before tax. [money]
    """
    week = week_h or USUAL_WEEK
    first = Figure(
        key="first-week",
        label="Hours of the first week",
        value=min(hours.value, week.value),
        unit="h",
        formula="hours of the job, at most those of a week",
        given=(hours, week),
    )
    return Figure(
        key="deposit-least",
        label="Material and first week of labour",
        value=material.value + first.value * (rate.value + overhead.value),
        unit="money",
        formula="material of the mold + hours of the first week × (labour rate + overhead per hour)",
        given=(material, first, rate, overhead),
        source=_DEPOSIT_RULE,
        note="All material of the mold counts as bought for this job, whatever the shelf may hold.",
    )


def payment_stages(
    *, gross: Figure, amount: Decimal, shares: Sequence[StageShare], places: int, least: Figure | None = None
) -> tuple[PaymentStage, ...]:
    """Split a total into payments that make it up to the last coin.

    Parameters
    ----------
    gross, amount : Figure, Decimal
        The total with tax as a figure, and as it is printed. [money]
    shares : sequence of StageShare
        Above nought, 100 together, in the order of the work. [%]
    places : int
        Decimals of the currency's minor unit.
    least : Figure or None
        What a payment before work begins comes to at least, where there is one; never more than the total. [money]

    Returns
    -------
    tuple of PaymentStage
        Each is the rounded share so far less what was asked before; the last takes the rest, and their sum is `amount`.
    """
    if sum((stage.percent for stage in shares), Decimal(0)) != 100:
        raise EngineError("The shares of the payments must make up 100 % together.")
    floor = Decimal(0)
    if least is not None and shares[0].moment is Moment.AGREED:
        floor = min(round_money(least.value, places), amount)
    first = round_money(amount * shares[0].percent / 100, places) if len(shares) > 1 else amount
    lifted = floor > first
    found: list[PaymentStage] = []
    paid = so_far = Decimal(0)
    for position, stage in enumerate(shares):
        so_far += stage.percent
        if position == len(shares) - 1:
            until = amount
        elif not lifted:
            until = round_money(amount * so_far / 100, places)
        else:
            beyond = (so_far - shares[0].percent) / (100 - shares[0].percent)
            until = floor + round_money((amount - floor) * beyond, places)
        due, paid = until - paid, until
        figure = _payment(stage, due, gross, least if lifted and position == 0 else None, last=position == len(shares) - 1)
        found.append(PaymentStage(moment=stage.moment, amount=due, figure=figure))
    return tuple(found)


def _payment(stage: StageShare, due: Decimal, gross: Figure, least: Figure | None, *, last: bool) -> Figure:
    share = Given(label="Share", value=float(stage.percent), unit="%")
    formula = "what is left of the total with tax" if last else "total with tax × share"
    return Figure(
        key=f"pay-{stage.moment.value}",
        label=stage.moment.label,
        value=float(due),
        unit="money",
        formula="material and first week of labour, at most the total with tax" if least else formula,
        given=(gross, share, least) if least else (gross, share),
        note=f"{PAYMENT_RULE} {LIFTED}" if least else PAYMENT_RULE,
    )
