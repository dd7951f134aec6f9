"""How far a flat panel of rubber sags between its edges: thin plates under even pressure."""

import math
from bisect import bisect_right
from enum import StrEnum

from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import BadThickness, LargeDeflection

RUBBER_POISSON = 0.5
MOST_SAG_IN_WALLS = 0.5
LEAST_SPAN_IN_WALLS = 4.0
# Centre of a clamped plate, w D / (q a⁴), by length ÷ width. Handbook values to 2.0; above them calculated (Ritz).
_CLAMPED = (
    (1.0, 0.001265), (1.1, 0.001508), (1.2, 0.001725), (1.3, 0.001912), (1.4, 0.002068), (1.5, 0.002197), (1.6, 0.002300),
    (1.8, 0.002446), (2.0, 0.002533), (2.25, 0.002589), (2.5, 0.002612), (3.0, 0.002617), (4.0, 0.002607),
)  # fmt: skip
_CLAMPED_STRIP = 1 / 384


class Edge(StrEnum):
    """How the rim of a panel is held: resting on an edge, or gripped so that it cannot turn."""

    RESTING = "resting"
    GRIPPED = "gripped"


def deflection_coefficient(edge: Edge, *, long_per_short: float) -> float:
    """Return α of w = α q a⁴ / D at the middle of a rectangular plate, a its short side [1].

    Parameters
    ----------
    edge : Edge
        Simply supported (resting) or clamped (gripped) on all four sides.
    long_per_short : float
        Long side over short side, 1 or more; infinity is a strip. [1]

    Raises
    ------
    BadThickness
        When the ratio is less than one.

    Notes
    -----
    α does not depend on Poisson's ratio for these edges. Resting: Lévy's single series, which sums to what Navier's
    double series gives. Gripped: a table, read off in straight lines between its rows, within 0.5 %.

    References
    ----------
    .. [1] S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells; Roark's Formulas, table 11.4 (published).
    """
    if not long_per_short >= 1:
        raise BadThickness("The long side of a panel cannot be shorter than its short side; swap them.")
    return _resting(long_per_short) if edge is Edge.RESTING else _gripped(long_per_short)


def rigidity_n_m(*, modulus_mpa: float, thickness_mm: float, poisson: float = RUBBER_POISSON) -> float:
    """Compute the bending rigidity of a plate, D = E t³ / (12 (1 − ν²)), for rubber E t³ / 9 [N·m]."""
    if not above_nought(modulus_mpa, thickness_mm) or not 0 <= poisson <= RUBBER_POISSON:
        raise BadThickness("A panel needs a modulus and a thickness above nought and a Poisson's ratio of 0 to 0.5.")
    return modulus_mpa * 1e6 * (thickness_mm / 1000) ** 3 / (12 * (1 - poisson**2))


def sag_mm(
    edge: Edge,
    *,
    pressure_pa: float,
    short_mm: float,
    long_mm: float,
    thickness_mm: float,
    modulus_mpa: float,
    poisson: float = RUBBER_POISSON,
) -> float:
    """Compute how far the middle of a rectangular panel gives way under an even pressure [mm].

    Raises
    ------
    LargeDeflection
        When the panel is thicker than a quarter of its short side, or sags more than half its thickness: there tension
        helps and this law would overstate the sag.

    References
    ----------
    .. [1] Roark's Formulas for Stress and Strain, chapter 11, with its limits (published).
    """
    if not (nought_or_more(pressure_pa) and above_nought(short_mm)):
        raise BadThickness("A panel needs a short side above nought and a pressure of nought or more.")
    alpha = deflection_coefficient(edge, long_per_short=long_mm / short_mm)
    rigidity = rigidity_n_m(modulus_mpa=modulus_mpa, thickness_mm=thickness_mm, poisson=poisson)
    found = 1000 * alpha * pressure_pa * (short_mm / 1000) ** 4 / rigidity
    check_thin_plate(short_mm=short_mm, thickness_mm=thickness_mm, sag_mm=found)
    return found


def check_thin_plate(*, short_mm: float, thickness_mm: float, sag_mm: float) -> None:
    """Refuse what lies outside the law of thin plates: t ≤ a/4 and w ≤ t/2, with a little for rounding.

    Raises
    ------
    LargeDeflection
    """
    if short_mm < LEAST_SPAN_IN_WALLS * thickness_mm * (1 - 1e-9):
        raise LargeDeflection(
            f"A gap narrower than {LEAST_SPAN_IN_WALLS:g} walls is too stiff for the law of thin plates; it hardly sags."
        )
    if sag_mm > MOST_SAG_IN_WALLS * thickness_mm * (1 + 1e-9):
        raise LargeDeflection(
            "The rubber would sag more than half its wall, beyond the law of thin plates: support it closer, make the wall "
            "thicker, or allow less sag."
        )


def _resting(ratio: float) -> float:
    """Lévy: the strip's 5/384 less what the short edges hold, a sum over odd m that falls with m⁵."""
    found = 5 / 384
    for m in (1, 3, 5, 7, 9):
        half = m * math.pi * min(ratio, 200.0) / 2
        held = (half * math.tanh(half) + 2) / (2 * math.cosh(half)) if half < 300 else 0.0
        found -= 4 / math.pi**5 * (-1) ** ((m - 1) // 2) / m**5 * held
    return found


def _gripped(ratio: float) -> float:
    if ratio >= _CLAMPED[-1][0]:
        return _CLAMPED_STRIP
    row = bisect_right([at for at, _ in _CLAMPED], ratio) - 1
    (low, below), (high, above) = _CLAMPED[row], _CLAMPED[row + 1]
    return below + (above - below) * (ratio - low) / (high - low)
