"""How much surface ridges add to a smooth area; it counts for the print coat alone."""

import math

from materials.science.errors import BadThickness


def ridge_factor(*, amplitude_to_wavelength: float, steps: int = 720) -> float:
    """Compute true over smooth area for sine ridges.

    Parameters
    ----------
    amplitude_to_wavelength : float
        Amplitude over wavelength of the ridges, 0 to 2. [1]
    steps : int
        Points of the sum over one period.

    Notes
    -----
    Mean of √(1 + (2π a/λ cos x)²) over a period, by the trapezoid rule, which converges fast for a periodic function.
    """
    if not 0 <= amplitude_to_wavelength <= 2:
        raise BadThickness("The ridges' amplitude over their wavelength must lie between 0 and 2.")
    slope = 2 * math.pi * amplitude_to_wavelength
    return sum(math.hypot(1.0, slope * math.cos(2 * math.pi * i / steps)) for i in range(steps)) / steps
