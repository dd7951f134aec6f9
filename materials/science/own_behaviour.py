"""A material by the studio's own timings and cards, as figures that open to each of them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from materials.properties import PROPERTIES
from materials.science.behaviour import law_in_use, stretch, upright_from_slope
from materials.science.errors import MissingProperty, ScienceError
from materials.science.kinetics import WARMEST_C, lowest_temperature, q10_from_energy
from materials.science.material import MaterialSpec
from materials.science.own_times import EnergyFit, Middle, OwnTiming, fit_energy, middle_of
from studio.figures import Figure, Given, Source, SourceKind, high_end, low_end

MEASURED = SourceKind.MEASURED
LEAST_SQUARES = Source(kind=SourceKind.PUBLISHED, text="the Arrhenius law, fitted by least squares")
MEDIAN = Source(kind=SourceKind.OWN, text="the studio's own timings, the middle one")
# An energy with a standard error above this share of itself says too little to plan by (the house's own rule, no source).
LARGEST_ERROR_SHARE = 0.5
# Below six the deviation of the middle is itself too uncertain, so the least and the most bound the value (own rule, no source).
FEW, VERY_FEW = 6, 3


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPoint:
    """What was timed or measured; `told` says when and by whom, `slope_deg` belongs to a held thickness."""

    temperature_c: float
    value: float
    told: str
    slope_deg: float = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnValue:
    """What the studio's own points say of one property.

    `counts` marks which points count, `odd` those that lie far from the others. `energy_counts` says whether the fitted
    energy is sure enough to plan by; `said` is the sentence about what is still wanted, or why nothing is computed.
    """

    key: str
    counts: tuple[bool, ...]
    odd: tuple[bool, ...]
    value: Figure | None = None
    stated: Given | None = None
    apart: Figure | None = None
    fit: EnergyFit | None = None
    energy: Figure | None = None
    speed_up: Figure | None = None
    scatter: Figure | None = None
    energy_counts: bool = False
    said: str = ""

    @property
    def counted(self) -> int:
        """How many points count."""
        return sum(self.counts)


def own_time(material: MaterialSpec, key: str, points: Sequence[OwnPoint]) -> OwnValue:
    """Compute what the timings of one time say.

    Each counted timing is moved to the reference temperature, by the energy that the timings themselves give where that is
    sure enough (three or more, standard error at most half of it, believable), otherwise by the law in use; the middle one
    is the studio's own time. Timings below the lowest curing temperature or above 60 °C are left out.
    """
    lowest, reference = lowest_temperature(material), material.get("reference_temp_c")
    counts = tuple(lowest.value <= point.temperature_c <= WARMEST_C for point in points)
    counted = [point for point, good in zip(points, counts, strict=True) if good]
    none_odd = (False,) * len(points)
    if reference is None or not counted:
        said = (
            "None of these timings lies in the range in which the material is known to cure."
            if reference is not None
            else f"{material.name} has no reference temperature, so timings cannot be moved to it. Add it to its values."
        )
        return OwnValue(key=key, counts=counts, odd=none_odd, stated=material.get(key), said=said)
    fit, said = _fitted(counted)
    believable = PROPERTIES["activation_energy_kj_mol"]
    if fit is not None and not believable.least <= fit.energy_kj_mol <= believable.most:
        said = "An energy like this is not believable for a cure; the times are moved by the law in use. Check the temperatures."
    elif fit is not None:
        said = _unsure(fit)
    sure = fit is not None and not said
    energy = None if fit is None else _energy_figure(key, fit, counted)
    law = energy if sure and energy is not None else law_in_use(material)
    moved = tuple(_moved(key, place, point, reference, law) for place, point in enumerate(counted))
    middle = middle_of([figure.value for figure in moved])
    value = _value_figure(key, moved, middle, reference, law, material.get(key))
    return OwnValue(
        key=key,
        counts=counts,
        odd=_spread_over(counts, middle.odd),
        value=value,
        stated=material.get(key),
        apart=_apart(value, material.get(key)),
        fit=fit,
        energy=energy,
        speed_up=None if energy is None else _speed_up(key, energy, reference),
        scatter=None if fit is None else _scatter(key, fit, counted),
        energy_counts=sure,
        said=said,
    )


def own_held(material: MaterialSpec, points: Sequence[OwnPoint]) -> OwnValue:
    """Compute what the studio's own cards hold upright: the middle of thickness × sin(slope)."""
    key = "held_thickness_mm"
    moved = tuple(_upright(place, point) for place, point in enumerate(points))
    if not moved:
        return OwnValue(key=key, counts=(), odd=(), stated=material.get(key))
    middle = middle_of([figure.value for figure in moved])
    low, high = _scattered(middle, [figure.value for figure in moved], material.get(key))
    value = Figure(
        key="own_held_thickness", label="Held thickness by your own cards", value=middle.value, unit="mm",
        formula="the middle of all cards: thickness × sin(slope)", given=moved, source=MEDIAN,
        low=low if low < high else None, high=high if low < high else None,
    )  # fmt: skip
    counts = (True,) * len(points)
    return OwnValue(
        key=key, counts=counts, odd=_spread_over(counts, middle.odd), value=value, stated=material.get(key),
        apart=_apart(value, material.get(key)),
    )  # fmt: skip


def refuse_without(material: MaterialSpec, own: OwnValue) -> Figure:
    """Return the studio's own value, or refuse with the sentence that says why there is none."""
    if own.value is None:
        raise MissingProperty(own.said or f"None of {material.name}'s own timings counts yet; add one.")
    return own.value


def _fitted(points: Sequence[OwnPoint]) -> tuple[EnergyFit | None, str]:
    try:
        return fit_energy([OwnTiming(temperature_c=point.temperature_c, minutes=point.value) for point in points]), ""
    except ScienceError as refused:
        return None, str(refused)


def _unsure(fit: EnergyFit) -> str:
    if fit.energy_error_kj_mol is None:
        return "Two timings go through any line; a third shows how sure it is. Until then the law in use moves the times."
    if fit.energy_error_kj_mol > LARGEST_ERROR_SHARE * fit.energy_kj_mol:
        return (
            "The timings scatter too much to tell how temperature drives them, so the law in use moves the times. More timings, "
            "further apart in temperature, would show it."
        )
    return ""


def _energy_figure(key: str, fit: EnergyFit, points: Sequence[OwnPoint]) -> Figure:
    error = fit.energy_error_kj_mol
    return Figure(
        key=f"own_{key.removesuffix('_min')}_energy",
        label="Activation energy by your timings",
        value=fit.energy_kj_mol,
        unit="kJ/mol",
        formula="slope of ln(time) against 1/T, × R",
        given=tuple(given for point in points for given in (_timed(point), _stood(point))),
        source=LEAST_SQUARES,
        low=None if error is None else max(0.0, fit.energy_kj_mol - error),
        high=None if error is None else fit.energy_kj_mol + error,
        note=f"From {fit.points} timings over {fit.span_c:.3g} K."
        + ("" if error is None else " The range is one standard error to each side."),
    )


def _speed_up(key: str, energy: Figure, reference: Given) -> Figure:
    def q10(strength: float) -> float:
        return q10_from_energy(activation_energy_kj_mol=strength, at_c=reference.value)

    return Figure(
        key=f"own_{key.removesuffix('_min')}_speed_up",
        label="Speed-up per 10 °C by your timings",
        value=q10(energy.value),
        unit="1",
        formula="exp(activation energy ÷ R × (1/T − 1/(T + 10)))",
        given=(energy, reference),
        low=None if energy.low is None else q10(energy.low),
        high=None if energy.high is None else q10(energy.high),
    )


def _scatter(key: str, fit: EnergyFit, points: Sequence[OwnPoint]) -> Figure | None:
    if fit.scatter is None:
        return None
    return Figure(
        key=f"own_{key.removesuffix('_min')}_scatter",
        label="Scatter about the line",
        value=100 * math.expm1(fit.scatter),
        unit="%",
        formula="exp(√(sum of squares of ln(time) from the line ÷ (timings − 2))) − 1",
        given=tuple(given for point in points for given in (_timed(point), _stood(point))),
        source=LEAST_SQUARES,
    )


def _moved(key: str, place: int, point: OwnPoint, reference: Given, law: Given | Figure) -> Figure:
    strength = _as_given(law)

    def at_reference(value: float) -> float:
        return point.value * stretch(law=strength, strength=value, from_c=point.temperature_c, to_c=reference.value)

    ends = [at_reference(low_end(strength)), at_reference(high_end(strength))]
    return Figure(
        key=f"own_{key.removesuffix('_min')}_{place}",
        label=point.told,
        value=at_reference(strength.value),
        unit="min",
        formula=(
            "time × exp(activation energy ÷ R × (1/T reference − 1/T))"
            if strength.unit == "kJ/mol"
            else "time × speed-up ^ ((temperature − reference) ÷ 10)"
        ),
        given=(_timed(point), _stood(point), reference),
        low=min(ends),
        high=max(ends),
    )


def _value_figure(
    key: str, moved: tuple[Figure, ...], middle: Middle, reference: Given, law: Given | Figure, stated: Given | None
) -> Figure:
    lows = middle_of([low_end(figure) for figure in moved]).value
    highs = middle_of([high_end(figure) for figure in moved]).value
    low, high = _scattered(middle, [figure.value for figure in moved], stated)
    ends = (min(low, lows), max(high, highs))
    spread = ends[0] < ends[1]
    label = PROPERTIES[key].label
    return Figure(
        key=f"own_{key.removesuffix('_min')}",
        label=f"{label} by your timings",
        value=middle.value,
        unit="min",
        formula="the middle of all timings, each moved to the reference temperature",
        given=(reference, law, *moved),
        source=MEDIAN,
        low=ends[0] if spread else None,
        high=ends[1] if spread else None,
    )


def _upright(place: int, point: OwnPoint) -> Figure:
    return Figure(
        key=f"own_held_{place}",
        label=point.told,
        value=upright_from_slope(held_mm=point.value, slope_deg=point.slope_deg),
        unit="mm",
        formula="thickness × sin(slope)",
        given=(
            Given(label="Thickness that stayed", value=point.value, unit="mm", source=Source(kind=MEASURED)),
            Given(label="Slope from level", value=point.slope_deg, unit="°", source=Source(kind=MEASURED)),
        ),
    )


def _apart(value: Figure, stated: Given | None) -> Figure | None:
    """Return by how much the studio's own value differs from the one in use."""
    if stated is None or stated.value <= 0:
        return None

    def apart(own: float) -> float:
        return round(100 * (own / stated.value - 1), 3)

    return Figure(
        key=f"{value.key}_apart",
        label="Own against the value in use",
        value=apart(value.value),
        unit="%",
        formula="own ÷ in use − 1",
        given=(value, stated),
        low=None if value.low is None else apart(value.low),
        high=None if value.high is None else apart(value.high),
    )


def _scattered(middle: Middle, values: Sequence[float], stated: Given | None) -> tuple[float, float]:
    """Return one standard deviation to each side, or the least and the most of a few.

    One or two say nothing of their scatter: their range is at least as wide as that of the value in use.
    """
    if len(values) >= FEW and middle.factor is not None:
        return middle.value / middle.factor, middle.value * middle.factor
    low, high = min(values), max(values)
    if len(values) < VERY_FEW and stated is not None and stated.value > 0:
        low = min(low, middle.value * low_end(stated) / stated.value)
        high = max(high, middle.value * high_end(stated) / stated.value)
    return low, high


def _spread_over(counts: tuple[bool, ...], odd: tuple[int, ...]) -> tuple[bool, ...]:
    places = [place for place, good in enumerate(counts) if good]
    marked = {places[place] for place in odd}
    return tuple(place in marked for place in range(len(counts)))


def _as_given(law: Given | Figure) -> Given:
    return law if isinstance(law, Given) else Given(label=law.label, value=law.value, unit=law.unit, low=law.low, high=law.high)


def _timed(point: OwnPoint) -> Given:
    return Given(label=f"Time, {point.told}", value=point.value, unit="min", source=Source(kind=MEASURED, text=point.told))


def _stood(point: OwnPoint) -> Given:
    return Given(
        label=f"Temperature, {point.told}", value=point.temperature_c, unit="degC", source=Source(kind=MEASURED, text=point.told)
    )
