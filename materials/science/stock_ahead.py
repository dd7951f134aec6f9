"""The free stock of one material on the days ahead: what is taken, what comes, what spoils, and the first day it runs short."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

# Nothing is weighed closer.
LEAST_G = 1.0
NEVER = datetime.date.max


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """A mass that is good through a day. [g]"""

    mass_g: float
    good_until: datetime.date = NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """A mass that arrives on a day. [g]"""

    on: datetime.date
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A mass that is taken on a day by whom. [g]"""

    on: datetime.date
    mass_g: float
    by: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The stock at the end of a day on which something happens; below nought is what is missing by then. [g]"""

    on: datetime.date
    stock_g: float
    came_g: float = 0.0
    taken_g: float = 0.0
    spoiled_g: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """The days ahead; `short_on` and `short_g` are none and nought where all is covered."""

    steps: tuple[Step, ...]
    short_on: datetime.date | None
    short_g: float
    missing: tuple[Wanted, ...] = field(default=())

    @property
    def least_g(self) -> float:
        """The least that stands there on any of these days."""
        return min((step.stock_g for step in self.steps), default=0.0)


@dataclass(slots=True)
class _Left:
    mass_g: float
    good_until: datetime.date


def stock_ahead(
    *, today: datetime.date, held: Sequence[Holding], coming: Sequence[Coming] = (), wanted: Sequence[Wanted] = ()
) -> Ahead:
    """Follow the stock day by day; what spoils first is taken first, and what comes on a day serves that day.

    What is past its day when something is wanted is of no use to it. A delivery makes good what was missing before: the work
    waits for it.
    """
    left = [_Left(one.mass_g, one.good_until) for one in held if one.mass_g > 0 and one.good_until >= today]
    days = {today} | {max(one.on, today) for one in coming} | {max(one.on, today) for one in wanted}
    last = max(days)
    spoil = {one.good_until + datetime.timedelta(days=1) for one in left if one.good_until < last}
    steps: list[Step] = []
    missing: list[Wanted] = []
    short_on: datetime.date | None = None
    debt_g = 0.0
    for on in sorted(days | spoil):
        spoiled_g = sum(one.mass_g for one in left if one.good_until < on)
        left = [one for one in left if one.good_until >= on]
        came_g = sum(one.mass_g for one in coming if max(one.on, today) == on)
        paid_g = min(came_g, debt_g)
        debt_g -= paid_g
        if came_g > paid_g:
            left.append(_Left(came_g - paid_g, NEVER))
        taken = [one for one in wanted if max(one.on, today) == on]
        for one in taken:
            lacking_g = _take(left, one.mass_g)
            if lacking_g >= LEAST_G:
                debt_g += lacking_g
                missing.append(Wanted(on=on, mass_g=lacking_g, by=one.by))
                short_on = short_on or on
        stock_g = sum(one.mass_g for one in left) - debt_g
        steps.append(Step(on=on, stock_g=stock_g, came_g=came_g, taken_g=sum(one.mass_g for one in taken), spoiled_g=spoiled_g))
    return Ahead(steps=tuple(steps), short_on=short_on, short_g=debt_g, missing=tuple(missing))


def _take(left: list[_Left], wanted_g: float) -> float:
    """Take a mass, what spoils first before the rest; return what is lacking."""
    for one in sorted(left, key=lambda one: one.good_until):
        if wanted_g <= 0:
            break
        taken = min(one.mass_g, wanted_g)
        one.mass_g -= taken
        wanted_g -= taken
    left[:] = [one for one in left if one.mass_g > 1e-9]
    return max(wanted_g, 0.0)
