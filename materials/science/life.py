"""How many castings a mold gives, and the chance that it dies before the run is done."""

import math

from materials.properties import Chemistry
from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import OutsideRange
from studio.figures import Given, Source, SourceKind

USUAL_VARIATION = 0.4
RUN_SHARE = 0.7
_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE, text="wide; release at each pull may double it, hot resin halves it")
_SILICONES = (Chemistry.PLATINUM_SILICONE, Chemistry.TIN_SILICONE)
_BY_BOTH = {
    (Chemistry.TIN_SILICONE, Chemistry.POLYURETHANE): (25.0, 50.0),
    (Chemistry.PLATINUM_SILICONE, Chemistry.POLYURETHANE): (40.0, 100.0),
}
_BY_RESIN: dict[Chemistry, tuple[float, float | None]] = {
    Chemistry.EPOXY: (20.0, 50.0),
    Chemistry.POLYESTER: (15.0, 40.0),
    Chemistry.GYPSUM: (100.0, None),
}
_PUBLISHED = Source(kind=SourceKind.PUBLISHED, text="two makers' notes on how long molds keep")
KEEPS: dict[Chemistry, Given] = {
    Chemistry.TIN_SILICONE: Given(label="A mold keeps up to", value=60.0, unit="months", low=12.0, high=60.0, source=_PUBLISHED),
    Chemistry.PLATINUM_SILICONE: Given(label="A mold keeps up to", value=240.0, unit="months", high=240.0, source=_PUBLISHED),
}


def expected_castings(rubber: Chemistry, resin: Chemistry) -> Given | None:
    """Return how many castings a silicone mold usually gives in this resin, with its range [1].

    The value is the middle of the range, or the least of it where no most is told (plaster and wax: 100 and more).

    Returns
    -------
    Given or None
        None where nothing is known: other rubbers, other resins.
    """
    bounds = _BY_BOTH.get((rubber, resin)) or (_BY_RESIN.get(resin) if rubber in _SILICONES else None)
    if bounds is None:
        return None
    low, high = bounds
    return Given(
        label="Castings from one mold",
        value=low if high is None else (low + high) / 2,
        unit="1",
        low=low,
        high=high,
        source=_PRACTICE,
    )


def chance_of_dying_before(*, castings: float, expected: float, variation: float = USUAL_VARIATION) -> float:
    """Compute the chance that a mold dies before it has given so many castings, 0 to 1.

    Parameters
    ----------
    castings : float
        Castings wanted of this mold, nought or more. [1]
    expected : float
        Mean number that such a mold gives. [1]
    variation : float
        Standard deviation over mean, above 0 to 1. [1]

    Raises
    ------
    OutsideRange
        When a number is outside those ranges.

    Notes
    -----
    Log-normal with that mean and variation: s² = ln(1 + CV²), Φ((ln n − ln mean + s²/2) / s). The shape and the
    variation of 40 % are planning values, not measurements (common practice, no source).
    """
    if not (nought_or_more(castings) and above_nought(expected)):
        raise OutsideRange("A mold's life needs castings of nought or more, and an expected number above nought.")
    if not 0 < variation <= 1:
        raise OutsideRange("The spread of a mold's life must lie between 0 and 100 % of its mean.")
    if castings == 0:
        return 0.0
    square = math.log1p(variation**2)
    z = (math.log(castings / expected) + square / 2) / math.sqrt(square)
    return 0.5 * math.erfc(-z / math.sqrt(2))


def molds_wanted(*, castings: int, expected: float) -> int:
    """Count the molds of a run when each is counted on for seven tenths of its expected life."""
    if not castings >= 1 or not above_nought(expected):
        raise OutsideRange("A run needs at least one casting, and a mold an expected life above nought.")
    return max(1, math.ceil(castings / (RUN_SHARE * expected) - 1e-9))
