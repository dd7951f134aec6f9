"""How temperature moves a material's times, and where it is not known to."""

import math
from collections.abc import Sequence
from dataclasses import replace

from materials.properties import Chemistry
from materials.science.checks import above_nought, nought_or_more
from materials.science.errors import ColdStall, ScienceError, TemperatureOutOfRange
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given, Source, SourceKind, high_end, low_end

GAS_CONSTANT_J_MOL_K = 8.314462618
ICE_POINT_K = 273.15
COLDEST_C, WARMEST_C = 5.0, 60.0
ENERGY_UNIT = "kJ/mol"

DEFAULT_Q10 = Given(
    label="Speed-up per 10 °C",
    value=2.0,
    unit="1",
    low=1.2,
    high=3.0,
    source=Source(
        kind=SourceKind.PUBLISHED,
        text="two epoxy suppliers: every 10 °C halves the time; the range is what was measured for silicones "
        "(IADR General Session 2008, abstract 3193)",
    ),
)
STALL_C = Given(
    label="Lowest curing temperature",
    value=15.0,
    unit="degC",
    source=Source(kind=SourceKind.PUBLISHED, text="two dealers: may not cure below 15 °C"),
)
GYPSUM_STALL_C = Given(
    label="Lowest curing temperature",
    value=COLDEST_C,
    unit="degC",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="plaster must not freeze"),
)
ARRHENIUS = Source(kind=SourceKind.PUBLISHED, text="the Arrhenius law")


def degrees(celsius: float) -> str:
    """Write a temperature in both systems, for a sentence that stands in every studio."""
    return f"{celsius:g} °C ({celsius * 1.8 + 32:.0f} °F)"


def arrhenius_factor(*, from_c: float, to_c: float, activation_energy_kj_mol: float) -> float:
    """Compute by what a time stretches from one temperature to another.

    Notes
    -----
    t(T2) / t(T1) = exp[(Ea/R)(1/T2 − 1/T1)], temperatures in kelvin.
    """
    if not (nought_or_more(activation_energy_kj_mol) and above_nought(from_c + ICE_POINT_K, to_c + ICE_POINT_K)):
        raise ScienceError("A time is moved by an activation energy of nought or more and between two temperatures.")
    slope_k = activation_energy_kj_mol * 1000 / GAS_CONSTANT_J_MOL_K
    return math.exp(slope_k * (1 / (to_c + ICE_POINT_K) - 1 / (from_c + ICE_POINT_K)))


def q10_factor(*, from_c: float, to_c: float, q10: float) -> float:
    """Compute by what a time stretches when each 10 °C divide it by `q10`."""
    if not above_nought(from_c + ICE_POINT_K, to_c + ICE_POINT_K):
        raise ScienceError("A time is moved between two temperatures; give both.")
    if not 1 <= q10 < math.inf:
        raise ScienceError("The speed-up per 10 °C must be 1 or more: warmth never slows a cure.")
    return float(q10 ** ((from_c - to_c) / 10))


def q10_from_energy(*, activation_energy_kj_mol: float, at_c: float) -> float:
    """Compute the speed-up between a temperature and one 10 °C above it."""
    return 1 / arrhenius_factor(from_c=at_c, to_c=at_c + 10, activation_energy_kj_mol=activation_energy_kj_mol)


def energy_from_q10(*, q10: float, at_c: float) -> float:
    """Compute the activation energy that gives a speed-up between a temperature and 10 °C above [kJ/mol]."""
    cold_k, warm_k = at_c + ICE_POINT_K, at_c + 10 + ICE_POINT_K
    return GAS_CONSTANT_J_MOL_K * math.log(q10) / (1 / cold_k - 1 / warm_k) / 1000


def energy_from_times(*, time_cold: float, cold_c: float, time_warm: float, warm_c: float) -> float:
    """Compute the activation energy from the same time taken at two temperatures [kJ/mol]."""
    if min(time_cold, time_warm) <= 0 or warm_c <= cold_c:
        raise ScienceError("Two times above nought at two different temperatures are wanted, the colder one first.")
    span = 1 / (cold_c + ICE_POINT_K) - 1 / (warm_c + ICE_POINT_K)
    return GAS_CONSTANT_J_MOL_K * math.log(time_cold / time_warm) / span / 1000


def equivalent_age_h(*, stretches: Sequence[tuple[float, float]], reference_c: float, activation_energy_kj_mol: float) -> float:
    """Compute how old a cure is in hours at its reference temperature.

    Parameters
    ----------
    stretches : sequence of (hours, temperature)
        How long it lay at which temperature. [h], [°C]
    reference_c : float
        Temperature that the age is counted at. [°C]
    activation_energy_kj_mol : float
        Activation energy of the cure. [kJ/mol]

    Notes
    -----
    t_e = Σ Δt exp[−(Ea/R)(1/T − 1/T_ref)], the idea of concrete's maturity (ASTM C1074; from memory).
    """
    return sum(
        hours / arrhenius_factor(from_c=reference_c, to_c=temp_c, activation_energy_kj_mol=activation_energy_kj_mol)
        for hours, temp_c in stretches
    )


def lowest_temperature(material: MaterialSpec) -> Given:
    """Return the lowest temperature at which the material is known to cure."""
    stated = material.get("lowest_cure_temp_c")
    if stated is not None:
        return stated
    return GYPSUM_STALL_C if material.chemistry is Chemistry.GYPSUM else STALL_C


def check_temperature(material: MaterialSpec, temperature_c: float) -> None:
    """Refuse a temperature at which no honest time can be given.

    Raises
    ------
    ColdStall
        Below the lowest curing temperature: it may never cure, so no time is computed.
    TemperatureOutOfRange
        Outside 5 to 60 °C, where the time laws were not measured.
    """
    lowest = lowest_temperature(material)
    if math.isfinite(temperature_c) and COLDEST_C <= temperature_c < lowest.value:
        raise ColdStall(
            f"At {degrees(temperature_c)} {material.name} may never cure; it is only known to from {degrees(lowest.value)} up. "
            "Warm the room and the piece, or choose a rubber that cures colder."
        )
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise TemperatureOutOfRange(
            f"Times are only computed from {degrees(COLDEST_C)} to {degrees(WARMEST_C)}; give the temperature of the room."
        )


def time_law(material: MaterialSpec) -> Given:
    """Return what moves the material's times with temperature: activation energy, speed-up per 10 °C, or the usual one."""
    energy = material.get("activation_energy_kj_mol")
    if energy is not None:
        return replace(energy, unit=ENERGY_UNIT)
    return material.get("q10") or DEFAULT_Q10


def stretch(law: Given, *, from_c: float, to_c: float, strength: float | None = None) -> float:
    """Compute by what a time stretches between two temperatures; `strength` stands in for the law's own value."""
    taken = law.value if strength is None else strength
    if law.unit == ENERGY_UNIT:
        return arrhenius_factor(from_c=from_c, to_c=to_c, activation_energy_kj_mol=taken)
    return q10_factor(from_c=from_c, to_c=to_c, q10=taken)


def time_at(material: MaterialSpec, key: str, temperature: Given) -> Figure:
    """Move one of the material's times (`pot_life_min`, `gel_min`, ...) to the day's temperature [min].

    The activation energy is used where it is known, otherwise the speed-up per 10 °C, otherwise a speed-up of 2 with
    its measured range.

    Raises
    ------
    ColdStall, TemperatureOutOfRange, MissingProperty
    """
    check_temperature(material, temperature.value)
    stated, reference = material.need(key), material.need("reference_temp_c")
    law = time_law(material)

    def stretched(strength: float) -> float:
        return stretch(law, from_c=reference.value, to_c=temperature.value, strength=strength)

    times = (law.value, low_end(law), high_end(law))
    value, one, other = (stated.value * stretched(strength) for strength in times)
    return Figure(
        key=key.removesuffix("_min"),
        label=f"{stated.label} at the bench's temperature",
        value=value,
        unit="min",
        formula=(
            "time × exp(activation energy ÷ R × (1/T − 1/T reference))"
            if law.unit == ENERGY_UNIT
            else "time × speed-up ^ ((reference − temperature) ÷ 10)"
        ),
        given=(stated, reference, temperature, law),
        low=min(one, other, value) * _share(stated.low, stated.value),
        high=max(one, other, value) * _share(stated.high, stated.value),
    )


def _share(bound: float | None, value: float) -> float:
    return 1.0 if bound is None else bound / value
