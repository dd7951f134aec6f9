"""A and B in two sorts of containers, paired by their ratio: what spoils first is used first."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

STEP, HAIR = Decimal("0.001"), Decimal("1e-9")
NEVER = datetime.date.max


@dataclass(frozen=True, slots=True, kw_only=True)
class Container:
    """What is free in a container; `key` is whatever tells it apart. [g]"""

    key: int
    free_g: Decimal
    good_until: datetime.date = NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """A mix of parts from one container of A and one of B. [g]"""

    parts: tuple[tuple[int, Decimal], ...]
    good_until: datetime.date

    @property
    def mass_g(self) -> Decimal:
        """The mix that they give."""
        return sum((mass for _, mass in self.parts), Decimal(0))


def alone(containers: Sequence[Container]) -> list[Paired]:
    """Return containers that are used as they are."""
    return [Paired(parts=((one.key, one.free_g),), good_until=one.good_until) for one in containers if one.free_g > 0]


def in_pairs(of_a: Sequence[Container], of_b: Sequence[Container], *, share_b: Decimal) -> list[Paired]:
    """Pair A with B in their ratio until one of them is used up; both in the order in which they spoil.

    Parameters
    ----------
    of_a, of_b : sequence of Container
        What is free of either part. [g]
    share_b : Decimal
        Part of B in the whole mix, above 0 and below 1. [1]
    """
    ahead, behind = _in_turn(of_a), _in_turn(of_b)
    share_a = 1 - share_b
    found: list[Paired] = []
    while ahead and behind:
        a, b = ahead[0], behind[0]
        # Shares come from binary fractions: 1000 of A at 100 : 10 would give 1099.9999999.
        mix = (min(a.free_g / share_a, b.free_g / share_b) + HAIR).quantize(STEP, rounding=ROUND_DOWN)
        parts = _split(mix, share_b, a.free_g, b.free_g)
        if parts is not None:
            found.append(Paired(parts=((a.key, parts[0]), (b.key, parts[1])), good_until=min(a.good_until, b.good_until)))
        # The one that gives less is used up: what is left of it is less than is weighed.
        (ahead if a.free_g / share_a <= b.free_g / share_b else behind).pop(0)
        rest, other = (behind, 1) if a.free_g / share_a <= b.free_g / share_b else (ahead, 0)
        kept = rest[0]
        left = kept.free_g - (parts[other] if parts is not None else 0)
        rest[0] = Container(key=kept.key, free_g=left, good_until=kept.good_until)
        if left <= 0:
            rest.pop(0)
    return found


def _split(mix: Decimal, share_b: Decimal, most_a: Decimal, most_b: Decimal) -> tuple[Decimal, Decimal] | None:
    b = min((mix * share_b).quantize(STEP, rounding=ROUND_HALF_UP), most_b)
    a = min(mix - b, most_a)
    return (a, b) if a > 0 and b > 0 else None


def _in_turn(containers: Sequence[Container]) -> list[Container]:
    return sorted((one for one in containers if one.free_g > 0), key=lambda one: (one.good_until, one.key))
