"""Plaster shells: water taken up, density when dry, powder and mass per area."""

from dataclasses import dataclass

from materials.science.checks import above_nought
from materials.science.errors import BadMixRatio, BadThickness
from studio.figures import Given, Source, SourceKind

HEMIHYDRATE_G_MOL = 145.1425
WATER_G_MOL = 18.01528
POWDER_DENSITY_KG_L = 2.63
# One and a half water per CaSO4·½H2O.
COMBINED_WATER = 1.5 * WATER_G_MOL / HEMIHYDRATE_G_MOL
LEAST_SHELL = Given(
    label="Plaster shell, at least",
    value=19.0,
    unit="mm",
    source=Source(kind=SourceKind.PUBLISHED, text="two workshops: 3/4 in, about 1 in with hemp"),
)
FIBRE_LAYERS = Given(
    label="Layers of fibre",
    value=3.0,
    unit="1",
    low=2.0,
    high=4.0,
    source=Source(kind=SourceKind.PUBLISHED, text="workshops' accounts"),
)
_HEAT = Source(kind=SourceKind.PUBLISHED, text="an art-education body's safety note")
HOTTEST = Given(label="A thick mass of plaster gets as warm as", value=60.0, unit="degC", source=_HEAT)
BURNS_FROM = Given(label="Skin is hurt by long contact from", value=45.0, unit="degC", source=_HEAT)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlasterLayer:
    """What one square metre of plaster takes and weighs."""

    powder_g_m2: float
    water_g_m2: float
    dry_g_m2: float


def slurry_l_per_kg(*, water_per_100: float) -> float:
    """Compute the litres of slurry from one kilogram of powder: 1/2.63 + water/100 [L/kg]."""
    if not 15 <= water_per_100 <= 150:
        raise BadMixRatio("Water must lie between 15 and 150 parts to 100 parts of plaster.")
    return 1 / POWDER_DENSITY_KG_L + water_per_100 / 100


def dry_density_kg_m3(*, water_per_100: float) -> float:
    """Compute the density of set and dried plaster; the slurry's volume stays, the free water leaves [kg/m3]."""
    return 1000 * (1 + COMBINED_WATER) / slurry_l_per_kg(water_per_100=water_per_100)


def plaster_layer(*, thickness_mm: float, water_per_100: float) -> PlasterLayer:
    """Compute powder, water and dry mass per area.

    Notes
    -----
    powder = t / slurry volume per kg; dry = powder × 1.186 (water combined by CaSO4·½H2O + 1½ H2O).

    References
    ----------
    .. [1] Stoichiometry of gypsum; 2.63 kg/L for the powder is a handbook density (from memory: check).
    """
    if not above_nought(thickness_mm):
        raise BadThickness("A plaster shell needs a thickness above nought.")
    powder = 1000 * thickness_mm / slurry_l_per_kg(water_per_100=water_per_100)
    return PlasterLayer(powder_g_m2=powder, water_g_m2=powder * water_per_100 / 100, dry_g_m2=powder * (1 + COMBINED_WATER))
