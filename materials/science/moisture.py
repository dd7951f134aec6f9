"""Rubber that cures with the moisture of the air: how deep a front reaches, and what dry or damp air does."""

import math

from materials.properties import Chemistry, MixBasis
from materials.science.errors import BadMoisture
from materials.science.kinetics import ICE_POINT_K
from materials.science.material import MaterialSpec
from studio.figures import Given, Source, SourceKind

COLDEST_C, WARMEST_C = 0.0, 60.0
LONGEST_DAYS = 60.0
STATED_HUMIDITY_PERCENT, STATED_AT_C = 50.0, 23.0
# Wagner and Pruss 1993: the pressure at which water boils, from its critical point.
CRITICAL_K, CRITICAL_PA = 647.096, 22.064e6
BOILING = (
    (1.0, -7.85951783), (1.5, 1.84408259), (3.0, -11.7866497), (3.5, 22.6807411), (4.0, -15.9618719), (7.5, 1.80122502),
)  # fmt: skip

# The depth after one day is the speed of the front in mm/√day.
FRONT_SLOW = Given(
    label="Cured depth of a one-part rubber after the first day",
    value=2.0,
    unit="mm",
    source=Source(kind=SourceKind.PUBLISHED, text="a distributor: about 2 mm in the first 24 h"),
)
FRONT_FAST = Given(
    label="Cured depth of a one-part rubber after the first day",
    value=7.5 / math.sqrt(7),
    unit="mm",
    source=Source(kind=SourceKind.PUBLISHED, text="7.5 mm in 7 days, a data sheet quoted in Int. J. Adhesion & Adhesives 2021"),
)
DRY_AIR = Given(
    label="Air drier than this slows a tin cure",
    value=30.0,
    unit="%",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="very dry winter air"),
)


def front_speed(*, depth_mm: float, days: float) -> float:
    """Compute the speed of a cured front from a depth and the days it took: k = z / √t [mm/√day]."""
    _check_days(days)
    _above_nought("depth", depth_mm)
    return depth_mm / math.sqrt(days)


def front_depth_mm(*, speed: float, days: float) -> float:
    """Compute how deep a one-part rubber has cured from its open side: z = k √t [mm].

    Parameters
    ----------
    speed : float
        Speed of the front, from `front_speed` or `FRONT_SLOW` to `FRONT_FAST`. [mm/√day]
    days : float
        Time in the open, up to 60 days. [day]

    Raises
    ------
    BadMoisture
        When a number is not above nought or the time is longer than the law is trusted with.

    Notes
    -----
    Twice the depth takes four times as long. Never for a two-part rubber: see `check_moisture_cure`.

    References
    ----------
    .. [1] J. Comyn, 1998: the front moves as water passes through the cured layer (published).
    """
    _check_days(days)
    _above_nought("speed of the front", speed)
    return speed * math.sqrt(days)


def front_days(*, speed: float, depth_mm: float) -> float:
    """Compute how many days the front takes to a depth: t = (z / k)² [day].

    Raises
    ------
    BadMoisture
        When a number is not above nought, or the depth would take more than 60 days.
    """
    _above_nought("speed of the front", speed)
    _above_nought("depth", depth_mm)
    days = (depth_mm / speed) ** 2
    _check_days(days)
    return days


def saturation_pressure_pa(temperature_c: float) -> float:
    """Compute the pressure of water vapour in fully damp air, 0 to 60 °C [Pa].

    Raises
    ------
    BadMoisture
        Outside that range.

    References
    ----------
    .. [1] W. Wagner, A. Pruss, 1993: saturation properties of ordinary water (published).
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise BadMoisture("The moisture of the air is only computed from 0 to 60 °C (32 to 140 °F); give the room's temperature.")
    kelvin = temperature_c + ICE_POINT_K
    tau = 1 - kelvin / CRITICAL_K
    return CRITICAL_PA * math.exp(CRITICAL_K / kelvin * sum(factor * tau**power for power, factor in BOILING))


def vapour_pressure_pa(*, temperature_c: float, humidity_percent: float) -> float:
    """Compute the pressure of the water vapour that is in the air [Pa]."""
    if not 0 <= humidity_percent <= 100:
        raise BadMoisture("The humidity of the air lies between 0 and 100 %.")
    return humidity_percent / 100 * saturation_pressure_pa(temperature_c)


def depth_share(
    *,
    temperature_c: float,
    humidity_percent: float,
    stated_temperature_c: float = STATED_AT_C,
    stated_humidity_percent: float = STATED_HUMIDITY_PERCENT,
) -> float:
    """Compute by what the depth of a front changes with the air: √(vapour pressure / stated vapour pressure) [1].

    Only the moisture is moved; a colder room also slows the reaction itself.

    Raises
    ------
    BadMoisture
    """
    stated = vapour_pressure_pa(temperature_c=stated_temperature_c, humidity_percent=stated_humidity_percent)
    if stated <= 0:
        raise BadMoisture("A stated depth belongs to air that held some moisture; give its humidity.")
    return math.sqrt(vapour_pressure_pa(temperature_c=temperature_c, humidity_percent=humidity_percent) / stated)


def check_moisture_cure(material: MaterialSpec) -> None:
    """Refuse the law of a moving front for a rubber that does not cure by the air's moisture alone.

    Raises
    ------
    BadMoisture
        For every material but a one-part tin silicone: a two-part one carries its water inside and cures in bulk.
    """
    if material.mix_basis is not MixBasis.ONE_PART or material.chemistry is not Chemistry.TIN_SILICONE:
        raise BadMoisture(
            f"{material.name} does not cure from its open side inward; its depth does not follow from the days. "
            "Take its stated times."
        )


def dry_air_slows(material: MaterialSpec, humidity_percent: float) -> bool:
    """Say whether the air is so dry that a tin silicone cures more slowly than stated (common practice)."""
    vapour_pressure_pa(temperature_c=STATED_AT_C, humidity_percent=humidity_percent)
    return material.chemistry is Chemistry.TIN_SILICONE and humidity_percent < DRY_AIR.value


def _check_days(days: float) -> None:
    if not 0 < days <= LONGEST_DAYS:
        raise BadMoisture(
            "The cured front is only followed for 60 days; lay the rubber thinner, or take one of two parts that cures in bulk."
        )


def _above_nought(what: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise BadMoisture(f"The {what} must be more than nought to tell how deep it cures.")
