"""How many castings it takes until what was paid once is earned back."""

from costing.engine.errors import EngineError


def break_even_units(*, fixed: float, price: float, variable: float) -> float:
    """Return the number sold at which the sales have paid for everything.

    Parameters
    ----------
    fixed : float
        What is paid once: the mold. [money]
    price : float
        Price of one, before tax. [money]
    variable : float
        What one more costs. [money]

    Returns
    -------
    float
        fixed / (price − variable), not rounded up. [1]

    Raises
    ------
    EngineError
        When a piece sells for no more than it costs, so that the mold is never paid.

    References
    ----------
    .. [1] OpenStax, Principles of Accounting vol. 2 (2019), §§3.2 and 3.3.
    """
    if price <= variable:
        raise EngineError("Each casting costs as much as it sells for, so the run never pays for the mold; raise the margin.")
    return fixed / (price - variable)


def break_even_rate(*, spend: float, hours: float, other_spend: float, other_hours: float) -> float:
    """Return the price of an hour at which two ways of one job cost the same.

    Parameters
    ----------
    spend, hours : float
        Material [money] and hours of one way. [h]
    other_spend, other_hours : float
        Those of the other.

    Returns
    -------
    float
        (spend − other spend) / (other hours − hours). [money/h]

    Raises
    ------
    EngineError
        When no price of an hour makes them cost the same: one takes no less of either.
    """
    saved, more = spend - other_spend, other_hours - hours
    if saved * more <= 0:
        raise EngineError("One of these ways takes no less of hours and of material, so no price of an hour makes them equal.")
    return saved / more
