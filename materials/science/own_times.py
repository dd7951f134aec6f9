"""What the studio's own timings say: how strongly temperature drives the cure, and the time at the reference temperature."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from materials.science.errors import ImpossibleTimings, TooFewTimings
from materials.science.kinetics import COLDEST_C, GAS_CONSTANT_J_MOL_K, ICE_POINT_K, WARMEST_C, degrees

# A bench thermometer and the warmth of the cup are good to about a degree (common practice, no source): nearer together,
# the slope would speak of the thermometer.
LEAST_SPAN_C = 3.0
# A median's own yardstick: 1.4826 times the median deviation is the standard deviation of normal scatter (exact factor).
MAD_TO_SIGMA = 1.482602218505602
ODD_SIGMAS = 3.5
ODD_AT_LEAST = math.log(1.25)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTiming:
    """One timing: at which temperature the cup stood, and after how long it was so far."""

    temperature_c: float
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyFit:
    """A straight line through ln(time) against 1/T.

    `energy_error_kj_mol` and `scatter` are None where two timings alone make the line: it goes through both.
    """

    points: int
    span_c: float
    energy_kj_mol: float
    energy_error_kj_mol: float | None
    log_time_at_inverse_zero: float
    scatter: float | None

    def minutes_at(self, temperature_c: float) -> float:
        """Return the line's time at a temperature [min]."""
        slope_k = self.energy_kj_mol * 1000 / GAS_CONSTANT_J_MOL_K
        return math.exp(self.log_time_at_inverse_zero + slope_k / (temperature_c + ICE_POINT_K))


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """The middle of some values, with the factor of one standard deviation and which of them lie far off."""

    value: float
    factor: float | None
    odd: tuple[int, ...]


def span_of(timings: Sequence[OwnTiming]) -> float:
    """Return how far the temperatures of the timings lie apart [°C]."""
    temperatures = [timing.temperature_c for timing in timings]
    return max(temperatures) - min(temperatures) if temperatures else 0.0


def fit_energy(timings: Sequence[OwnTiming]) -> EnergyFit:
    """Fit an activation energy to timings taken at different temperatures, by least squares.

    Parameters
    ----------
    timings : sequence of OwnTiming
        At least two, whose temperatures lie 3 °C or more apart, all between 5 and 60 °C.

    Returns
    -------
    EnergyFit
        The energy with its standard error (three timings or more), and the scatter of ln(time) about the line.

    Raises
    ------
    TooFewTimings
        Fewer than two, or all at nearly one temperature.
    ImpossibleTimings
        A time or temperature is outside its range, or the warmer ones took longer: no cure is slowed by warmth.

    Notes
    -----
    ln t = a + (Ea/R)(1/T). Standard error of the slope: √(Σ residual² ÷ (n − 2) ÷ Σ(1/T − mean)²).

    References
    ----------
    .. [1] The Arrhenius law (published); ordinary least squares (standard).
    """
    for timing in timings:
        if not (COLDEST_C <= timing.temperature_c <= WARMEST_C and math.isfinite(timing.minutes) and timing.minutes > 0):
            raise ImpossibleTimings(
                f"A timing counts from {degrees(COLDEST_C)} to {degrees(WARMEST_C)} and with a time above nought; "
                "correct it or remove it."
            )
    if len(timings) < 2 or span_of(timings) < LEAST_SPAN_C:
        raise TooFewTimings(
            f"The speed-up shows once timings lie at least {LEAST_SPAN_C:g} °C (5 °F) apart; add one from a warmer or colder day."
        )
    inverse = [1 / (timing.temperature_c + ICE_POINT_K) for timing in timings]
    logs = [math.log(timing.minutes) for timing in timings]
    middle_x, middle_y = math.fsum(inverse) / len(timings), math.fsum(logs) / len(timings)
    spread_x = math.fsum((x - middle_x) ** 2 for x in inverse)
    slope = math.fsum((x - middle_x) * (y - middle_y) for x, y in zip(inverse, logs, strict=True)) / spread_x
    if slope <= 0:
        raise ImpossibleTimings(
            "By these timings the cure would be slowed by warmth, which no cure is. Look for a wrong temperature, another "
            "dose of thickener or an old lot among them, and remove what does not belong."
        )
    base = middle_y - slope * middle_x
    scatter = error = None
    if len(timings) > 2:
        squares = math.fsum((y - base - slope * x) ** 2 for x, y in zip(inverse, logs, strict=True))
        scatter = math.sqrt(squares / (len(timings) - 2))
        error = scatter / math.sqrt(spread_x) * GAS_CONSTANT_J_MOL_K / 1000
    return EnergyFit(
        points=len(timings),
        span_c=span_of(timings),
        energy_kj_mol=slope * GAS_CONSTANT_J_MOL_K / 1000,
        energy_error_kj_mol=error,
        log_time_at_inverse_zero=base,
        scatter=scatter,
    )


def middle_of(values: Sequence[float]) -> Middle:
    """Find the middle of values above nought, robust against a few that are far off.

    Returns
    -------
    Middle
        The median of their logarithms, the factor of one standard deviation by the median deviation (three values or
        more), and the places of those that lie more than 3.5 deviations and more than a quarter away (four or more).

    Raises
    ------
    TooFewTimings
        There is none.
    ImpossibleTimings
        One is not above nought.

    References
    ----------
    .. [1] B. Iglewicz, D. Hoaglin, How to Detect and Handle Outliers, 1993: 3.5 deviations (from memory: check).
    """
    if not values:
        raise TooFewTimings("None of the studio's own timings counts here yet; add one.")
    if min(values) <= 0 or not all(math.isfinite(value) for value in values):
        raise ImpossibleTimings("A time or thickness must be more than nought; correct it or remove it.")
    logs = [math.log(value) for value in values]
    middle = _median(logs)
    # An odd number of values has a middle one, which stands as it is.
    value = _median(values) if len(values) % 2 else math.exp(middle)
    if len(logs) < 3:
        return Middle(value=value, factor=None, odd=())
    sigma = MAD_TO_SIGMA * _median([abs(log - middle) for log in logs])
    far = max(ODD_SIGMAS * sigma, ODD_AT_LEAST)
    odd = tuple(place for place, log in enumerate(logs) if abs(log - middle) > far) if len(logs) > 3 else ()
    return Middle(value=value, factor=math.exp(sigma), odd=odd)


def _median(values: Sequence[float]) -> float:
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2
