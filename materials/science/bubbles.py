"""Bubbles in fresh rubber: how fast they rise, which of them leave a layer in time, which a thickened rubber holds."""

import math

from materials.science.errors import BadBubble
from materials.science.mixing import GRAVITY_M_S2

LARGEST_REYNOLDS = 0.1
LARGEST_BUBBLE_MM = 5.0
HOLDING_SHARE = 0.143


def rise_speed_m_s(*, bubble_mm: float, viscosity_pa_s: float, density_kg_m3: float, clean: bool = False) -> float:
    """Compute how fast a bubble rises in fresh rubber that flows.

    Parameters
    ----------
    bubble_mm : float
        Diameter of the bubble, up to 5 mm: larger ones are no longer round. [mm]
    viscosity_pa_s : float
        Viscosity of the mix. [Pa·s]
    density_kg_m3 : float
        Density of the mix; that of the gas is neglected. [kg/m3]
    clean : bool
        Whether the bubble's surface moves freely. Filled rubber is never that clean, so the slower is the rule.

    Returns
    -------
    float
        Speed of the bubble. [m/s]

    Raises
    ------
    BadBubble
        When a number is not above nought, the bubble too large, or the flow not slow (Reynolds number above 0.1).

    Notes
    -----
    v = ρ g d² / (18 μ) (Stokes); a clean surface rises 1.5 times as fast (Hadamard and Rybczynski).
    """
    _above_nought(bubble=bubble_mm, viscosity=viscosity_pa_s, density=density_kg_m3)
    if bubble_mm > LARGEST_BUBBLE_MM:
        raise BadBubble("The speed is only known for bubbles up to 5 mm (0.2 in) across; stir more slowly, or pop large ones.")
    diameter_m = bubble_mm / 1000
    speed = density_kg_m3 * GRAVITY_M_S2 * diameter_m**2 / ((12 if clean else 18) * viscosity_pa_s)
    if density_kg_m3 * speed * diameter_m / viscosity_pa_s > LARGEST_REYNOLDS:
        raise BadBubble("The mix is too thin for the law of slow bubbles; check its viscosity.")
    return speed


def flowing_minutes(*, minutes: float, doubling_min: float | None = None) -> float:
    """Compute how many minutes at the first viscosity the time until gel is worth [min].

    Notes
    -----
    With a viscosity that doubles every t2 minutes: τ (1 − e^(−t/τ)), τ = t2 / ln 2. Without thickening it is the time itself.
    """
    _above_nought(time=minutes)
    if doubling_min is None:
        return minutes
    _above_nought(**{"time in which the viscosity doubles": doubling_min})
    tau = doubling_min / math.log(2)
    return -tau * math.expm1(-minutes / tau)


def cleared_layer_mm(
    *, bubble_mm: float, viscosity_pa_s: float, minutes: float, density_kg_m3: float, doubling_min: float | None = None
) -> float:
    """Compute the thickest lying layer that bubbles of one size leave before the rubber gels [mm].

    Notes
    -----
    h = (ρ g d² / 18) ∫ dt / μ(t). Only for rubber that flows: see `held_bubble_mm` for thickened rubber.
    """
    speed = rise_speed_m_s(bubble_mm=bubble_mm, viscosity_pa_s=viscosity_pa_s, density_kg_m3=density_kg_m3)
    return 1000 * speed * 60 * flowing_minutes(minutes=minutes, doubling_min=doubling_min)


def smallest_leaving_mm(
    *, layer_mm: float, viscosity_pa_s: float, minutes: float, density_kg_m3: float, doubling_min: float | None = None
) -> float:
    """Compute the diameter of the smallest bubble that leaves a lying layer before the rubber gels [mm].

    Parameters
    ----------
    layer_mm : float
        Thickness of the layer. [mm]
    viscosity_pa_s : float
        Viscosity of the fresh, unthickened mix. [Pa·s]
    minutes : float
        Time until gel. [min]
    density_kg_m3 : float
        Density of the mix. [kg/m3]
    doubling_min : float, optional
        Time in which the viscosity doubles; None counts it as constant, which flatters. [min]

    Returns
    -------
    float
        Diameter; a value above the layer itself means that nothing leaves it by itself. [mm]

    Raises
    ------
    BadBubble
        When a number is not above nought.

    Notes
    -----
    d = √(18 μ h / (ρ g t)).
    """
    _above_nought(layer=layer_mm, viscosity=viscosity_pa_s, density=density_kg_m3)
    seconds = 60 * flowing_minutes(minutes=minutes, doubling_min=doubling_min)
    return 1000 * math.sqrt(18 * viscosity_pa_s * layer_mm / 1000 / (density_kg_m3 * GRAVITY_M_S2 * seconds))


def held_bubble_mm(*, yield_stress_pa: float, density_kg_m3: float) -> float:
    """Compute the diameter of the largest bubble that a thickened rubber holds where it is [mm].

    Notes
    -----
    τ_y = 0.143 ρ g R, R the radius; what counts is the order of magnitude.

    References
    ----------
    .. [1] Tsamopoulos et al. 2008 for bubbles; Beris et al. 1985 for spheres (both from memory: check).
    """
    if not (math.isfinite(yield_stress_pa) and yield_stress_pa >= 0):
        raise BadBubble("The yield stress must be nought or more; correct it on the material's page.")
    _above_nought(density=density_kg_m3)
    return 2 * 1000 * yield_stress_pa / (HOLDING_SHARE * density_kg_m3 * GRAVITY_M_S2)


def _above_nought(**numbers: float) -> None:
    for what, value in numbers.items():
        if not (math.isfinite(value) and value > 0):
            raise BadBubble(f"The {what} must be more than nought to tell how bubbles rise; correct it.")
