"""How long a cure takes in a room that is warm by day and cold by night."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from materials.science.errors import BadRoom, ColdStall, TemperatureOutOfRange
from materials.science.kinetics import COLDEST_C, WARMEST_C, degrees, lowest_temperature, stretch, time_at, time_law
from materials.science.material import MaterialSpec
from studio.figures import COMPUTED, Figure, Given, Source, SourceKind, high_end, low_end

DAY_H = 24.0
LAW_STEPS = 20
ROUNDING_H = 1e-9
MATURITY = Source(kind=SourceKind.FROM_MEMORY, text="the idea of concrete's maturity, ASTM C1074")
WARM_HOURS = Given(
    label="Hours of the day the room is warm",
    value=10.0,
    unit="h",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="heated while somebody works in it"),
)
WARMS_AT = Given(
    label="The room is warm from this hour of the day",
    value=8.0,
    unit="h",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="heated while somebody works in it"),
)
BEGINS_AT = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomDay:
    """A room round the clock: as warm as `day` for `warm_hours` from the hour `warms_at`, as warm as `night` otherwise.

    `night` None means that it stays as warm as by day.
    """

    day: Given
    night: Given | None = None
    warm_hours: Given = WARM_HOURS
    warms_at: Given = WARMS_AT


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """How long a cure takes round the clock [h], and how much of that was too cold to count [h]."""

    hours: float
    stalled_hours: float


def hours_to_age(
    *, age_min: float, room: RoomDay, stretched: Callable[[float], float], lowest_c: float, starts_at_hour: float = BEGINS_AT
) -> Rest:
    """Compute when a cure has reached an age, in a room that cools at night.

    Parameters
    ----------
    age_min : float
        The time it takes at its reference temperature. [min]
    room : RoomDay
        The room round the clock, 5 to 60 °C while it counts.
    stretched : callable
        By what a time stretches at a temperature in °C.
    lowest_c : float
        Temperature below which nothing is known to cure: such hours count as nothing. [°C]
    starts_at_hour : float
        Hour of the day at which the cure begins. [h]

    Returns
    -------
    Rest
        Hours round the clock, and those of them that counted as nothing.

    Raises
    ------
    ColdStall
        When no hour of the day is warm enough.
    TemperatureOutOfRange
        Above 60 °C, where the time laws were not measured.
    BadRoom
        When an hour is impossible.

    Notes
    -----
    t_e = Σ Δt / stretch(T); the idea of concrete's maturity (ASTM C1074; from memory).
    """
    warm_h = _checked(room, age_min, starts_at_hour)
    night = room.day if room.night is None else room.night
    speeds = tuple(_speed(given.value, lowest_c, stretched) for given in (room.day, night))
    lengths = (warm_h, DAY_H - warm_h)
    a_day = sum(length * speed for length, speed in zip(lengths, speeds, strict=True))
    if a_day <= 0:
        raise ColdStall(
            "At no hour of the day is the room as warm as this is known to cure in; it may never cure. "
            "Warm the room and the piece."
        )
    wanted = age_min / 60
    days = max(math.floor(wanted / a_day) - 1, 0)
    wanted -= days * a_day
    hours = days * DAY_H
    stalled = days * sum(length for length, speed in zip(lengths, speeds, strict=True) if speed == 0)
    since_warm = (starts_at_hour - room.warms_at.value) % DAY_H
    while wanted > 0:
        by_night = since_warm >= warm_h
        left, speed = (DAY_H if by_night else warm_h) - since_warm, speeds[by_night]
        # What is done as the room cools must not wait until morning for the last bit of a float.
        if speed > 0 and speed * left >= wanted - ROUNDING_H:
            return Rest(hours=hours + wanted / speed, stalled_hours=stalled)
        wanted -= speed * left
        hours += left
        stalled += left if speed == 0 else 0.0
        since_warm = (since_warm + left) % DAY_H
    return Rest(hours=hours, stalled_hours=stalled)


def cure_over_nights(
    material: MaterialSpec, key: str, room: RoomDay, *, starts_at_hour: float = BEGINS_AT, name: str | None = None
) -> Figure:
    """Move one of the material's times (`gel_min`, `demold_min`, ...) to a room that cools at night [min].

    Hours colder than the material's lowest curing temperature count as nothing and stand among the inputs. Where the
    room stays warm at night the time is that of `time_at`. `name` is the figure's key where the property's does not do.

    Raises
    ------
    ColdStall
        When no hour of the day is warm enough, so that it may never cure.
    TemperatureOutOfRange, MissingProperty, BadRoom
    """
    stem = name or key.removesuffix("_min")
    if room.night is None:
        same = time_at(material, key, room.day)
        return same.renamed(key=stem, label=same.label)
    stated, reference, law = material.need(key), material.need("reference_temp_c"), time_law(material)
    lowest = lowest_temperature(material)

    def rest(strength: float, age_min: float) -> Rest:
        return hours_to_age(
            age_min=age_min,
            room=room,
            stretched=lambda temp_c: stretch(law, from_c=reference.value, to_c=temp_c, strength=strength),
            lowest_c=lowest.value,
            starts_at_hour=starts_at_hour,
        )

    try:
        found = rest(law.value, stated.value)
    except ColdStall:
        raise ColdStall(
            f"By day and by night the room is colder than {degrees(lowest.value)}, below which {material.name} may never cure. "
            "Warm the room and the piece, or choose a rubber that cures colder."
        ) from None
    strengths = _between(law)
    return Figure(
        key=stem,
        label=f"{stated.label} in a room that cools at night",
        value=60 * found.hours,
        unit="min",
        formula="time until Σ(hours ÷ stretch of the time at their temperature) reaches the stated time",
        given=(
            stated,
            reference,
            room.day,
            room.night,
            room.warm_hours,
            room.warms_at,
            Given(label="Taken to begin at this hour of the day", value=starts_at_hour % DAY_H, unit="h", source=COMPUTED),
            law,
            lowest,
            Figure(
                key=f"{stem}_stalled",
                label="Hours too cold to count",
                value=found.stalled_hours,
                unit="h",
                formula="hours of the rest below the lowest curing temperature",
                given=(lowest,),
            ),
        ),
        source=MATURITY,
        low=60 * min(rest(strength, low_end(stated)).hours for strength in strengths),
        high=60 * max(rest(strength, high_end(stated)).hours for strength in strengths),
    )


def _between(law: Given) -> tuple[float, ...]:
    """Return strengths of the law over its range: with a night the longest time need not lie at an end."""
    low, high = low_end(law), high_end(law)
    if low == high:
        return (law.value,)
    return (law.value, *(low + (high - low) * step / LAW_STEPS for step in range(LAW_STEPS + 1)))


def _speed(temperature_c: float, lowest_c: float, stretched: Callable[[float], float]) -> float:
    if temperature_c < max(lowest_c, COLDEST_C):
        return 0.0
    return 1 / stretched(temperature_c)


def _checked(room: RoomDay, age_min: float, starts_at_hour: float) -> float:
    for given in (room.day, room.night):
        if given is not None and not (math.isfinite(given.value) and given.value <= WARMEST_C):
            raise TemperatureOutOfRange(
                f"Times are only computed up to {degrees(WARMEST_C)}; give the temperature of the room by day and by night."
            )
    if not 0 < room.warm_hours.value <= DAY_H:
        raise BadRoom("A room is warm for more than 0 and up to 24 hours of the day.")
    if not (math.isfinite(age_min) and age_min >= 0 and math.isfinite(starts_at_hour) and math.isfinite(room.warms_at.value)):
        raise BadRoom("A cure needs its time and the hour of the day at which it begins.")
    return room.warm_hours.value
