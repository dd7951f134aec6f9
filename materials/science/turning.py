"""How a mold is turned about two axes: turns before gel, and ratios whose track does not repeat.

A ratio here is turns of the inner axis (the plate) to one turn of the outer, slow one (the arm), both as counted at the
machine. Handbooks also state outer ÷ (inner − outer), the apparent motion; `apparent_ratio` converts.
"""

from dataclasses import dataclass
from fractions import Fraction

from materials.science.checks import above_nought
from materials.science.errors import OutsideRange
from studio.figures import Given, Source, SourceKind

FASTEST_RPM = 20.0
WANTED_TURNS = Given(
    label="Turns of the slow axis before gel",
    value=20.0,
    unit="1",
    low=15.0,
    high=20.0,
    source=Source(kind=SourceKind.COMMON_PRACTICE),
)
_ARTICLE = Source(kind=SourceKind.PUBLISHED, text="a rotational molder's article: about 4:1 for boxes, 2:1 for balls")
_HANDBOOK = Source(kind=SourceKind.FROM_MEMORY, text="a handbook of rotational molding: 3:1 to 8:1 for long parts")
BALL_PROPORTION, LONG_PROPORTION = 1.3, 3.0
# How far a drive may be off before two tracks count as one: a fiftieth of a turn.
_SAME_TRACK = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class RatioAdvice:
    """A ratio to set (inner to outer), the usual range, what shape it is for, and turns until the track repeats."""

    ratio: Given
    shape: str
    repeats_after: int


def turns_before_gel(*, turning_rpm: float, gel_min: float) -> float:
    """Count the turns of the slow axis until the resin gels [1].

    Raises
    ------
    OutsideRange
        When the speed is not above 0 to 20 a minute, or the time is not above nought.
    """
    if not 0 < turning_rpm <= FASTEST_RPM:
        raise OutsideRange(f"A mold is turned at up to {FASTEST_RPM:g} turns a minute; faster, resin is flung outward.")
    if not above_nought(gel_min):
        raise OutsideRange("The time to gel must be more than nought.")
    return turning_rpm * gel_min


def ratio_advice(*, box_mm: tuple[float, float, float]) -> RatioAdvice:
    """Advise a ratio for a shape by its proportions; it is never a whole number, whose track would repeat.

    Sides within 1 : 1.3 count as a ball, beyond 1 : 3 as long, and what lies between as a box; those two bounds are this
    program's choice.
    """
    if not above_nought(*box_mm):
        raise OutsideRange("The piece needs three sides above nought.")
    proportion = max(box_mm) / min(box_mm)
    if proportion <= BALL_PROPORTION:
        value, low, high, shape, source = 2.3, 2.0, 2.5, "about as long as wide", _ARTICLE
    elif proportion <= LONG_PROPORTION:
        value, low, high, shape, source = 3.7, 3.5, 4.5, "like a box", _ARTICLE
    else:
        value, low, high, shape, source = 5.3, 3.0, 8.0, "long", _HANDBOOK
    ratio = Given(label="Turns of the inner axis to one of the outer", value=value, unit="1", low=low, high=high, source=source)
    return RatioAdvice(ratio=ratio, shape=shape, repeats_after=turns_until_repeat(ratio=value))


def turns_until_repeat(*, ratio: float) -> int:
    """Count the turns of the outer axis after which a point of the mold runs the same track again.

    A ratio of 4 repeats after 1 turn, 3.5 after 2, 3.7 after 10. Tracks within a fiftieth of a turn count as the same.
    """
    if not above_nought(ratio) or ratio > 50:
        raise OutsideRange("A ratio lies above 0 and up to 50.")
    for turns in range(1, 51):
        if abs(ratio * turns - round(ratio * turns)) <= _SAME_TRACK and round(ratio * turns) > 0:
            return turns
    return Fraction(ratio).limit_denominator(1000).denominator


def apparent_ratio(*, inner_per_outer: float) -> float:
    """Convert a ratio to the handbooks' outer ÷ (inner − outer): 1 / (ratio − 1) [1].

    Raises
    ------
    OutsideRange
        When both axes turn alike: then nothing moves against the other, and the track never changes.
    """
    if not inner_per_outer > 0 or abs(inner_per_outer - 1) < 1e-9:
        raise OutsideRange("The inner axis must not turn as fast as the outer one, or the resin always runs the same track.")
    return 1 / (inner_per_outer - 1)
