"""Totals of printed lines as figures: net, tax, gross, deposit and what is left to pay."""

from dataclasses import dataclass
from decimal import Decimal

from costing.engine.errors import EngineError
from costing.engine.money import RULE, PricedLine, Totals, add_up, round_money
from studio.figures import Figure, Given


@dataclass(frozen=True, slots=True, kw_only=True)
class TotalFigures:
    """Totals with their working; `exact` holds the printed amounts."""

    exact: Totals
    net: Figure
    tax: Figure
    gross: Figure
    deposit: Figure
    balance: Figure
    deposit_amount: Decimal


def deposit_of(*, gross: Decimal, deposit_percent: Decimal, places: int) -> Decimal:
    """Return the deposit on a gross total, rounded by the rule; the rest is the balance. [money]"""
    if not 0 <= deposit_percent <= 100:
        raise EngineError("A deposit lies between 0 % and 100 % of the price.")
    return round_money(gross * deposit_percent / 100, places)


def total_figures(*, lines: tuple[PricedLine, ...], deposit_percent: Decimal, places: int) -> TotalFigures:
    """Add up printed lines and split off the deposit.

    Parameters
    ----------
    lines : tuple of PricedLine
        Every amount already rounded.
    deposit_percent : Decimal
        Share of the gross total that is due before work starts, 0 to 100. [%]
    places : int
        Decimals of the currency's minor unit.

    Returns
    -------
    TotalFigures
        net + tax = gross and deposit + balance = gross, to the cent.
    """
    exact = add_up(lines)
    net = _money("total-net", "Total before tax", exact.net, "sum of the lines", tuple(_given(line) for line in lines))
    tax_givens = tuple(Given(label=f"Tax on {line.text.lower()}", value=float(line.tax), unit="money") for line in lines)
    tax = _money("total-tax", "Tax", exact.tax, "sum of the tax on each line", tax_givens)
    gross = _money("total-gross", "Total with tax", exact.gross, "total before tax + tax", (net, tax))
    amount = deposit_of(gross=exact.gross, deposit_percent=deposit_percent, places=places)
    percent = Given(label="Deposit", value=float(deposit_percent), unit="%")
    deposit = _money("deposit", "Deposit", amount, "total with tax × deposit", (gross, percent))
    balance = _money("balance", "Balance", exact.gross - amount, "total with tax − deposit", (gross, deposit))
    return TotalFigures(exact=exact, net=net, tax=tax, gross=gross, deposit=deposit, balance=balance, deposit_amount=amount)


def _given(line: PricedLine) -> Given:
    return Given(
        label=line.text if line.quantity == 1 else f"{line.quantity:f} × {line.text}", value=float(line.net), unit="money"
    )


def _money(key: str, label: str, value: Decimal, formula: str, given: tuple[Given | Figure, ...]) -> Figure:
    return Figure(key=key, label=label, value=float(value), unit="money", formula=formula, given=given, note=RULE)
