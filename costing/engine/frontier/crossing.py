"""At which price of an hour, and at which price of the rubber, two ways of one job cost the same."""

from dataclasses import dataclass

from costing.engine.frontier.sums import WaySums

_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Two ways set against each other, the one of fewer hours and the one of more.

    `saved` is what the slow one spends less [money], `more` what it takes more [h]; the two pull apart only where both are above
    nought. `rate` [money/h] and `price` [money/kg] are None where no price from nought upward makes both cost the same;
    `rubber_saved` is how much less of the rubber's price the slow one bears [kg], below nought where it bears more.
    """

    quick: WaySums
    slow: WaySums
    rate: float | None
    price: float | None

    @property
    def saved(self) -> float:
        """Return what the slow way spends less. [money]"""
        return self.quick.spend - self.slow.spend

    @property
    def more(self) -> float:
        """Return the hours that the slow way takes more. [h]"""
        return self.slow.hours - self.quick.hours

    @property
    def rubber_saved(self) -> float:
        """Return how much less rubber the slow way is charged for. [kg]"""
        return self.quick.rubber_kg - self.slow.rubber_kg


def crossing_of(one: WaySums, other: WaySums, *, rate_per_h: float, price_per_kg: float | None) -> Crossing:
    """Set two ways against each other.

    Parameters
    ----------
    one, other : WaySums
        In either order.
    rate_per_h : float
        What an hour counts while the rubber's price is sought. [money/h]
    price_per_kg : float or None
        The rubber's price that both spends were counted at; None where it has none. [money/kg]
    """
    quick, slow = sorted((one, other), key=lambda way: (way.hours, way.spend, way.number))
    return Crossing(
        quick=quick,
        slow=slow,
        rate=crossing_rate(quick, slow),
        price=None if price_per_kg is None else crossing_price(quick, slow, rate_per_h=rate_per_h, price_per_kg=price_per_kg),
    )


def crossing_rate(one: WaySums, other: WaySums) -> float | None:
    """Return the price of an hour at which both cost the same, or None where there is none from nought upward. [money/h]

    Notes
    -----
    L = (S₁ − S₂) / (h₂ − h₁).
    """
    more = other.hours - one.hours
    if abs(more) < _NOTHING:
        return None
    rate = (one.spend - other.spend) / more
    return rate if rate >= 0 else None


def crossing_price(one: WaySums, other: WaySums, *, rate_per_h: float, price_per_kg: float) -> float | None:
    """Return the price of the rubber at which both cost the same, or None where there is none from nought upward. [money/kg]

    Notes
    -----
    Each cost is linear in the price: C(p) = C(p₀) + m·(p − p₀), so p = p₀ + (C₂ − C₁) / (m₁ − m₂), exactly.
    """
    less = one.rubber_kg - other.rubber_kg
    if abs(less) < _NOTHING:
        return None
    price = price_per_kg + (other.cost(rate_per_h) - one.cost(rate_per_h)) / less
    return price if price >= 0 else None
