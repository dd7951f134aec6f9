"""Options: a price suggested from expense and hours at the job's own terms, and totals with those that a client chooses."""

from collections.abc import Collection, Iterable
from decimal import Decimal

from costing.engine.brief import Terms
from costing.engine.cost import Cost, cost_of
from costing.engine.errors import EngineError
from costing.engine.money import PricedLine, Totals, add_up, priced_line
from studio.figures import Figure, Given

KIND = "option"


def suggested_price(*, stem: str, expense: Decimal, hours: Decimal, terms: Terms, places: int) -> Cost:
    """Price one option like everything else of the job: its cost with the margin of the terms.

    Parameters
    ----------
    stem : str
        Start of the keys of its figures.
    expense : Decimal
        What is spent on one. [money]
    hours : Decimal
        Paid hours in one. [h]
    terms : Terms
        Labour rate, overhead per hour and margin of the job.
    places : int
        Decimals of the currency's minor unit.

    Returns
    -------
    Cost
        cost = expense + hours × (rate + overhead); price = cost / (1 − margin), rounded once.
    """
    return cost_of(
        stem=stem,
        what="one of this option",
        material=_typed(f"{stem}-material", "Expense", expense, "money"),
        hours=_typed(f"{stem}-hours", "Hours", hours, "h"),
        terms=terms,
        places=places,
    )


def priced_option(*, text: str, quantity: Decimal, unit_price: Decimal, tax_percent: Decimal, places: int) -> PricedLine:
    """Price an option by the one rounding rule, as if it were a line."""
    return priced_line(kind=KIND, text=text, quantity=quantity, unit_price=unit_price, tax_percent=tax_percent, places=places)


def with_options(*, lines: Totals, options: Iterable[tuple[int, Decimal, Decimal]], chosen: Collection[int]) -> Totals:
    """Add the options chosen to the totals of the lines; all amounts are rounded already, so the sum is exact.

    Parameters
    ----------
    lines : Totals
        Net and tax of the printed lines.
    options : iterable of (position, net, tax)
        Every option of the quote.
    chosen : collection of int
        Positions of those chosen; one named twice counts once.

    Raises
    ------
    EngineError
        When a position is none of the quote's.
    """
    amounts = {position: (net, tax) for position, net, tax in options}
    wanted = set(chosen)
    unknown = sorted(wanted - amounts.keys())
    if unknown:
        raise EngineError(f"There is no option {unknown[0]} in this quote; choose among those that it offers.")
    return Totals(
        net=lines.net + sum((amounts[position][0] for position in wanted), Decimal(0)),
        tax=lines.tax + sum((amounts[position][1] for position in wanted), Decimal(0)),
    )


def total_figure(*, key: str, lines: Figure, option: PricedLine) -> Figure:
    """Say what the whole comes to with one option, with tax. [money]"""
    added = add_up([option])
    return Figure(
        key=key,
        label=f"Total with tax, with {option.text}",
        value=float(Decimal(repr(lines.value)) + added.gross),
        unit="money",
        formula="total with tax + option before tax + tax on the option",
        given=(
            lines,
            Given(label=option.text, value=float(added.net), unit="money"),
            Given(label="Tax on it", value=float(added.tax), unit="money"),
        ),
    )


def _typed(key: str, label: str, value: Decimal, unit: str) -> Figure:
    given = Given(label=label, value=float(value), unit=unit)
    return Figure(key=key, label=label, value=float(value), unit=unit, formula="as typed for this option", given=(given,))
