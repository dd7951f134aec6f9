"""Shells of glass or fibre in resin, of putty and of brushed plastic."""

from dataclasses import dataclass

from materials.science.errors import BadThickness

GLASS_DENSITY_KG_M3 = 2560.0


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
    if layers <= 0 or layer_mass_g_m2 <= 0 or resin_per_glass <= 0:
        raise BadThickness("A laminate needs at least one layer, its mass per area and the resin it takes.")
    if resin_density_kg_m3 <= 0 or glass_density_kg_m3 <= 0:
        raise BadThickness("The densities of glass and resin must be more than nought.")
    glass = layers * layer_mass_g_m2
    resin = resin_per_glass * glass
    thickness = glass / glass_density_kg_m3 + resin / resin_density_kg_m3
    return Laminate(glass_g_m2=glass, resin_g_m2=resin, thickness_mm=thickness)


def resin_for_glass_share(*, glass_kg: float, glass_share: float) -> float:
    """Compute the resin that makes glass a given share of the laminate's mass [kg]."""
    if not 0 < glass_share < 1:
        raise BadThickness("The glass content must lie between 0 and 100 %.")
    return glass_kg / glass_share - glass_kg


def solid_shell_g_m2(*, thickness_mm: float, density_kg_m3: float) -> float:
    """Weigh a shell of one solid material (putty, brushed plastic): ρ t [g/m2]."""
    if thickness_mm <= 0 or density_kg_m3 <= 0:
        raise BadThickness("A shell needs a thickness and a density above nought.")
    return thickness_mm * density_kg_m3
