"""Vacuum and pressure: what a gauge means at an altitude, how far a mix foams up, what presses on the lid."""

import math

from materials.science.errors import BadVacuum
from studio.figures import Given, Source, SourceKind

STANDARD_PRESSURE_PA = 101325.0
INHG_PA = 3386.389
LOWEST_ALTITUDE_M, HIGHEST_ALTITUDE_M = -500.0, 5500.0
EARTH_RADIUS_M = 6356766.0
# The lowest layer of the U.S. Standard Atmosphere 1976: 288.15 K at the sea, 6.5 K colder each kilometre.
SEA_LEVEL_K, LAPSE_K_M, PRESSURE_EXPONENT = 288.15, 0.0065, 9.80665 * 0.0289644 / (8.31432 * 0.0065)
LEAST_ABSOLUTE_PA = 100.0
HIGHEST_GAUGE_PA = 1.0e6

BUBBLES_BREAK_BELOW = Given(
    label="Bubbles break below an absolute pressure of about",
    value=6500.0,
    unit="Pa",
    source=Source(
        kind=SourceKind.PUBLISHED,
        text="a supplier of tooling resin: above this, 28 in of mercury at sea level, bubbles swell but do not break",
    ),
)
CONTAINER_TIMES = Given(
    label="Container to liquid",
    value=4.0,
    unit="1",
    low=3.0,
    high=5.0,
    source=Source(kind=SourceKind.PUBLISHED, text="a silicone maker's advice: 3 to 5 times; another supplier: about 4 times"),
)
LONGEST_PULL = Given(
    label="Vacuum for at most",
    value=5.0,
    unit="min",
    source=Source(kind=SourceKind.PUBLISHED, text="a silicone maker's advice for some high-strength grades"),
)


def pressure_at_altitude_pa(altitude_m: float) -> float:
    """Compute the usual pressure of the air at an altitude, −500 to 5500 m [Pa].

    Raises
    ------
    BadVacuum
        Outside that range.

    References
    ----------
    .. [1] U.S. Standard Atmosphere 1976, lowest layer (published standard).
    """
    if not LOWEST_ALTITUDE_M <= altitude_m <= HIGHEST_ALTITUDE_M:
        raise BadVacuum("Give the studio's altitude from −500 to 5500 m (−1640 to 18 000 ft).")
    geopotential_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)
    return float(STANDARD_PRESSURE_PA * (1 - LAPSE_K_M * geopotential_m / SEA_LEVEL_K) ** PRESSURE_EXPONENT)


def absolute_pressure_pa(*, gauge_pa: float, atmosphere_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Turn what a vacuum gauge reads below the air around it into the absolute pressure in the chamber [Pa].

    Raises
    ------
    BadVacuum
        When the reading is below nought, or beyond what the air at this altitude allows.
    """
    _check_atmosphere(atmosphere_pa)
    if not (math.isfinite(gauge_pa) and gauge_pa >= 0):
        raise BadVacuum("A vacuum gauge reads nought or more below the air around it; check the reading.")
    absolute_pa = atmosphere_pa - gauge_pa
    if absolute_pa < LEAST_ABSOLUTE_PA:
        raise BadVacuum(
            f"No pump reaches this reading here: the air itself presses with {atmosphere_pa / INHG_PA:.1f} in of mercury "
            f"({atmosphere_pa / 1000:.1f} kPa). Check the reading and the studio's altitude."
        )
    return absolute_pa


def gauge_for_absolute_pa(*, absolute_pa: float, atmosphere_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Compute what a vacuum gauge reads at an absolute pressure, with this air around it [Pa]."""
    _check_absolute(absolute_pa, atmosphere_pa)
    return atmosphere_pa - absolute_pa


def expansion(*, absolute_pa: float, atmosphere_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Compute by what the volume of trapped air grows under vacuum: p_air / p (Boyle) [1].

    Valid from 100 Pa up; below that what boils out of the mix counts more than its air.

    Raises
    ------
    BadVacuum
    """
    _check_absolute(absolute_pa, atmosphere_pa)
    return atmosphere_pa / absolute_pa


def foam_factor(*, air_share: float, expanded: float) -> float:
    """Compute by what a mix grows before its foam collapses: (1 − air) + air × expansion [1].

    Parameters
    ----------
    air_share : float
        Air stirred into the mix, by volume, 0 to 0.5. [1]
    expanded : float
        By what that air grows, from `expansion`. [1]
    """
    if not 0 <= air_share <= 0.5:
        raise BadVacuum("The air in a mix is a share of its volume from 0 to 50 %.")
    if not (math.isfinite(expanded) and expanded >= 1):
        raise BadVacuum("Under vacuum air grows by a factor of 1 or more.")
    return 1 - air_share + air_share * expanded


def container_l(*, liquid_l: float, foam: float = 1.0) -> float:
    """Compute the container that a mix is put under vacuum in: 4 times the mix, or its foam where that is more [L].

    References
    ----------
    .. [1] A silicone maker's advice: 3 to 5 times (published).
    """
    if not (math.isfinite(liquid_l) and liquid_l > 0):
        raise BadVacuum("A mix to put under vacuum has a volume above nought.")
    return liquid_l * max(CONTAINER_TIMES.value, foam)


def lid_load_n(*, diameter_mm: float, absolute_pa: float = 0.0, atmosphere_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Compute the force of the air on the lid of a vacuum chamber: π/4 d² (p_air − p) [N]."""
    _check_atmosphere(atmosphere_pa)
    if not (math.isfinite(diameter_mm) and diameter_mm > 0) or not 0 <= absolute_pa <= atmosphere_pa:
        raise BadVacuum("A lid needs its diameter, and a pressure below that of the air.")
    return math.pi / 4 * (diameter_mm / 1000) ** 2 * (atmosphere_pa - absolute_pa)


def pressed_diameter_ratio(*, gauge_pa: float, atmosphere_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Compute to what share of its diameter a bubble shrinks in a pressure pot: (p1 / p2)^(1/3) [1].

    Parameters
    ----------
    gauge_pa : float
        Pressure of the pot above the air, up to 1 MPa. [Pa]
    atmosphere_pa : float
        Pressure of the air around it. [Pa]
    """
    _check_atmosphere(atmosphere_pa)
    if not 0 <= gauge_pa <= HIGHEST_GAUGE_PA:
        raise BadVacuum("Give the pot's pressure from 0 to 1 MPa (145 psi), and never above what the pot is rated for.")
    return float((atmosphere_pa / (atmosphere_pa + gauge_pa)) ** (1 / 3))


def _check_atmosphere(atmosphere_pa: float) -> None:
    if not 45_000 <= atmosphere_pa <= 110_000:
        raise BadVacuum("The pressure of the air around the studio lies between 45 and 110 kPa (6.5 and 16 psi); check it.")


def _check_absolute(absolute_pa: float, atmosphere_pa: float) -> None:
    _check_atmosphere(atmosphere_pa)
    if not LEAST_ABSOLUTE_PA <= absolute_pa <= atmosphere_pa:
        raise BadVacuum("Give the absolute pressure in the chamber: from 100 Pa (0.015 psi) up to that of the air.")
