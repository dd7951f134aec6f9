"""How much may go into one cup: what can be spread before the pot life ends."""

import math

from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import BadThickness, PotLifeTooShort

# What is left of nought when masses are subtracted.
_ROUNDING_G = 1e-6


def largest_mix_kg(
    *, areal_mass_kg_m2: float, rate_m2_h: float, pot_life_min: float, usable_share: float, mix_min: float
) -> float:
    """Compute the largest mix that one person can lay in its pot life.

    Parameters
    ----------
    areal_mass_kg_m2 : float
        Mass of the coat per area. [kg/m2]
    rate_m2_h : float
        Area one person covers in an hour. [m2/h]
    pot_life_min : float
        Pot life at the temperature of the cup. [min]
    usable_share : float
        Share of the pot life to count on, 0 to 1. [1]
    mix_min : float
        Minutes of weighing and stirring that run inside the pot life. [min]

    Returns
    -------
    float
        Mass of the mix. [kg]

    Raises
    ------
    PotLifeTooShort
        When mixing alone takes all of the usable pot life.

    Notes
    -----
    m = w r (η t_pot − t_mix). Common practice.
    """
    if not above_nought(areal_mass_kg_m2, rate_m2_h):
        raise BadThickness("A coat needs a mass per area and a rate of brushing above nought.")
    if not nought_or_more(pot_life_min, usable_share, mix_min):
        raise BadThickness("Pot life, its usable share and the minutes of mixing cannot be less than nought.")
    spreading_min = usable_share * pot_life_min - mix_min
    if not spreading_min > 0:
        raise PotLifeTooShort(
            f"With a pot life of {pot_life_min:.1f} min nothing is left for spreading after {mix_min:g} min of mixing. "
            "Work in a cooler room, choose a slower rubber, or shorten the mixing."
        )
    return areal_mass_kg_m2 * rate_m2_h * spreading_min / 60


def mixes_needed(*, mass_g: float, largest_mix_g: float) -> int:
    """Count the equal mixes that a mass is split into so that none is larger than allowed."""
    if not above_nought(largest_mix_g):
        raise BadThickness("The largest mix must be more than nought.")
    if not (math.isfinite(mass_g) and mass_g > -_ROUNDING_G):
        raise BadThickness("A mass to mix cannot be less than nought; check the thicknesses.")
    if mass_g <= 0:
        return 0
    # A mass that fills its cups to the brim must not be counted one cup more for the last bit of a float.
    return max(1, math.ceil(mass_g / largest_mix_g - 1e-9))
