"""What one way takes, as numbers that can be compared."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class WaySums:
    """Hours and spend of a way.

    Parameters
    ----------
    number : int
        Its place in the table.
    hours : float
        Hands-on hours of everybody together. [h]
    spend : float
        Material, as it is counted in the reading at hand. [money]
    rubber_kg : float
        By how much the spend grows with each 1 more that a kilogram of the rubber costs: its mass, with the markup on it where
        one is. [kg]
    """

    number: int
    hours: float
    spend: float
    rubber_kg: float = 0.0

    def cost(self, rate_per_h: float) -> float:
        """Return material and hours together, an hour counted at a rate. [money]"""
        return self.spend + self.hours * rate_per_h
