"""How fast each stage of a job cures in each hour of the room that is expected."""

import datetime
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from jobs.days.clock import Grid
from jobs.days.plans import CURED_BY, PlannedJob
from jobs.planning.rates import rate
from materials.properties import Chemistry
from materials.science.errors import ScienceError
from materials.science.kinetics import COLDEST_C, WARMEST_C, degrees, lowest_temperature, stretch, time_law
from materials.science.material import MaterialSpec
from materials.science.night import BEGINS_AT
from studio.models import RoomHour
from studio.workrates import Stage

HOUR = datetime.timedelta(hours=1)
# Past so many days the room is not looked at hour by hour: waits are then as in the mean of the last day looked at.
LOOKED_AT_DAYS = 30
DAY_HOURS = 24
# What goes on in an hour that is too cold to cure in; nothing at all would never end.
STALLED = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The temperatures that were entered for hours to come, by their begin."""

    begins: tuple[datetime.datetime, ...] = ()
    degrees_c: tuple[float, ...] = ()

    def at(self, moment: datetime.datetime) -> float | None:
        """Return the temperature entered for a moment, None where nothing was."""
        place = bisect_right(self.begins, moment) - 1
        return self.degrees_c[place] if place >= 0 and moment < self.begins[place] + HOUR else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Paces:
    """Paces by stage, and in sentences what was supposed; `refusal` says why the job cannot cure at all."""

    by_stage: Mapping[Stage, tuple[float, ...]]
    doubts: tuple[str, ...] = ()
    refusal: str = ""


def expected_room(grid: Grid, horizon: int) -> Room:
    """Return what was entered for the hours of the horizon, in one query."""
    rows = RoomHour.objects.filter(begins_at__gt=grid.at(0) - HOUR, begins_at__lt=grid.at(horizon)).order_by("begins_at")
    pairs = list(rows.values_list("begins_at", "temperature_c"))
    return Room(begins=tuple(begins for begins, _ in pairs), degrees_c=tuple(float(value) for _, value in pairs))


def paces_of(planned: PlannedJob, room: Room, grid: Grid, horizon: int) -> Paces:
    """Return how fast the materials of a job cure in each hour of the grid against the plan's temperature.

    Parameters
    ----------
    planned : PlannedJob
        The job with its plan and materials.
    room : Room
        What was entered of the hours to come; an hour without is as warm as the plan says, by day and by night.
    grid : Grid
        Begins at a full hour.
    horizon : int
        Number of steps.

    Notes
    -----
    pace = time at the plan's temperature ÷ time at the hour's temperature, by the material's own law [1]_. Below the
    temperature that a material is known to cure at, nothing goes on; above 60 °C it goes on as at 60 °C, where its law ends.

    References
    ----------
    .. [1] The Arrhenius law, or a speed-up per 10 °C (`materials.science.kinetics`).
    """
    temperatures = _temperatures(planned, room, grid, horizon)
    if not room.begins and len(set(temperatures)) == 1:
        return Paces(by_stage={})
    by_field: dict[str, tuple[float, ...]] = {}
    doubts: list[str] = []
    for field in dict.fromkeys(CURED_BY.values()):
        material = planned.materials.get(field)
        # Plaster sets by dissolving and crystallising; the law for resins is not known to hold for it.
        if material is None or material.chemistry is Chemistry.GYPSUM:
            continue
        try:
            paces = _paces(material, planned.made.temperature.value, temperatures)
        except ScienceError as error:
            doubts.append(f"{material.name} is taken to cure as planned in every hour: {error}")
            continue
        if max(paces[-DAY_HOURS:]) <= STALLED:
            lowest = degrees(lowest_temperature(material).value)
            return Paces(
                by_stage={},
                refusal=f"By day and by night the room is colder than {lowest}, below which {material.name} may never cure. "
                "Warm the room, or correct its temperatures under Studio, Room.",
            )
        doubts += _clamped(material, temperatures)
        by_field[field] = (*paces, sum(paces[-DAY_HOURS:]) / len(paces[-DAY_HOURS:]))
    by_stage = {stage: by_field[field] for stage, field in CURED_BY.items() if field in by_field}
    return Paces(by_stage=by_stage, doubts=tuple(doubts))


def _temperatures(planned: PlannedJob, room: Room, grid: Grid, horizon: int) -> list[float]:
    """Return the temperature of each hour that is looked at."""
    by_day = planned.made.temperature.value
    night = planned.plan.night_temperature_c
    by_night = by_day if night is None else float(night)
    warm_until = BEGINS_AT + rate(planned.rates, "room_warm_h").value
    hours = min(-(-horizon * grid.step_min // 60), LOOKED_AT_DAYS * DAY_HOURS)
    found = []
    for hour in range(hours):
        begins = grid.at(hour * 60 // grid.step_min)
        entered = room.at(begins)
        if entered is None:
            entered = by_day if BEGINS_AT <= begins.hour < warm_until else by_night
        found.append(entered)
    return found


def _paces(material: MaterialSpec, planned_c: float, temperatures: list[float]) -> list[float]:
    law, coldest = time_law(material), max(lowest_temperature(material).value, COLDEST_C)
    known: dict[float, float] = {}
    for temperature in set(temperatures):
        warm = min(temperature, WARMEST_C)
        known[temperature] = STALLED if warm < coldest else 1 / stretch(law, from_c=planned_c, to_c=warm)
    return [known[temperature] for temperature in temperatures]


def _clamped(material: MaterialSpec, temperatures: list[float]) -> list[str]:
    cold = sum(temperature < lowest_temperature(material).value for temperature in temperatures)
    hot = sum(temperature > WARMEST_C for temperature in temperatures)
    said = []
    if cold:
        hours = "one hour is" if cold == 1 else f"{cold} hours are"
        said.append(
            f"In the days looked at {hours} colder than {degrees(lowest_temperature(material).value)}, below which "
            f"{material.name} is not known to cure; they count as nothing."
        )
    if hot:
        said.append(f"Above {degrees(WARMEST_C)} {material.name} is taken to cure as fast as there.")
    return said
