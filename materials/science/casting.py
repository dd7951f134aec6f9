"""Turning resin in a mold: the shot, the film that rotation can hold, the cycle, and castings a day."""

import math

from materials.properties import Chemistry
from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import BadThickness, OutsideRange
from materials.science.mixing import GRAVITY_M_S2
from studio.figures import Given, Source, SourceKind, high_end

# Largest continuous film, from H − H³ cos θ / 3 = 2/3 round the wall: its integral is 4.4427235, over 2π.
FILM_CONSTANT = 0.7070814
_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
_MEMORY = Source(kind=SourceKind.FROM_MEMORY)
NEAR_GEL = Given(label="Viscosity minutes before gel, about", value=1.0, unit="Pa*s", source=_PRACTICE)
FEWEST_SKINS = Given(
    label="Skins of a hollow casting, at least",
    value=3.0,
    unit="1",
    high=4.0,
    source=Source(kind=SourceKind.PUBLISHED, text="a resin maker's answers: three to four pours"),
)
WALL_SPREAD = Given(label="Unevenness of a turned wall", value=25.0, unit="%", low=20.0, high=30.0, source=_PRACTICE)
# Heat of cure (kJ/kg) and specific heat (kJ/kg/K) by resin.
_HEATS: dict[Chemistry, tuple[float, float]] = {
    Chemistry.POLYURETHANE: (200.0, 1.8),
    Chemistry.POLYESTER: (350.0, 1.9),
    Chemistry.EPOXY: (450.0, 1.9),
}


def flat_shot_g(*, area_m2: float, wall_mm: float, density_kg_m3: float) -> float:
    """Weigh the resin of one casting as if its wall were flat: ρ A w, the quantity to buy [g]."""
    if not above_nought(area_m2, wall_mm, density_kg_m3):
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
    if not above_nought(viscosity_pa_s, turning_rpm, radius_m, density_kg_m3):
        raise BadThickness("The film needs a viscosity, a speed, a radius and a density above nought.")
    speed_rad_s = turning_rpm * 2 * math.pi / 60
    return 1000 * FILM_CONSTANT * math.sqrt(viscosity_pa_s * speed_rad_s * radius_m / (density_kg_m3 * GRAVITY_M_S2))


def film_near_gel_mm(*, viscosity_pa_s: float, turning_rpm: float, radius_m: float, density_kg_m3: float) -> float:
    """Compute the film that turning holds once the resin has thickened to about 1 Pa·s, or is so already [mm].

    Parameters and errors are those of `film_limit_mm`; the viscosity is that of the fresh mix.
    """
    if not above_nought(viscosity_pa_s):
        raise BadThickness("The film needs a viscosity above nought.")
    return film_limit_mm(
        viscosity_pa_s=max(viscosity_pa_s, NEAR_GEL.value),
        turning_rpm=turning_rpm,
        radius_m=radius_m,
        density_kg_m3=density_kg_m3,
    )


def skins_for(*, wall_mm: float, film_mm: float) -> int:
    """Count the skins that build a wall when each is no thicker than the film that turning holds, at least three."""
    if not above_nought(wall_mm, film_mm):
        raise BadThickness("A casting needs a wall and a film above nought.")
    return max(int(FEWEST_SKINS.value), math.ceil(wall_mm / film_mm - 1e-9))


def heat_of(resin: Chemistry) -> tuple[Given, Given] | None:
    """Return the heat of cure [kJ/kg] and the specific heat [kJ/kg/K] of a resin from memory, or None."""
    found = _HEATS.get(resin)
    if found is None:
        return None
    return (
        Given(label="Heat of cure", value=found[0], unit="kJ/kg", source=_MEMORY),
        Given(label="Specific heat", value=found[1], unit="kJ/kg/K", source=_MEMORY),
    )


def adiabatic_rise_k(*, heat_kj_kg: float, specific_heat_kj_kg_k: float) -> float:
    """Compute the rise of temperature of a mass that loses no heat while it cures: Δh / c_p [K].

    Thick bottoms and puddles come near it; thin skins lose their heat and stay far below.
    """
    if not 0 <= heat_kj_kg <= 800 or not 0.5 <= specific_heat_kj_kg_k <= 4.2:
        raise OutsideRange("Heat of cure lies between 0 and 800 kJ/kg and specific heat between 0.5 and 4.2 kJ/kg/K.")
    return heat_kj_kg / specific_heat_kj_kg_k


def wall_spread_mm(wall_mm: float) -> tuple[float, float]:
    """Return the thinnest and thickest that a turned wall comes out, by common practice ±30 % [mm]."""
    if not above_nought(wall_mm):
        raise BadThickness("A casting needs a wall above nought.")
    most = high_end(WALL_SPREAD) / 100
    return wall_mm * (1 - most), wall_mm * (1 + most)


def cycle_min(
    *,
    prepare_min: float,
    skins: int,
    pour_min: float,
    wait_min: float,
    demold_min: float,
    take_out_min: float,
    clean_min: float,
) -> float:
    """Compute how long a mold is busy with one casting [min].

    Notes
    -----
    preparing + skins × (pouring and turning + waiting) + curing + taking out + cleaning.
    """
    times = (prepare_min, pour_min, wait_min, demold_min, take_out_min, clean_min)
    if not skins >= 1 or not nought_or_more(*times):
        raise BadThickness("A cycle needs at least one skin, and no time in it can be less than nought.")
    return prepare_min + skins * (pour_min + wait_min) + demold_min + take_out_min + clean_min


def molds_kept_going(molds: int, *, active_min: float, cycle_min: float) -> int:
    """Count the molds that one person keeps going: two only when hands are on each for less than half of its cycle.

    The same holds for more: the hands of n castings must fit into one cycle.
    """
    kept = 1
    while kept < molds and (kept + 1) * active_min < cycle_min:
        kept += 1
    return kept


def castings_per_day(*, shift_h: float, startup_h: float, cycle_h: float) -> int:
    """Count the castings one mold gives in a working day: floor((shift − start-up) / cycle)."""
    if not above_nought(cycle_h):
        raise BadThickness("The cycle of a casting must take more than no time.")
    if not nought_or_more(shift_h, startup_h):
        raise BadThickness("A working day and its start-up cannot be less than nought.")
    return max(0, math.floor((shift_h - startup_h) / cycle_h + 1e-9))
