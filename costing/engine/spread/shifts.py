"""A plan's brief moved: another area, wall, temperature, or other rates, everything that is decided left as it is."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from jobs.geometry.takeoff import Takeoff
from jobs.geometry.walls import MeasuredWalls, Rung
from jobs.planning.brief import PlanBrief
from jobs.planning.shape import ShapeBrief
from studio.figures import Figure, Given
from studio.workrates import WORK_RATES


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """Area and wall as factors, the room so many degrees warmer, rates of work by their values."""

    area: float = 1.0
    wall: float = 1.0
    warmer: float = 0.0
    rates: Mapping[str, float] = field(default_factory=dict)


def shifted(brief: PlanBrief, shift: Shift) -> PlanBrief:
    """Return the brief with a shift; numbers of coats and of positions must be settled in it."""
    rates = dict(brief.rates)
    for key, value in shift.rates.items():
        rates[key] = replace(rates.get(key) or WORK_RATES[key].as_given(), value=value)
    night = brief.night_temperature_c
    return replace(
        brief,
        takeoff=_takeoff(brief.takeoff, shift.area),
        shape=None if brief.shape is None else _shape(brief.shape, shift.area),
        fill_volume_l=_of_shape(brief, brief.fill_volume_l, shift.area**1.5),
        seam_length_m=_of_shape(brief, brief.seam_length_m, math.sqrt(shift.area)),
        wall_mm=_times(brief.wall_mm, shift.wall),
        print_coat_mm=_times(brief.print_coat_mm, shift.wall),
        closing_coat_mm=_times(brief.closing_coat_mm, shift.wall),
        temperature_c=replace(brief.temperature_c, value=brief.temperature_c.value + shift.warmer),
        night_temperature_c=None if night is None else replace(night, value=night.value + shift.warmer),
        rates=rates,
    )


def _of_shape(brief: PlanBrief, given: Given | None, factor: float) -> Given | None:
    """Move what was found on the shape; what was typed stands."""
    if given is None or brief.shape is None or given not in (brief.shape.fill_l, brief.shape.parting_m):
        return given
    return _times(given, factor)


def _takeoff(takeoff: Takeoff, area: float) -> Takeoff:
    """Grow a piece to another area: lengths by its root, volumes with both."""
    if area == 1.0:
        return takeoff
    line = math.sqrt(area)
    across, deep, up = takeoff.box_mm
    return replace(
        takeoff,
        area=_grown(takeoff.area, area),
        volume=_grown(takeoff.volume, area * line),
        mean_curvature=_grown(takeoff.mean_curvature, line),
        inner_curvature=_grown(takeoff.inner_curvature, line),
        footprint_area=_grown(takeoff.footprint_area, area),
        rim_length=_grown(takeoff.rim_length, line),
        flange_area=_grown(takeoff.flange_area, line),
        box_mm=(across * line, deep * line, up * line),
        walls=None if takeoff.walls is None else _walls(takeoff.walls, takeoff.area.value * 1e6, area),
    )


def _walls(walls: MeasuredWalls, area_mm2: float, area: float) -> MeasuredWalls:
    """Grow measured walls: what is flat in them with the area, what goes round bends with its root."""
    line = math.sqrt(area)

    def grown(rung: Rung) -> Rung:
        flat = area_mm2 * rung.thickness_mm
        return replace(
            rung,
            volume_mm3=max(area * flat + line * (rung.volume_mm3 - flat), 0.0),
            area_mm2=max(area * area_mm2 + line * (rung.area_mm2 - area_mm2), 0.0),
        )

    return replace(
        walls,
        blanket=tuple(map(grown, walls.blanket)),
        casting=tuple(map(grown, walls.casting)),
        solid_from_mm=walls.solid_from_mm * line,
    )


def _shape(shape: ShapeBrief, area: float) -> ShapeBrief:
    line = math.sqrt(area)
    return replace(
        shape,
        outside_m2=_maybe(shape.outside_m2, area),
        parting_m=_maybe(shape.parting_m, line),
        fill_l=_maybe(shape.fill_l, area * line),
        room_l=_maybe(shape.room_l, area * line),
        walls=None,
    )


def _maybe(given: Given | None, factor: float) -> Given | None:
    return None if given is None else _times(given, factor)


def _times(given: Given, factor: float) -> Given:
    return replace(given, value=given.value * factor)


def _grown(figure: Figure, factor: float) -> Figure:
    return replace(figure, value=figure.value * factor)
