"""Whole packs that cover what is wanted at the least price."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import OutsideRange

MOST_SIZES = 12
MOST_OF_ONE = 2000
_LOOKED_AT = 200_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PackSize:
    """A pack that can be bought; `key` is whatever tells it apart."""

    key: int
    mass_g: float
    price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """Packs by key, how many of each; `price` before tax, and what is left over. [g]"""

    packs: tuple[tuple[int, int], ...]
    mass_g: float
    left_g: float
    price: Decimal


def cheapest_packs(wanted_g: float, sizes: Sequence[PackSize]) -> Bought:
    """Choose whole packs: cheapest first, then the least left over, then the fewest.

    Parameters
    ----------
    wanted_g : float
        What must be covered, more than nought. [g]
    sizes : sequence of PackSize
        What is sold, at least one size.

    Raises
    ------
    OutsideRange
        When nothing is sold, a number is out of range, or more packs would be wanted than anybody buys.

    Notes
    -----
    Branch and bound over the numbers of each size, the best price of a gram first. A branch is left where even that price
    for all that is still wanted costs more than what was found.
    """
    if not above_nought(wanted_g) or not sizes or not all(above_nought(size.mass_g) for size in sizes):
        raise OutsideRange("To count packs, something must be wanted and the mass of each pack be known.")
    if not all(nought_or_more(float(size.price)) for size in sizes):
        raise OutsideRange("The price of a pack must be nought or more.")
    if wanted_g / max(size.mass_g for size in sizes) > MOST_OF_ONE:
        raise OutsideRange("That is more packs than anybody buys at once; check what is wanted, or add a larger pack.")
    ordered = sorted(sizes, key=lambda size: (float(size.price) / size.mass_g, -size.mass_g, size.key))[:MOST_SIZES]
    search = _Search(ordered)
    search.look(0, wanted_g, Decimal(0), [])
    assert search.best is not None
    _, _, _, counts = search.best
    packs = tuple((size.key, count) for size, count in zip(ordered, counts, strict=False) if count)
    mass = math.fsum(size.mass_g * count for size, count in zip(ordered, counts, strict=False))
    price = sum((size.price * count for size, count in zip(ordered, counts, strict=False)), Decimal(0))
    return Bought(packs=packs, mass_g=mass, left_g=max(mass - wanted_g, 0.0), price=price)


class _Search:
    """One look through the numbers of each size."""

    def __init__(self, sizes: Sequence[PackSize]) -> None:
        self.sizes = sizes
        # A gram is never cheaper than in the first of those that are still open.
        self.per_g = [float(size.price) / size.mass_g for size in sizes]
        self.best: tuple[Decimal, float, int, list[int]] | None = None
        self.looked_at = 0

    def look(self, at: int, wanted_g: float, price: Decimal, counts: list[int]) -> None:
        """Try every number of the size at a place that can still be better."""
        self.looked_at += 1
        if wanted_g <= 1e-6:
            self._keep(price, -wanted_g, counts)
            return
        if at == len(self.sizes) or self._hopeless(at, wanted_g, price):
            return
        size = self.sizes[at]
        # Most of the best price first: a good answer early leaves little to look at.
        for count in range(math.ceil(wanted_g / size.mass_g - 1e-9), -1, -1):
            if self.looked_at > _LOOKED_AT and self.best is not None:
                return
            self.look(at + 1, wanted_g - count * size.mass_g, price + size.price * count, [*counts, count])

    def _hopeless(self, at: int, wanted_g: float, price: Decimal) -> bool:
        return self.best is not None and float(price) + self.per_g[at] * wanted_g > float(self.best[0]) + 1e-9

    def _keep(self, price: Decimal, left_g: float, counts: list[int]) -> None:
        found = (price, round(left_g, 6), sum(counts), counts)
        if self.best is None or found[:3] < self.best[:3]:
            self.best = found
