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
