"""What warmth does to size: rubber cured warm is smaller when it is used cool."""

from materials.science.checks import nought_or_more
from materials.science.errors import BadThickness, TemperatureOutOfRange
from studio.figures import Given, Source, SourceKind, high_end, low_end

VOLUME_PER_K = Given(
    label="Silicone rubber expands by volume",
    value=690.0,
    unit="ppm/K",
    low=590.0,
    high=790.0,
    source=Source(kind=SourceKind.PUBLISHED, text="a silicone molder's design notes: 5.9 to 7.9e-4 per K"),
)
COLDEST_C, WARMEST_C = 0.0, 120.0


def linear_per_k() -> tuple[float, float]:
    """Return the lowest and highest lengthening of silicone rubber, a third of that of its volume [1/K]."""
    low, high = low_end(VOLUME_PER_K), high_end(VOLUME_PER_K)
    return low / 3e6, high / 3e6


def warm_cure_loss_mm(*, length_mm: float, cure_c: float, use_c: float) -> tuple[float, float]:
    """Compute how much shorter rubber is at use than at cure, lowest and highest; below nought is longer [mm].

    Parameters
    ----------
    length_mm : float
        Length at cure, nought or more. [mm]
    cure_c, use_c : float
        Temperatures of cure and of use, 0 to 120. [degC]

    Raises
    ------
    TemperatureOutOfRange
        When a temperature lies outside 0 to 120 °C.

    Notes
    -----
    ΔL = L α ΔT with the published range of α. A shell holds the rubber partly at size, so this is the free value.

    References
    ----------
    .. [1] A silicone molder's design notes (published).
    """
    for temperature in (cure_c, use_c):
        if not COLDEST_C <= temperature <= WARMEST_C:
            raise TemperatureOutOfRange("Change of size by warmth is known for 0 to 120 °C (32 to 248 °F).")
    if not nought_or_more(length_mm):
        raise BadThickness("A length cannot be less than nought.")
    step = length_mm * (cure_c - use_c)
    low, high = sorted(step * share for share in linear_per_k())
    return low, high
