"""How a material's times follow temperature, and what it holds on a slope: curves with their range."""

import math
from dataclasses import dataclass, replace

from materials.science.errors import BadThickness
from materials.science.kinetics import COLDEST_C, DEFAULT_Q10, arrhenius_factor, lowest_temperature, q10_factor, time_at
from materials.science.material import MaterialSpec
from materials.science.sag import MEZGER, held_by, yield_stress_to_hold_pa
from studio.figures import Figure, Given, high_end, low_end

WARMEST_DRAWN_C = 40.0
TABLE_STEP_C = 5.0
STEEPEST_DEG, FLATTEST_DEG = 90.0, 10.0
SLOPES_DEG = (90.0, 75.0, 60.0, 45.0, 30.0, 15.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """One point of a curve with the range in which it lies; `at` is a temperature in °C or a slope in degrees."""

    at: float
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeCurve:
    """A time against temperature, from the lowest temperature at which the material is known to cure."""

    key: str
    stated: Given
    reference: Given
    law: Given
    stall: Given
    points: tuple[CurvePoint, ...]
    table: tuple[Figure, ...]

    @property
    def temperatures_c(self) -> tuple[float, ...]:
        """The temperatures of the table's lines."""
        return tuple(figure.given[2].value for figure in self.table)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldCurve:
    """The thickest coat that stays, against the slope of the wall."""

    upright: Figure
    stress: Figure | None
    points: tuple[CurvePoint, ...]
    table: tuple[Figure, ...]


def law_in_use(material: MaterialSpec) -> Given:
    """Return what moves the material's times: its activation energy, its speed-up per 10 °C, or the usual speed-up."""
    return material.get("activation_energy_kj_mol") or material.get("q10") or DEFAULT_Q10


def stretch(*, law: Given, strength: float, from_c: float, to_c: float) -> float:
    """Compute by what a law of some strength stretches a time from one temperature to another."""
    if law.unit == "kJ/mol":
        return arrhenius_factor(from_c=from_c, to_c=to_c, activation_energy_kj_mol=strength)
    return q10_factor(from_c=from_c, to_c=to_c, q10=strength)


def curve_start_c(material: MaterialSpec) -> float:
    """Return where the curves begin: at the lowest curing temperature, and never below 5 °C [°C]."""
    return max(COLDEST_C, lowest_temperature(material).value)


def time_curve(material: MaterialSpec, key: str, *, to_c: float = WARMEST_DRAWN_C) -> TimeCurve:
    """Compute one of a material's times over all temperatures at which it is known to cure.

    Parameters
    ----------
    material : MaterialSpec
        It needs the time and the reference temperature.
    key : str
        Which time: `pot_life_min`, `gel_min`, `demold_min`.
    to_c : float
        Where the curve ends; 60 at the most. [°C]

    Returns
    -------
    TimeCurve
        Points a degree apart, and a table of figures every 5 °C. Below the lowest curing temperature there is no point.

    Raises
    ------
    MissingProperty
        The material lacks the time or its reference temperature.
    TemperatureOutOfRange
        The curve was to go beyond 60 °C, where the time laws were not measured.

    References
    ----------
    .. [1] The Arrhenius law; every 10 °C halves the time (two epoxy suppliers, published) where nothing is known.
    """
    start = curve_start_c(material)
    whole = [float(step) for step in range(math.ceil(start), math.floor(to_c) + 1)]
    temperatures = sorted({start, *whole, max(to_c, start)})
    tabled = [temp for temp in temperatures if temp == start or temp % TABLE_STEP_C == 0]
    return TimeCurve(
        key=key,
        stated=material.need(key),
        reference=material.need("reference_temp_c"),
        law=law_in_use(material),
        stall=lowest_temperature(material),
        points=tuple(_point(temp, _time(material, key, temp)) for temp in temperatures),
        table=tuple(
            replace(_time(material, key, temp), key=f"{key.removesuffix('_min')}_at_{temp:g}".replace(".", "_"))
            for temp in tabled
        ),
    )


def held_curve(material: MaterialSpec) -> HeldCurve:
    """Compute what the material holds on slopes from upright to nearly flat.

    Notes
    -----
    t = t upright ÷ sin(slope), for a coat held by its yield stress; from 10° to 90°, for on the flat nothing runs.

    Raises
    ------
    MissingProperty
        Neither a held thickness nor a yield stress is known.

    References
    ----------
    .. [1] T. Mezger, The Rheology Handbook, 3.3.4.2.12d (published).
    """
    upright = held_by(material)
    low, high = low_end(upright), high_end(upright)
    points = tuple(
        CurvePoint(
            at=slope,
            value=held_on_slope(upright_mm=upright.value, slope_deg=slope),
            low=held_on_slope(upright_mm=low, slope_deg=slope),
            high=held_on_slope(upright_mm=high, slope_deg=slope),
        )
        for slope in (float(step) for step in range(int(FLATTEST_DEG), int(STEEPEST_DEG) + 1, 2))
    )
    return HeldCurve(
        upright=upright,
        stress=_stress(material, upright),
        points=points,
        table=tuple(_held_at(upright, slope) for slope in SLOPES_DEG),
    )


def held_on_slope(*, upright_mm: float, slope_deg: float) -> float:
    """Compute what stays on a slope from what stays upright: t ÷ sin(slope) [mm]."""
    _check_slope(slope_deg)
    return upright_mm / math.sin(math.radians(slope_deg))


def upright_from_slope(*, held_mm: float, slope_deg: float) -> float:
    """Compute what would stay upright from what stayed on a slope: t × sin(slope) [mm]."""
    _check_slope(slope_deg)
    return held_mm * math.sin(math.radians(slope_deg))


def _check_slope(slope_deg: float) -> None:
    if not FLATTEST_DEG <= slope_deg <= STEEPEST_DEG:
        raise BadThickness(
            f"What a slope holds is only computed from {FLATTEST_DEG:g} to {STEEPEST_DEG:g}°; tilt the card more, or take an "
            "upright one."
        )


def _time(material: MaterialSpec, key: str, temperature_c: float) -> Figure:
    return time_at(material, key, Given(label="Temperature", value=temperature_c, unit="degC"))


def _point(at: float, figure: Figure) -> CurvePoint:
    return CurvePoint(at=at, value=figure.value, low=low_end(figure), high=high_end(figure))


def _held_at(upright: Figure, slope_deg: float) -> Figure:
    share = held_on_slope(upright_mm=1.0, slope_deg=slope_deg)
    return Figure(
        key=f"held_at_{slope_deg:g}",
        label=f"Thickness held on a slope of {slope_deg:g}°",
        value=upright.value * share,
        unit="mm",
        formula="thickness held upright ÷ sin(slope)",
        given=(upright, Given(label="Slope from level", value=slope_deg, unit="°")),
        source=MEZGER,
        low=None if upright.low is None else upright.low * share,
        high=None if upright.high is None else upright.high * share,
    )


def _stress(material: MaterialSpec, upright: Figure) -> Figure | None:
    """Return the yield stress that the held thickness speaks for, where the density is known and no stress is stated."""
    density = material.get("density_kg_m3")
    if density is None or material.get("yield_stress_pa") is not None:
        return None

    def held_by_stress(thickness_mm: float) -> float:
        return yield_stress_to_hold_pa(thickness_mm=thickness_mm, density_kg_m3=density.value)

    return Figure(
        key="stress_to_hold",
        label="Yield stress that holds it",
        value=held_by_stress(upright.value),
        unit="Pa",
        formula="density × g × held thickness",
        given=(density, upright),
        source=MEZGER,
        low=None if upright.low is None else held_by_stress(upright.low),
        high=None if upright.high is None else held_by_stress(upright.high),
    )
