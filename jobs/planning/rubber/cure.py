"""How long rubber cures before it may be used, through nights that are colder than the day."""

from jobs.planning.brief import PlanBrief
from jobs.planning.rates import rate
from materials.science.kinetics import time_at
from materials.science.material import MaterialSpec
from materials.science.night import BEGINS_AT, RoomDay, cure_over_nights
from studio.figures import Figure

MINUTES_PER_H = 60.0


def full_cure(brief: PlanBrief, *, key: str, label: str) -> Figure:
    """Return how long the plan's rubber cures [min]; it is laid at the end of a working day, when the room begins to cool."""
    return cure_of(brief, brief.rubber, key=key, label=label)


def gel_by_night(brief: PlanBrief) -> Figure | None:
    """Return when the next coat may follow one that is left at the end of a working day; None where no night is known [min]."""
    if brief.night_temperature_c is None:
        return None
    return cure_over_nights(brief.rubber, "gel_min", _room(brief), starts_at_hour=_evening(brief), name="gel_by_night").renamed(
        key="gel_by_night", label="Earliest next coat after a night"
    )


def cure_of(brief: PlanBrief, material: MaterialSpec, *, key: str, label: str, may_be_short: bool = False) -> Figure:
    """Return how long a material takes to be demolded [min].

    Parameters
    ----------
    brief : PlanBrief
        Temperatures by day and by night, and the hours that the room stays warm.
    material : MaterialSpec
        What cures.
    key, label : str
        Of the figure.
    may_be_short : bool
        Whether the work is done early enough for a cure shorter than the warm hours to end before the night.

    Raises
    ------
    ColdStall, TemperatureOutOfRange, MissingProperty
    """
    by_day = time_at(material, "demold_min", brief.temperature_c)
    warm = rate(brief.rates, "room_warm_h")
    if brief.night_temperature_c is None or (may_be_short and by_day.value <= MINUTES_PER_H * warm.value):
        return by_day.renamed(key=key, label=label)
    over_nights = cure_over_nights(material, "demold_min", _room(brief), starts_at_hour=_evening(brief), name=key)
    return over_nights.renamed(key=key, label=label)


def _room(brief: PlanBrief) -> RoomDay:
    return RoomDay(day=brief.temperature_c, night=brief.night_temperature_c, warm_hours=rate(brief.rates, "room_warm_h"))


def _evening(brief: PlanBrief) -> float:
    """Return the hour of the day at which the room begins to cool [h]."""
    return BEGINS_AT + rate(brief.rates, "room_warm_h").value
