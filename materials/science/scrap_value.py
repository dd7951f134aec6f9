"""What scrap is worth: the fresh rubber that it displaces, less the work that it still wants.

It is never worth less than nought: what costs more to prepare than it saves is thrown away. Where the studio's hour costs more
than the break-even rate, fresh rubber is the cheaper filler.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from materials.science.checks import nought_or_more
from materials.science.errors import OutsideRange
from studio.figures import Figure, Given

G_PER_KG, MIN_PER_H = 1000, 60


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapWorth:
    """The worth of a mass of scrap; `break_even` is None where it wants no work at all."""

    displaced: Figure
    hours: Figure
    work: Figure
    value: Figure
    break_even: Figure | None

    @property
    def pays(self) -> bool:
        """Whether it saves more than its work costs."""
        return self.value.value > 0


def scrap_worth(
    *, mass: Given | Figure, price_per_kg: Given, minutes_per_kg: Sequence[Given | Figure], labour_per_h: Given, prefix: str
) -> ScrapWorth:
    """Compute what a mass of scrap is worth.

    Parameters
    ----------
    mass : Given or Figure
        Scrap, taken as displacing its own mass of fresh rubber. [g]
    price_per_kg : Given
        What the fresh rubber costs that it stands in for. [money/kg]
    minutes_per_kg : sequence of Given or Figure
        The work that it still wants: cutting and washing, seating. [min/kg]
    labour_per_h : Given
        What an hour of work costs. [money/h]
    prefix : str
        Begins the keys of the figures.

    Raises
    ------
    OutsideRange
        When a mass, price or rate is less than nought.

    Notes
    -----
    value = max(0, m·p − t·L); break-even rate = m·p / t.
    """
    if not nought_or_more(mass.value, price_per_kg.value, labour_per_h.value, *(one.value for one in minutes_per_kg)):
        raise OutsideRange("Mass, price, minutes and the hour's rate must be nought or more.")
    kilograms = mass.value / G_PER_KG
    displaced = Figure(
        key=f"{prefix}_displaced", label="Fresh rubber that it displaces", value=kilograms * price_per_kg.value, unit="money",
        formula="mass × price of the fresh rubber", given=(mass, price_per_kg),
    )  # fmt: skip
    hours = Figure(
        key=f"{prefix}_hours", label="Work to prepare it", value=kilograms * sum(one.value for one in minutes_per_kg) / MIN_PER_H,
        unit="h", formula="mass × minutes per mass, added up", given=(mass, *minutes_per_kg),
    )  # fmt: skip
    work = Figure(
        key=f"{prefix}_work", label="Cost of that work", value=hours.value * labour_per_h.value, unit="money",
        formula="hours × labour rate", given=(hours, labour_per_h),
    )  # fmt: skip
    value = Figure(
        key=f"{prefix}_value", label="Worth of the scrap", value=max(displaced.value - work.value, 0.0), unit="money",
        formula="fresh rubber displaced − work to prepare it, never below nought", given=(displaced, work),
    )  # fmt: skip
    return ScrapWorth(displaced=displaced, hours=hours, work=work, value=value, break_even=_break_even(displaced, hours, prefix))


def _break_even(displaced: Figure, hours: Figure, prefix: str) -> Figure | None:
    if hours.value <= 0:
        return None
    return Figure(
        key=f"{prefix}_break_even", label="Worth it below an hourly rate of", value=displaced.value / hours.value, unit="money/h",
        formula="fresh rubber displaced ÷ hours of work", given=(displaced, hours),
    )  # fmt: skip
