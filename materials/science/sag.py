"""How thick a coat stays on a wall."""

import math

from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import BadThickness, CoatWillNotHold
from materials.science.material import MaterialSpec
from materials.science.mixing import GRAVITY_M_S2, drained_film_mm
from studio.figures import Figure, Source, SourceKind

MEZGER = Source(kind=SourceKind.PUBLISHED, text="Mezger, The Rheology Handbook, 3.3.4.2.12d: τ = a ρ g")


def held_thickness_mm(*, yield_stress_pa: float, density_kg_m3: float, slope_deg: float = 90.0) -> float:
    """Compute the thickest coat that a yield stress holds on a slope (90 is a vertical wall) [mm].

    Notes
    -----
    t = τ_y / (ρ g sin θ).

    References
    ----------
    .. [1] T. Mezger, The Rheology Handbook, 3.3.4.2.12d (published).
    """
    if not (nought_or_more(yield_stress_pa) and above_nought(density_kg_m3)) or not 0 < slope_deg <= 90:
        raise BadThickness("A held thickness needs a yield stress, a density above nought and a slope of 1 to 90°.")
    return 1000 * yield_stress_pa / (density_kg_m3 * GRAVITY_M_S2 * math.sin(math.radians(slope_deg)))


def yield_stress_to_hold_pa(*, thickness_mm: float, density_kg_m3: float) -> float:
    """Compute the yield stress that holds a coat on a vertical wall: τ = ρ g t [Pa]."""
    if not (nought_or_more(thickness_mm) and above_nought(density_kg_m3)):
        raise BadThickness("A coat to be held needs a thickness of nought or more and a density above nought.")
    return density_kg_m3 * GRAVITY_M_S2 * thickness_mm / 1000


def run_distance_m(*, thickness_mm: float, viscosity_pa_s: float, minutes: float, density_kg_m3: float) -> float:
    """Compute how far the surface of an unthickened coat runs down a wall: x = ρ g h² t / (2 μ) [m]."""
    if not (above_nought(viscosity_pa_s, density_kg_m3) and nought_or_more(thickness_mm, minutes)):
        raise BadThickness("A coat that runs needs a viscosity and a density above nought, and a thickness and a time.")
    height_m, seconds = thickness_mm / 1000, minutes * 60
    return density_kg_m3 * GRAVITY_M_S2 * height_m**2 * seconds / (2 * viscosity_pa_s)


def film_left_mm(*, below_top_m: float, viscosity_pa_s: float, minutes: float, density_kg_m3: float) -> float:
    """Compute what an unthickened coat leaves on a wall, whatever was laid: the rest has run to the foot [mm].

    Parameters
    ----------
    below_top_m : float
        Distance below the top of the wall; the film is thinnest at the top. [m]
    viscosity_pa_s : float
        Viscosity of the mix, which must have no yield stress. [Pa·s]
    minutes : float
        Time until gel. [min]
    density_kg_m3 : float
        Density of the mix. [kg/m3]

    Raises
    ------
    BadMixRatio
        When a number is not above nought.

    Notes
    -----
    √(μ z / (ρ g t)); the mean over that distance is two thirds of it. More than this does not count toward the wall.

    References
    ----------
    .. [1] H. Jeffreys, 1930: the draining of a vertical plate (from memory: check).
    """
    return drained_film_mm(viscosity_pa_s=viscosity_pa_s, height_m=below_top_m, seconds=60 * minutes, density_kg_m3=density_kg_m3)


def unevenness_of_coats(*, variation: float, coats: int) -> float:
    """Compute the unevenness of a wall of several coats that are each as uneven and know nothing of each other: CV / √n [1]."""
    if not (math.isfinite(variation) and variation >= 0) or not coats >= 1:
        raise BadThickness("The unevenness of a wall needs that of one coat, nought or more, and at least one coat.")
    return variation / math.sqrt(coats)


def mean_for_minimum_mm(*, least_mm: float, variation: float, z: float = 1.645) -> float:
    """Compute the mean wall that keeps 95 % of spots above a minimum: t / (1 − 1.645 CV) [mm]."""
    if not nought_or_more(least_mm):
        raise BadThickness("The least wall cannot be less than nought.")
    if not 0 <= z * variation < 1:
        raise BadThickness("The unevenness of the wall is too large to promise a minimum.")
    return least_mm / (1 - z * variation)


def held_by(material: MaterialSpec) -> Figure:
    """Return what the material holds on a vertical wall: stated, or from its yield stress [mm]."""
    stated = material.get("held_thickness_mm")
    if stated is not None:
        return Figure(
            key="held_thickness",
            label="Thickness a wall holds",
            value=stated.value,
            unit="mm",
            formula="as stated for the material",
            given=(stated,),
            source=stated.source,
            low=stated.low,
            high=stated.high,
        )
    stress = material.get("yield_stress_pa")
    if stress is None:
        stress = material.need("held_thickness_mm")
    density = material.need("density_kg_m3")
    return Figure(
        key="held_thickness",
        label="Thickness a wall holds",
        value=held_thickness_mm(yield_stress_pa=stress.value, density_kg_m3=density.value),
        unit="mm",
        formula="yield stress ÷ (density × g)",
        given=(stress, density),
        source=MEZGER,
    )


def coats_to_build(*, build_mm: float, held_mm: float, sag_factor: float) -> int:
    """Count the equal coats that reach a thickness, none thicker than the share of the held thickness to count on."""
    if build_mm <= 1e-9:
        return 0
    usable = held_mm * sag_factor
    if usable <= 0:
        raise CoatWillNotHold(
            "This rubber holds nothing on a wall; add its held thickness with thickener, or give the number of coats."
        )
    return max(1, math.ceil(build_mm / usable - 1e-9))
