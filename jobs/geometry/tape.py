"""From tape readings to the takeoff."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.geometry.body import Body, body_from_girths, body_from_solid
from jobs.geometry.errors import GeometryError
from jobs.geometry.extras import Extra, Solid, measure_extra
from jobs.geometry.flange import flange_figure
from jobs.geometry.measured import Method, Takeoff
from jobs.geometry.spreads import SPREADS, spread_range, volume_spread_percent
from jobs.geometry.stack import Girth
from jobs.geometry.texture import SMOOTH
from studio.figures import COMPUTED, Figure, Given, Source, SourceKind

BEND_FORMULA = "sides: π × height; edges: ½ × length × angle turned (outward +, inward −)"


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeBrief:
    """All that was measured on one piece with a tape.

    Girths run from the base up. Without girths the first solid is the body. `stands_on_board` leaves the base uncoated.
    """

    girths: tuple[Girth, ...] = ()
    solids: tuple[Solid, ...] = ()
    stands_on_board: bool = True
    flange_width_mm: float = 0.0
    texture: Given = SMOOTH
    spread_percent: Given = SPREADS[Method.TAPE]


def takeoff_from_tape(brief: TapeBrief) -> Takeoff:
    """Compute the takeoff of a piece measured with a tape.

    Raises
    ------
    GeometryError
        With a sentence that names the reading to check.

    Notes
    -----
    Sides ½ (C₁ + C₂) s and volumes h/3 (C₁² + C₁C₂ + C₂²)/4π are exact for cone frusta. Readings whose area is less than
    a ball of their volume has (isoperimetric inequality) are refused.
    """
    if brief.girths:
        body, others = body_from_girths(brief.girths, on_board=brief.stands_on_board), brief.solids
    elif brief.solids:
        body, others = body_from_solid(brief.solids[0], on_board=brief.stands_on_board), brief.solids[1:]
    else:
        raise GeometryError("Enter at least two girths, or one simple solid, so that there is a piece to compute.")
    extras = tuple(measure_extra(solid, number) for number, solid in enumerate(others, start=1))
    spread = brief.spread_percent.value
    area = _sum_figure("area", "Surface to coat", "m2", body.area_figures, [e.area_figure for e in extras], spread)
    volume = _sum_figure(
        "volume", "Volume of the piece", "m3", body.volume_figures, [e.volume_figure for e in extras],
        volume_spread_percent(spread),
    )  # fmt: skip
    if area.value <= 0:
        raise GeometryError("The contacts hide more surface than the piece has; check the contact areas.")
    if volume.value <= 0:
        raise GeometryError("The hollows are larger than the piece itself; check their sizes and counts.")
    refuse_impossible(area_m2=area.value + body.footprint_mm2 * 1e-6, volume_m3=volume.value)
    rim = _rim_figure(body)
    return Takeoff(
        method=Method.TAPE,
        stands_on_board=brief.stands_on_board,
        area=area,
        volume=volume,
        mean_curvature=_bend_figure(body, extras, inside=False),
        sphere_part=body.cube + sum(extra.cube for extra in extras),
        inner_curvature=_bend_figure(body, extras, inside=True),
        inner_sphere_part=body.inner_cube + sum(extra.cube for extra in extras),
        footprint_area=_footprint_figure(body),
        rim_length=rim,
        flange_area=flange_figure(rim, brief.flange_width_mm, stands_on_board=brief.stands_on_board),
        box_mm=body.box_mm,
        texture_factor=brief.texture,
        spread_percent=brief.spread_percent,
        remarks=body.remarks + tuple(extra.remark for extra in extras if extra.remark),
        outline=body.outline,
    )


def refuse_impossible(*, area_m2: float, volume_m3: float) -> None:
    """Refuse an area that cannot hold the volume: A ≥ (36 π V²)^(1/3), equal for a ball (published: isoperimetric)."""
    least = (36 * math.pi * volume_m3**2) ** (1 / 3)
    if area_m2 < least * (1 - 1e-9):
        raise GeometryError(
            f"These measurements cannot belong to one piece: {volume_m3 * 1000:.3g} litres need at least {least:.3g} m² "
            f"of surface, and they give {area_m2:.3g} m². Check the distances, the heights and the units."
        )


def _sum_figure(
    key: str, label: str, unit: str, parts: Sequence[Figure], extras: Sequence[Figure], spread_percent: float
) -> Figure:
    given = (*parts, *extras)
    value = sum(part.value for part in given)
    low, high = spread_range(value, spread_percent)
    return Figure(
        key=key,
        label=label,
        value=value,
        unit=unit,
        formula="the sum of these",
        given=given,
        source=Source(kind=SourceKind.MEASURED, text="tape"),
        low=low,
        high=high,
    )


def _bend_figure(body: Body, extras: Sequence[Extra], *, inside: bool) -> Figure:
    own = body.inner_bend_mm if inside else body.bend_mm
    added = sum(extra.inner_bend_mm if inside else extra.bend_mm for extra in extras)
    formula = "sides: π × height; edges: length × tan(½ angle) outward, ½ × length × angle inward"
    return Figure(
        key="inner_curvature" if inside else "mean_curvature",
        label="Bend of the surface, from inside" if inside else "Bend of the surface",
        value=(own + added) * 1e-3,
        unit="m",
        formula=formula if inside else BEND_FORMULA,
        given=(
            Given(label="Body", value=own * 1e-3, unit="m", source=COMPUTED),
            Given(label="Solids and hollows", value=added * 1e-3, unit="m", source=COMPUTED),
        ),
    )


def _footprint_figure(body: Body) -> Figure:
    return Figure(
        key="footprint_area",
        label="Footprint on the board",
        value=body.footprint_mm2 * 1e-6,
        unit="m2",
        formula="flat face of the base",
    )


def _rim_figure(body: Body) -> Figure:
    return Figure(
        key="rim_length",
        label="Rim on the board",
        value=body.rim_mm * 1e-3,
        unit="m",
        formula="length round the base",
    )
