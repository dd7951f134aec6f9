"""How stiff soft rubber is, and how high a free flap of it stands."""

import math

from materials.science.errors import BadThickness
from materials.science.mixing import GRAVITY_M_S2

GREENHILL = 7.8373


def modulus_from_100_mpa(*, modulus_100_mpa: float) -> float:
    """Compute Young's modulus from the stress at twice the length: E = (3/1.75) σ100 [MPa].

    Notes
    -----
    Neo-Hookean; the best estimate for 10 to 30 Shore A.
    """
    return 3 / 1.75 * modulus_100_mpa


def modulus_gent_mpa(*, shore_a: float) -> float:
    """Estimate Young's modulus from Shore A [MPa].

    Notes
    -----
    Good for 40 to 80; overstates soft rubber, so it is the upper end of a range there.

    References
    ----------
    .. [1] A. N. Gent, 1958 (published).
    """
    if not 0 <= shore_a < 100:
        raise BadThickness("A Shore A hardness lies between 0 and 100.")
    return 0.0981 * (56 + 7.62336 * shore_a) / (0.137505 * (254 - 2.54 * shore_a))


def freestanding_height_m(*, modulus_mpa: float, thickness_mm: float, density_kg_m3: float) -> float:
    """Compute the height at which a vertical flap folds under its own weight [m].

    Notes
    -----
    H = (7.8373 E t² / (12 ρ g))^(1/3).

    References
    ----------
    .. [1] A. G. Greenhill, 1881 (published).
    """
    if min(modulus_mpa, thickness_mm, density_kg_m3) <= 0:
        raise BadThickness("A flap needs a modulus, a thickness and a density above nought.")
    bending = modulus_mpa * 1e6 * (thickness_mm / 1000) ** 2 / 12
    return float((GREENHILL * bending / (density_kg_m3 * GRAVITY_M_S2)) ** (1 / 3))


def spread_of_modulus_mpa(*, modulus_100_mpa: float | None, shore_a: float | None) -> tuple[float, float] | None:
    """Return the lowest and highest of the estimates that the data allow, or None without data."""
    found = []
    if modulus_100_mpa is not None:
        found.append(modulus_from_100_mpa(modulus_100_mpa=modulus_100_mpa))
    if shore_a is not None:
        found.append(modulus_gent_mpa(shore_a=shore_a))
        found.append(_modulus_erf_mpa(shore_a))
    return (min(found), max(found)) if found else None


def _modulus_erf_mpa(shore_a: float) -> float:
    """Invert S = 100 erf(3.186e-4 √E[Pa]) by halving, good in the limit of very soft rubber [MPa]."""
    low, high = 0.0, 6.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if 100 * math.erf(middle) < shore_a else (low, middle)
    return float((low / 3.186e-4) ** 2 / 1e6)
