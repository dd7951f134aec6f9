"""Totals of printed lines as figures: net, tax by rate, gross, and the payments that make it up."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from costing.engine.money import RULE, PricedLine, Totals, add_up
from costing.engine.payments import Moment, PaymentStage, StageShare, payment_stages
from studio.figures import Figure, Given


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxAtRate:
    """All lines of one tax rate: their sum before tax, and the sum of their taxes."""

    percent: Decimal
    net: Decimal
    tax: Decimal
    figure: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class TotalFigures:
    """Totals with their working; `exact` holds the printed amounts.

    `deposit` is what is due before work begins, nought where nothing is; `balance` is all that comes after it.
    """

    exact: Totals
    net: Figure
    tax: Figure
    taxes: tuple[TaxAtRate, ...]
    gross: Figure
    stages: tuple[PaymentStage, ...]
    deposit: Figure
    balance: Figure
    deposit_amount: Decimal


def total_figures(
    *, lines: Sequence[PricedLine], shares: Sequence[StageShare], places: int, least: Figure | None = None
) -> TotalFigures:
    """Add up printed lines and split the total into payments.

    Parameters
    ----------
    lines : sequence of PricedLine
        Every amount already rounded.
    shares : sequence of StageShare
        When which share of the gross total is due; 100 together. [%]
    places : int
        Decimals of the currency's minor unit.
    least : Figure or None
        What a payment before work begins comes to at least. [money]

    Returns
    -------
    TotalFigures
        net + tax = gross, the taxes by rate make up the tax, and the payments make up gross, to the cent.
    """
    exact = add_up(lines)
    net = _money("total-net", "Total before tax", exact.net, "sum of the lines", tuple(_given(line) for line in lines))
    taxes = taxes_of(lines)
    of_rates = tuple(item.figure for item in taxes)
    tax = (
        of_rates[0].renamed(key="total-tax", label="Tax")
        if len(of_rates) == 1
        else _money("total-tax", "Tax", exact.tax, "sum of the tax at each rate", of_rates)
    )
    gross = _money("total-gross", "Total with tax", exact.gross, "total before tax + tax", (net, tax))
    stages = payment_stages(gross=gross, amount=exact.gross, shares=shares, places=places, least=least)
    upfront = next((stage for stage in stages if stage.moment is Moment.AGREED), None)
    amount = Decimal(0) if upfront is None else upfront.amount
    deposit = (
        _money("deposit", "Deposit", amount, "nothing is due before work begins", (gross,))
        if upfront is None
        else upfront.figure.renamed(key="deposit", label="Deposit")
    )
    return TotalFigures(
        exact=exact,
        net=net,
        tax=tax,
        taxes=taxes,
        gross=gross,
        stages=stages,
        deposit=deposit,
        balance=_money("balance", "Balance", exact.gross - amount, "total with tax − deposit", (gross, deposit)),
        deposit_amount=amount,
    )


def taxes_of(lines: Sequence[PricedLine]) -> tuple[TaxAtRate, ...]:
    """Add up the taxes of lines by rate, in the order of the lines."""
    groups: dict[Decimal, list[PricedLine]] = {}
    for line in lines:
        groups.setdefault(line.tax_percent, []).append(line)
    found = []
    for percent, group in groups.items():
        totals = add_up(group)
        given = (
            Given(label="Rate", value=float(percent), unit="%"),
            *(Given(label=f"Tax on {line.text.lower()}", value=float(line.tax), unit="money") for line in group),
        )
        key = f"tax-{percent.normalize():f}".replace(".", "-")
        figure = _money(key, "Tax", totals.tax, "sum of the tax on each line", given)
        found.append(TaxAtRate(percent=percent, net=totals.net, tax=totals.tax, figure=figure))
    return tuple(found)


def _given(line: PricedLine) -> Given:
    return Given(
        label=line.text if line.quantity == 1 else f"{line.quantity:f} × {line.text}", value=float(line.net), unit="money"
    )


def _money(key: str, label: str, value: Decimal, formula: str, given: tuple[Given | Figure, ...]) -> Figure:
    return Figure(key=key, label=label, value=float(value), unit="money", formula=formula, given=given, note=RULE)
