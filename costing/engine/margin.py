"""Markup on the cost, and margin in the price: two ways to say the same profit."""

from decimal import Decimal

from costing.engine.errors import EngineError


def margin_from_markup(markup: float) -> float:
    """Turn a markup on the cost into the margin in the price: m / (1 + m), both as shares (0.4 is 40 %)."""
    if markup <= -1:
        raise EngineError("A markup must be above -100 %.")
    return markup / (1 + markup)


def markup_from_margin(margin: float) -> float:
    """Turn a margin in the price into the markup on the cost: g / (1 − g), both as shares (0.4 is 40 %)."""
    _check(margin)
    return margin / (1 - margin)


def price_for_margin(*, cost: Decimal, margin: Decimal) -> Decimal:
    """Return the price before tax whose margin is the wished share of it.

    Parameters
    ----------
    cost : Decimal
        What the thing costs the studio. [money]
    margin : Decimal
        Share of the price that is left over the cost, 0 to below 1.

    Returns
    -------
    Decimal
        cost / (1 − margin), not rounded. [money]

    References
    ----------
    .. [1] Arithmetic of percentages on selling price; exact.
    """
    _check(float(margin))
    return cost / (1 - margin)


def _check(margin: float) -> None:
    if not 0 <= margin < 1:
        raise EngineError("A margin must lie between 0 % and below 100 %: at 100 % nothing of the price would pay the cost.")
