"""Turning resin in a mold: the shot, the film that rotation can hold, and castings a day."""

import math

from materials.science.errors import BadThickness
from materials.science.mixing import GRAVITY_M_S2

# Largest continuous film, from H − H³ cos θ / 3 = 2/3 round the wall: its integral is 4.4427235, over 2π.
FILM_CONSTANT = 0.7070814


def flat_shot_g(*, area_m2: float, wall_mm: float, density_kg_m3: float) -> float:
    """Weigh the resin of one casting as if its wall were flat: ρ A w, the quantity to buy [g]."""
    if area_m2 <= 0 or wall_mm <= 0 or density_kg_m3 <= 0:
        raise BadThickness("A casting needs a surface, a wall and a resin density above nought.")
    return area_m2 * wall_mm * density_kg_m3


def film_limit_mm(*, viscosity_pa_s: float, turning_rpm: float, radius_m: float, density_kg_m3: float) -> float:
    """Compute the thickest film that a turning mold carries round without it pooling.

    Parameters
    ----------
    viscosity_pa_s : float
        Viscosity at that moment; it rises until gel. [Pa·s]
    turning_rpm : float
        Turns of the slow axis. [1/min]
    radius_m : float
        Distance of the wall from the axis. [m]
    density_kg_m3 : float
        Density of the resin. [kg/m3]

    Returns
    -------
    float
        Mean film thickness. [mm]

    Notes
    -----
    h = 0.7070814 √(μ ω R / (ρ g)).

    References
    ----------
    .. [1] H. K. Moffatt 1977; S. D. R. Wilson and J. Williams 1997 (published abstracts).
    """
    if min(viscosity_pa_s, turning_rpm, radius_m, density_kg_m3) <= 0:
        raise BadThickness("The film needs a viscosity, a speed, a radius and a density above nought.")
    speed_rad_s = turning_rpm * 2 * math.pi / 60
    return 1000 * FILM_CONSTANT * math.sqrt(viscosity_pa_s * speed_rad_s * radius_m / (density_kg_m3 * GRAVITY_M_S2))


def castings_per_day(*, shift_h: float, startup_h: float, cycle_h: float) -> int:
    """Count the castings one mold gives in a working day: floor((shift − start-up) / cycle)."""
    if cycle_h <= 0:
        raise BadThickness("The cycle of a casting must take more than no time.")
    return max(0, math.floor((shift_h - startup_h) / cycle_h + 1e-9))
