"""How much area a surface's texture adds for the print coat."""

import math

from jobs.geometry.errors import GeometryError
from studio.figures import Given, Source, SourceKind

MAX_FACTOR = 3.0
SMOOTH = Given(label="Texture factor", value=1.0, unit="1")


def typed_texture(factor: float) -> Given:
    """Take a texture factor as typed: true over smooth area, 1 to 3."""
    if not math.isfinite(factor) or not 1.0 <= factor <= MAX_FACTOR:
        raise GeometryError(f"The texture factor must lie between 1 (smooth) and {MAX_FACTOR:g}.")
    return Given(label="Texture factor", value=factor, unit="1")


def ridged_texture(*, amplitude_mm: float, wavelength_mm: float) -> Given:
    """Compute the texture factor of ridges.

    Parameters
    ----------
    amplitude_mm : float
        Half the depth from crest to trough. [mm]
    wavelength_mm : float
        Distance from crest to crest. [mm]

    Notes
    -----
    The mean of √(1 + (2πa/λ cos x)²) over one ridge, which is (2/π) E(−(2πa/λ)²).

    References
    ----------
    Arc length of a sine by the complete elliptic integral of the second kind (scipy).
    """
    from scipy.special import ellipe

    if not (math.isfinite(amplitude_mm) and amplitude_mm >= 0 and math.isfinite(wavelength_mm) and wavelength_mm > 0):
        raise GeometryError("Give the ridges a depth of 0 mm or more and a distance above 0 mm.")
    steepness = 2 * math.pi * amplitude_mm / wavelength_mm
    factor = 2 / math.pi * float(ellipe(-(steepness**2)))
    if factor > MAX_FACTOR:
        raise GeometryError("Ridges this steep are hollows; enter them as hollows, or measure their true area.")
    text = f"ridges a = {amplitude_mm / wavelength_mm:.3g} λ high: mean of √(1 + (2πa/λ cos x)²)"
    return Given(label="Texture factor", value=factor, unit="1", source=Source(kind=SourceKind.COMPUTED, text=text))
