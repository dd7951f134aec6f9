"""How many coats a wall takes where nothing is stirred into the rubber: each leaves only what does not run down."""

import math

from jobs.planning.brief import PlanBrief
from jobs.planning.rubber.layers import to_build_mm
from materials.science.errors import ScienceError
from materials.science.kinetics import time_at
from materials.science.sag import film_left_mm

MOST_COATS = 30
# The mean of the film over the height of a wall is two thirds of the film at its foot.
MEAN_SHARE = 2 / 3


def coats_without_thickener(brief: PlanBrief) -> int | None:
    """Count the build coats of rubber without thickener, or return None where that is not known or not sensible.

    Notes
    -----
    Coats = thickness to build ÷ (⅔ of the film that a wall as high as the piece keeps at its foot until gel), rounded up;
    more than thirty coats are not laid. The film is that of a rubber without yield stress (Jeffreys 1930, see
    `materials.science.sag.film_left_mm`).
    """
    build_mm = to_build_mm(brief)
    viscosity, density = brief.rubber.get("viscosity_pa_s"), brief.rubber.get("density_kg_m3")
    height_m = brief.takeoff.box_mm[2] / 1000
    if viscosity is None or density is None or build_mm <= 0 or height_m <= 0:
        return None
    try:
        minutes = time_at(brief.rubber, "gel_min", brief.temperature_c).value
        foot_mm = film_left_mm(below_top_m=height_m, viscosity_pa_s=viscosity.value, minutes=minutes, density_kg_m3=density.value)
    except ScienceError:
        return None
    coats = math.ceil(build_mm / (MEAN_SHARE * foot_mm) - 1e-9)
    return coats if 1 <= coats <= MOST_COATS else None
