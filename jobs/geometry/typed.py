"""A takeoff from an area and a volume that are known another way: foil, displacement, or a guess at the enquiry."""

import math
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.flange import flange_figure
from jobs.geometry.measured import Method, Takeoff
from jobs.geometry.spreads import SPREADS, spread_range, volume_spread_percent
from jobs.geometry.tape import refuse_impossible
from jobs.geometry.texture import SMOOTH
from studio.figures import TYPED, Figure, Given, Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedBrief:
    """Area and volume as typed; `footprint_area_m2` is what stands on the board, 0 for a piece coated all round."""

    area_m2: float
    volume_m3: float
    footprint_area_m2: float = 0.0
    box_mm: tuple[float, float, float] | None = None
    flange_width_mm: float = 0.0
    texture: Given = SMOOTH
    spread_percent: Given = SPREADS[Method.TYPED]


def takeoff_from_typed(brief: TypedBrief) -> Takeoff:
    """Build a takeoff from an area and a volume; the bend is taken from a ball of that area.

    Notes
    -----
    For a body without hollows M ≥ √(4 π A), equal for a ball (published: Minkowski's inequality; from memory), so the
    coat comes out a little low for long or flat pieces, within the spread.
    """
    for number, what in ((brief.area_m2, "area"), (brief.volume_m3, "volume")):
        if not math.isfinite(number) or number <= 0:
            raise GeometryError(f"The {what} must be more than 0.")
    if not math.isfinite(brief.footprint_area_m2) or brief.footprint_area_m2 < 0:
        raise GeometryError("The footprint must be 0 or more.")
    footprint = brief.footprint_area_m2
    on_board = footprint > 0
    refuse_impossible(area_m2=brief.area_m2 + footprint, volume_m3=brief.volume_m3)
    rim = _figure("rim_length", "Rim on the board", math.sqrt(4 * math.pi * footprint), "m", "√(4π × footprint)")
    whole = math.sqrt(4 * math.pi * (brief.area_m2 + footprint))
    bend = whole - math.pi / 4 * rim.value if on_board else whole
    side = 1000 * (brief.volume_m3 * 6 / math.pi) ** (1 / 3)
    spread = brief.spread_percent.value
    cube = (2 if on_board else 4) * math.pi / 3
    return Takeoff(
        method=Method.TYPED,
        stands_on_board=on_board,
        area=_figure("area", "Surface to coat", brief.area_m2, "m2", "as typed", spread),
        volume=_figure("volume", "Volume of the piece", brief.volume_m3, "m3", "as typed",
                       volume_spread_percent(spread)),
        mean_curvature=_figure("mean_curvature", "Bend of the surface", bend, "m", "√(4π × whole area)", spread),
        sphere_part=cube,
        inner_curvature=_figure("inner_curvature", "Bend of the surface, from inside", bend, "m",
                                "√(4π × whole area)", spread),
        inner_sphere_part=cube,
        footprint_area=_figure("footprint_area", "Footprint on the board", footprint, "m2", "as typed"),
        rim_length=rim,
        flange_area=flange_figure(rim, brief.flange_width_mm, stands_on_board=on_board),
        box_mm=brief.box_mm or (side, side, side),
        texture_factor=brief.texture,
        spread_percent=brief.spread_percent,
        remarks=(
            Remark(
                key="typed_bend",
                text="Area and volume were typed, so the bend is that of a ball; measure with a tape to narrow the price.",
            ),
        ),
    )  # fmt: skip


def _figure(key: str, label: str, value: float, unit: str, formula: str, spread_percent: float = 0.0) -> Figure:
    low, high = spread_range(value, spread_percent) if spread_percent else (None, None)
    given = (Given(label=label, value=value, unit=unit),) if formula == "as typed" else ()
    return Figure(key=key, label=label, value=value, unit=unit, formula=formula, given=given, source=TYPED, low=low, high=high)
