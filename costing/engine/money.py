"""The one rounding rule, and lines that add up as printed.

Rule: an amount is rounded half up to the currency's minor unit once for each printed line (unit price, net, tax);
totals are sums of rounded lines, so that whoever adds up the print arrives at the printed total. Nothing else in the
studio rounds money.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from costing.engine.errors import EngineError

RULE = "Rounded half up to the smallest coin on each line; totals add up the rounded lines."
LARGEST_AMOUNT = Decimal("999999999")


def round_money(amount: Decimal | float, places: int) -> Decimal:
    """Round an amount half up to the currency's minor unit.

    Parameters
    ----------
    amount : Decimal or float
        Amount; a float counts as the shortest decimal that stands for it, so 0.285 is 0.285. [money]
    places : int
        Decimals of the currency's minor unit, 0 to 4.

    Returns
    -------
    Decimal
        The rounded amount; half goes away from nought. [money]

    Raises
    ------
    EngineError
        When the amount is not a number or too large to print.

    References
    ----------
    .. [1] Common commercial rounding; ROUND_HALF_UP of the General Decimal Arithmetic specification.
    """
    exact = amount if isinstance(amount, Decimal) else Decimal(repr(float(amount)))
    if not exact.is_finite() or abs(exact) > LARGEST_AMOUNT:
        raise EngineError("The amount is too large to print; check the rates and the quantities.")
    return exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedLine:
    """One printed line: quantity × unit price = net, and the tax on it; every amount already rounded."""

    kind: str
    text: str
    quantity: Decimal
    unit_price: Decimal
    net: Decimal
    tax_percent: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        """Net and tax together."""
        return self.net + self.tax


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """Sums of printed lines."""

    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        """What is to be paid."""
        return self.net + self.tax


def priced_line(
    *, kind: str, text: str, quantity: int | Decimal, unit_price: Decimal, tax_percent: Decimal, places: int
) -> PricedLine:
    """Price one printed line by the rounding rule.

    Parameters
    ----------
    kind, text : str
        What the line is and how it reads.
    quantity : int or Decimal
        How many; not negative.
    unit_price : Decimal
        Price of one before tax; it is rounded before it is multiplied, as a reader would multiply it. [money]
    tax_percent : Decimal
        Tax on the line. [%]
    places : int
        Decimals of the currency's minor unit.

    Returns
    -------
    PricedLine
        The line with its rounded amounts.
    """
    if quantity < 0:
        raise EngineError("A quantity cannot be less than nought.")
    unit = round_money(unit_price, places)
    net = round_money(Decimal(quantity) * unit, places)
    return PricedLine(
        kind=kind,
        text=text,
        quantity=Decimal(quantity),
        unit_price=unit,
        net=net,
        tax_percent=tax_percent,
        tax=round_money(net * tax_percent / 100, places),
    )


def add_up(lines: Iterable[PricedLine]) -> Totals:
    """Add up rounded lines; the sum is exact."""
    kept = list(lines)
    return Totals(net=sum((line.net for line in kept), Decimal(0)), tax=sum((line.tax for line in kept), Decimal(0)))
