"""Shells of glass or fibre in resin, of putty and of brushed plastic."""

import math
from dataclasses import dataclass

from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import BadMixRatio, BadThickness
from studio.figures import Given, Source, SourceKind

GLASS_DENSITY_KG_M3 = 2560.0
WET_LAYERS = Given(
    label="Layers laid wet on wet, at most",
    value=4.0,
    unit="1",
    source=Source(kind=SourceKind.PUBLISHED, text="a resin maker's laminating notes; let the heat pass before the next"),
)
LEAST_PEROXIDE_PERCENT, MOST_PEROXIDE_PERCENT = 1.0, 2.0
_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
PUTTY_MM = Given(label="Putty shell", value=6.0, unit="mm", low=4.0, high=8.0, source=_PRACTICE)
BRUSHED_PLASTIC_MM = Given(label="Brushed plastic shell", value=6.5, unit="mm", low=5.0, high=8.0, source=_PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laminate:
    """What one square metre of laminate is made of and how thick it gets."""

    glass_g_m2: float
    resin_g_m2: float
    thickness_mm: float

    @property
    def mass_g_m2(self) -> float:
        """Mass of the laminate [g/m2]."""
        return self.glass_g_m2 + self.resin_g_m2


def laminate(
    *,
    layers: float,
    layer_mass_g_m2: float,
    resin_per_glass: float,
    resin_density_kg_m3: float,
    glass_density_kg_m3: float = GLASS_DENSITY_KG_M3,
) -> Laminate:
    """Compute glass, resin and thickness of a hand-laid laminate.

    Notes
    -----
    resin = k × glass; thickness = glass/ρ_glass + resin/ρ_resin. k is 2.5 for chopped strand mat (2.0 to 3.0 seen),
    about 1 for cloth.

    References
    ----------
    .. [1] Three suppliers' laminating notes (published); cloth is common practice.
    """
    if not above_nought(layers, layer_mass_g_m2, resin_per_glass):
        raise BadThickness("A laminate needs at least one layer, its mass per area and the resin it takes.")
    if not above_nought(resin_density_kg_m3, glass_density_kg_m3):
        raise BadThickness("The densities of glass and resin must be more than nought.")
    glass = layers * layer_mass_g_m2
    resin = resin_per_glass * glass
    thickness = glass / glass_density_kg_m3 + resin / resin_density_kg_m3
    return Laminate(glass_g_m2=glass, resin_g_m2=resin, thickness_mm=thickness)


def resin_for_glass_share(*, glass_kg: float, glass_share: float) -> float:
    """Compute the resin that makes glass a given share of the laminate's mass [kg]."""
    if not 0 < glass_share < 1:
        raise BadThickness("The glass content must lie between 0 and 100 %.")
    if not nought_or_more(glass_kg):
        raise BadThickness("A mass of glass cannot be less than nought.")
    return glass_kg / glass_share - glass_kg


def solid_shell_g_m2(*, thickness_mm: float, density_kg_m3: float) -> float:
    """Weigh a shell of one solid material (putty, brushed plastic): ρ t [g/m2]."""
    if not above_nought(thickness_mm, density_kg_m3):
        raise BadThickness("A shell needs a thickness and a density above nought.")
    return thickness_mm * density_kg_m3


def peroxide_g(*, resin_g: float, percent: float) -> float:
    """Weigh the peroxide of polyester resin, 1 to 2 % on the resin [g].

    Raises
    ------
    BadMixRatio
        Outside 1 to 2 %: with less it may never cure, with more it runs hot and weakens.
    """
    if not LEAST_PEROXIDE_PERCENT <= percent <= MOST_PEROXIDE_PERCENT:
        raise BadMixRatio(
            f"Polyester takes {LEAST_PEROXIDE_PERCENT:g} to {MOST_PEROXIDE_PERCENT:g} % of peroxide; follow its data sheet and "
            "warm the room instead."
        )
    if not nought_or_more(resin_g):
        raise BadThickness("A mass of resin cannot be less than nought.")
    return resin_g * percent / 100


def wet_sessions(*, layers: float) -> int:
    """Count the sessions of laying, no more than four layers wet on wet, whose heat passes before the next."""
    if not above_nought(layers):
        raise BadThickness("A laminate needs at least one layer.")
    return math.ceil(layers / WET_LAYERS.value - 1e-9)


def layers_of_practice(*, longest_mm: float) -> Given:
    """Return how many layers of mat shells of a size usually get: 2 to 4 up to 0.5 m, 4 to 6 with stiffeners above 1 m.

    Between the two sizes practice is silent, so all that either says is returned.
    """
    if not above_nought(longest_mm):
        raise BadThickness("The size of the shell must be more than nought.")
    low, high = (2.0, 4.0) if longest_mm <= 500 else (4.0, 6.0) if longest_mm > 1000 else (2.0, 6.0)
    return Given(label="Usual layers", value=(low + high) / 2, unit="1", low=low, high=high, source=_PRACTICE)


def gelcoat_m2_per_kg(*, thickness_mm: float, density_kg_m3: float) -> float:
    """Compute what one kilogram of gelcoat covers: 1 / (ρ t) [m2/kg]."""
    if not above_nought(thickness_mm, density_kg_m3):
        raise BadThickness("Gelcoat needs a thickness and a density above nought.")
    return 1000 / (thickness_mm * density_kg_m3)
