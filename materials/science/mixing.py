"""Weights in a cup: ratios by weight and by volume, what clings to the cup, what a kit still gives."""

import math
from dataclasses import dataclass

from materials.properties import MixBasis
from materials.science.checks import nought_or_more
from materials.science.errors import BadMixRatio, BadThickness
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given

GRAVITY_M_S2 = 9.80665


def weight_ratio_from_volume(*, parts_a: float, parts_b: float, density_a_kg_m3: float, density_b_kg_m3: float) -> float:
    """Turn a ratio by volume into a mass of B per mass of A.

    Notes
    -----
    w_B / w_A = (v_B / v_A) (ρ_B / ρ_A): "1:1 by volume" is weighed 1:1 only when the densities agree.

    Raises
    ------
    BadMixRatio
        When a part or a density is not above nought.
    """
    for what, value in (
        ("part A", parts_a),
        ("part B", parts_b),
        ("density of A", density_a_kg_m3),
        ("density of B", density_b_kg_m3),
    ):
        _above_nought(what, value)
    return parts_b / parts_a * density_b_kg_m3 / density_a_kg_m3


def split_batch(*, mass_g: float, parts_a: float, parts_b: float) -> tuple[float, float]:
    """Split a mix into A and B by weight [g].

    Notes
    -----
    m_A = m a / (a + b). "5 % on the base" is 100:5; "5 % of the mix" is 95:5.
    """
    _above_nought("part A", parts_a)
    if parts_b < 0 or not math.isfinite(parts_b):
        raise BadMixRatio("Part B of the mix ratio must be nought or more; correct it on the material's page.")
    if not nought_or_more(mass_g):
        raise BadThickness("A mass to split cannot be less than nought.")
    whole = parts_a + parts_b
    return mass_g * parts_a / whole, mass_g * parts_b / whole


def component_shares(material: MaterialSpec) -> tuple[Figure, Figure]:
    """Compute the shares of A and B by weight in a mix of this material; they sum to 1.

    Raises
    ------
    MissingProperty
        When the ratio is not stated in the way the material says it is mixed.
    BadMixRatio
        When the ratio is impossible.
    """
    basis = material.mix_basis
    if basis is MixBasis.ONE_PART:
        return _shares(1.0, 0.0, "one part, used as it comes", ())
    if basis is MixBasis.BY_WEIGHT:
        a, b = material.need("parts_a_by_weight"), material.need("parts_b_by_weight")
        share_a, share_b = split_batch(mass_g=1.0, parts_a=a.value, parts_b=b.value)
        return _shares(share_a, share_b, "parts ÷ (parts A + parts B)", (a, b))
    if basis is MixBasis.BY_VOLUME:
        a, b = material.need("parts_a_by_volume"), material.need("parts_b_by_volume")
        rho_a, rho_b = material.need("density_a_kg_m3"), material.need("density_b_kg_m3")
        ratio = weight_ratio_from_volume(
            parts_a=a.value, parts_b=b.value, density_a_kg_m3=rho_a.value, density_b_kg_m3=rho_b.value
        )
        share_a, share_b = split_batch(mass_g=1.0, parts_a=1.0, parts_b=ratio)
        return _shares(share_a, share_b, "volume parts × density ÷ their sum", (a, rho_a, b, rho_b))
    dose = material.need("dose_percent")
    if basis is MixBasis.PERCENT_ON_BASE:
        share_a, share_b = split_batch(mass_g=1.0, parts_a=100.0, parts_b=dose.value)
        return _shares(share_a, share_b, "B = dose on A: 100 ÷ (100 + dose) and dose ÷ (100 + dose)", (dose,))
    if not 0 <= dose.value < 100:
        raise BadMixRatio(f"{material.name}: B must be less than 100 % of the mix; correct the dose.")
    return _shares(1 - dose.value / 100, dose.value / 100, "B = dose of the whole mix", (dose,))


def mixed_mass(*, net_mass_g: float, loss_percent: float) -> float:
    """Compute what must be mixed so that `net_mass_g` ends on the work: net ÷ (1 − loss) [g]."""
    if not 0 <= loss_percent <= 60:
        raise BadMixRatio(f"A loss of {loss_percent:g} % is not believable; give 0 to 60 %.")
    if not nought_or_more(net_mass_g):
        raise BadThickness("A mass on the work cannot be less than nought; check the thicknesses.")
    return net_mass_g / (1 - loss_percent / 100)


def mixed_density(*, masses_g: tuple[float, ...], densities_kg_m3: tuple[float, ...]) -> float:
    """Compute the density of a mix from masses and densities: 1/ρ = Σ(w_i/ρ_i), no change of volume [kg/m3]."""
    if len(masses_g) != len(densities_kg_m3) or not masses_g:
        raise BadMixRatio("Each ingredient of a mix needs its mass and its density.")
    for rho in densities_kg_m3:
        _above_nought("density", rho)
    volume = sum(mass / rho for mass, rho in zip(masses_g, densities_kg_m3, strict=True))
    _above_nought("mass of the mix", volume)
    return sum(masses_g) / volume


def drained_film_mm(*, viscosity_pa_s: float, height_m: float, seconds: float, density_kg_m3: float) -> float:
    """Compute the film left at a depth below the top of a draining wall [mm].

    Notes
    -----
    δ = √(μ z / (ρ g t)); the mean over the height is two thirds of the value at its foot.

    References
    ----------
    .. [1] H. Jeffreys, 1930: the draining of a vertical plate (from memory: check).
    """
    for what, value in (("viscosity", viscosity_pa_s), ("time", seconds), ("density", density_kg_m3)):
        _above_nought(what, value)
    if not nought_or_more(height_m):
        raise BadThickness("A depth below the top of a wall cannot be less than nought.")
    return 1000 * math.sqrt(viscosity_pa_s * height_m / (density_kg_m3 * GRAVITY_M_S2 * seconds))


def cup_loss_g(*, diameter_mm: float, filled_mm: float, film_mm: float, density_kg_m3: float) -> float:
    """Weigh the film that stays on the wall and the bottom of a cup [g]."""
    if not nought_or_more(diameter_mm, filled_mm, film_mm, density_kg_m3):
        raise BadThickness("A cup needs a size, a film and a density of nought or more.")
    radius_m, height_m = diameter_mm / 2000, filled_mm / 1000
    area_m2 = 2 * math.pi * radius_m * height_m + math.pi * radius_m**2
    return area_m2 * film_mm * density_kg_m3


def cup_loss_share(*, mix_g: float, diameter_mm: float, filled_mm: float, film_mm: float, density_kg_m3: float) -> float:
    """Compute what share of a mix stays in its cup: small mixes waste more of themselves [1].

    Raises
    ------
    BadMixRatio
        When the cup keeps all of the mix.
    """
    _above_nought("mass of the mix", mix_g)
    share = cup_loss_g(diameter_mm=diameter_mm, filled_mm=filled_mm, film_mm=film_mm, density_kg_m3=density_kg_m3) / mix_g
    if share >= 1:
        raise BadMixRatio("All of this mix would stay in the cup; take a smaller cup, or mix more at once.")
    return share


@dataclass(frozen=True, slots=True, kw_only=True)
class KitUse:
    """What two containers still give together, and what is left over of either [g]."""

    usable_g: float
    stranded_a_g: float
    stranded_b_g: float


def kit_use(*, stock_a_g: float, stock_b_g: float, parts_a: float, parts_b: float) -> KitUse:
    """Compute the usable mass of an A and B that belong together.

    Notes
    -----
    usable = min(A/a, B/b) (a + b).
    """
    _above_nought("part A", parts_a)
    _above_nought("part B", parts_b)
    if not nought_or_more(stock_a_g, stock_b_g):
        raise BadMixRatio("The stock of a component cannot be less than nought.")
    turns = min(stock_a_g / parts_a, stock_b_g / parts_b)
    return KitUse(
        usable_g=turns * (parts_a + parts_b),
        stranded_a_g=max(stock_a_g - turns * parts_a, 0.0),
        stranded_b_g=max(stock_b_g - turns * parts_b, 0.0),
    )


def kit_use_overdosed(*, stock_a_g: float, stock_b_g: float, parts_a: float, parts_b: float, overdose_percent: float) -> KitUse:
    """Compute what a kit gives when B is weighed too generously each time: B runs out first and strands A.

    The overdose is 0 to 20 % of each dose.

    Raises
    ------
    BadMixRatio
        When a part, a stock or the overdose is impossible.

    Notes
    -----
    As `kit_use` with b (1 + overdose).
    """
    if not 0 <= overdose_percent <= 20:
        raise BadMixRatio("B is overdosed by 0 to 20 %; beyond that the mix is no longer what was meant.")
    return kit_use(stock_a_g=stock_a_g, stock_b_g=stock_b_g, parts_a=parts_a, parts_b=parts_b * (1 + overdose_percent / 100))


def _shares(share_a: float, share_b: float, formula: str, given: tuple[Given, ...]) -> tuple[Figure, Figure]:
    return (
        Figure(key="share_a", label="Share of A", value=share_a, unit="1", formula=formula, given=given),
        Figure(key="share_b", label="Share of B", value=share_b, unit="1", formula=formula, given=given),
    )


def _above_nought(what: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise BadMixRatio(f"The {what} must be more than nought; correct it on the material's page.")
