"""Volume by displaced water, area by foil: for pieces that neither a tape nor a scanner can follow."""

import math

from jobs.geometry.errors import GeometryError
from studio.figures import Figure, Given, Source, SourceKind

WATER = Source(kind=SourceKind.PUBLISHED, text="Tanaka et al., Metrologia 38 (2001), from memory; air-free water at 101.325 kPa")
ALUMINIUM = Source(kind=SourceKind.FROM_MEMORY, text="aluminium 2700 kg/m³")
ALUMINIUM_KG_M3 = 2700.0


def water_density_kg_m3(temperature_degc: float) -> float:
    """Density of water between 0 and 40 °C [kg/m³], by the formula of `WATER`."""
    if not 0 <= temperature_degc <= 40:
        raise GeometryError("Give the water's temperature between 0 and 40 °C.")
    t = temperature_degc
    return 999.97495 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


def displaced_volume(*, mass_g: float, temperature_degc: float) -> Figure:
    """Compute a piece's volume from the water that it pushed out.

    Parameters
    ----------
    mass_g : float
        Weight of the overflow. [g]
    temperature_degc : float
        0 to 40. [°C]

    Returns
    -------
    Figure
        [m3]; too low for a piece that soaks up water.
    """
    if not math.isfinite(mass_g) or mass_g <= 0:
        raise GeometryError("The weight of the displaced water must be more than 0 g.")
    density = water_density_kg_m3(temperature_degc)
    return Figure(
        key="displaced_volume",
        label="Volume by displaced water",
        value=mass_g / 1000 / density,
        unit="m3",
        formula="mass of water ÷ its density",
        given=(
            Given(label="Displaced water", value=mass_g, unit="g", source=Source(kind=SourceKind.MEASURED, text="scale")),
            Given(label="Density of water", value=density, unit="kg/m3", source=WATER),
        ),
        note="A porous piece drinks: seal it first, or the volume reads low.",
    )


def foil_area(*, mass_g: float, thickness_um: float = 16.0) -> Figure:
    """Compute a piece's area from the weight of aluminium foil that wraps it tightly, in one layer.

    Parameters
    ----------
    mass_g : float
        Weight of the foil without overlaps. [g]
    thickness_um : float
        5 to 200; household foil is about 16. [µm]

    Returns
    -------
    Figure
        [m2]
    """
    if not math.isfinite(mass_g) or mass_g <= 0:
        raise GeometryError("The weight of the foil must be more than 0 g.")
    if not 5 <= thickness_um <= 200:
        raise GeometryError("Give the foil's thickness between 5 and 200 µm; household foil is about 16.")
    areal_g_m2 = thickness_um * 1e-6 * ALUMINIUM_KG_M3 * 1000
    return Figure(
        key="foil_area",
        label="Area by foil",
        value=mass_g / areal_g_m2,
        unit="m2",
        formula="mass of foil ÷ (thickness × density)",
        given=(
            Given(label="Foil", value=mass_g, unit="g", source=Source(kind=SourceKind.MEASURED, text="scale")),
            Given(label="Weight of one square metre", value=areal_g_m2, unit="g/m2", source=ALUMINIUM),
        ),
        note="Cut overlaps away; foil bridges fine hollows.",
    )
