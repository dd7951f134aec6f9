"""What the study of the shape tells a plan: fill, parting, shell pieces, positions, room for scrap."""

from collections.abc import Iterator
from dataclasses import dataclass

from jobs.geometry.study.results import Division, GaugeSpot, Positions, ScrapRoom, ShellPiece
from jobs.geometry.walls import MeasuredWalls
from studio.figures import Figure, Given, Remark, Source, SourceKind

MM3_PER_L = 1e6
MM2_PER_M2 = 1e6
MOST_POSITIONS = 12
# Of the rubber in the blanket.
_LEAST_SHARE = 0.002
# Common practice, no source: flanges are drilled and bolted, which wants about this width.
FLANGE_WIDTH = Given(
    label="Width of a parting flange",
    value=40.0,
    unit="mm",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="30 to 50 mm (1.2 to 2 in)"),
)
# After the areas of the positions stand the limit of leaning and what faces up in none.
_BESIDE_AREAS = 2
RANK_WORDS = ("the way of least fill", "the next best way", "the third best way")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapeBrief:
    """What was found on the shape for a plan; inputs carry where they come from.

    `pieces`, `outside_m2`, `parting_m`, `fill_l` belong to the division that the plan takes and are empty without one;
    `room_l` is what the fill can hold of chunks, None where that was found for other chunks or another division. `walls` were
    measured on a body made from tape readings. `gauges` are the places of gauge blocks.
    """

    pieces: tuple[ShellPiece, ...] = ()
    outside_m2: Given | None = None
    parting_m: Given | None = None
    fill_l: Given | None = None
    room_l: Given | None = None
    positions: Given | None = None
    position_areas: tuple[Given, ...] = ()
    walls: MeasuredWalls | None = None
    gauges: tuple[GaugeSpot, ...] = ()
    remarks: tuple[Remark, ...] = ()


def shape_brief(
    *,
    wall_mm: float,
    division: Division | None,
    positions: Positions | None,
    scrap: ScrapRoom | None,
    walls: MeasuredWalls | None = None,
    gauges: tuple[GaugeSpot, ...] = (),
    remarks: tuple[Remark, ...] = (),
) -> ShapeBrief:
    """Put what a study found into the inputs of a plan.

    Parameters
    ----------
    wall_mm : float
        The wall that it was studied with. [mm]
    division, positions, scrap, walls, gauges : optional
        What of it counts for this plan.
    remarks : tuple of Remark
        What is to be said about how far it counts.
    """
    source = Source(kind=SourceKind.COMPUTED, text=f"from the shape, for a wall of {lengths(wall_mm)}")
    found = None if positions is None else _positions(positions, source)
    areas = () if positions is None else _areas(positions, source)
    if division is None:
        return ShapeBrief(positions=found, position_areas=areas, walls=walls, gauges=gauges, remarks=remarks)
    fill, bound = division.fill_mm3 / MM3_PER_L, division.fill_bound_mm3 / MM3_PER_L
    if is_no_fill(division, wall_mm):
        fill = 0.0
    return ShapeBrief(
        pieces=division.pieces,
        outside_m2=_given("Filled outside, which the shell covers", division.outside_mm2 / MM2_PER_M2, "m2", source),
        parting_m=_given("Parting strip", division.parting_mm / 1000, "m", source),
        fill_l=Given(
            label=f"Fill for {way_words(division)}", value=fill, unit="L", source=source, low=max(fill - bound, 0.0),
            high=(division.fill_mm3 + division.fill_bound_mm3) / MM3_PER_L,
        ),
        room_l=None if scrap is None else _given("Room for chunks in the fill", scrap.room_mm3 / MM3_PER_L, "L", source),
        positions=found,
        position_areas=areas,
        walls=walls,
        gauges=gauges,
        remarks=(*remarks, *_order(division)),
    )  # fmt: skip


def worked_areas(shape: ShapeBrief) -> tuple[Given, ...]:
    """Return the surface that is worked at each of the positions found, in their order; empty where none were found [m²]."""
    return shape.position_areas[:-_BESIDE_AREAS]


def is_no_fill(division: Division, wall_mm: float) -> bool:
    """Say whether a fill cannot be told from nought, or is less than what any coat is off by: nobody mixes a cup for it."""
    return division.fill_mm3 <= max(division.fill_bound_mm3, _LEAST_SHARE * division.outside_mm2 * wall_mm)


def way_words(division: Division) -> str:
    """Name a way of dividing the shell."""
    count = len(division.pieces)
    if any(piece.pinned for piece in division.pieces):
        return f"{count} pieces, with pulls that are fixed"
    if division.rank < len(RANK_WORDS):
        return f"{count} pieces, {RANK_WORDS[division.rank]}"
    return f"{count} pieces, way {division.rank + 1}"


def lengths(mm: float) -> str:
    """Write a length in both systems, for a sentence that stands in every studio."""
    return f"{mm:g} mm ({mm / 25.4:.2f} in)"


def positions_figure(number: int, shape: ShapeBrief | None, typed: Given | None) -> Figure:
    """Return the number of positions with where it comes from."""
    if typed is not None or shape is None or shape.positions is None:
        given = () if typed is None else (typed,)
        formula = "as typed" if typed is not None else "supposed until the shape was studied"
        return Figure(key="positions", label="Positions", value=float(number), unit="1", formula=formula, given=given)
    return Figure(
        key="positions", label="Positions", value=float(number), unit="1",
        formula="the fewest found in which every patch faces up within the limit once", source=shape.positions.source,
        given=shape.position_areas,
    )  # fmt: skip


def _order(division: Division) -> Iterator[Remark]:
    if len(division.pieces) < 2 or division.order:
        return
    held = "; ".join(f"piece {a} is held by piece {b}" for a, b in division.blocked[:6])
    yield Remark(
        key="shell_order",
        text="No order was found in which these shell pieces come off one after another"
        + (f": {held}. " if held else ". ")
        + "Take another way on the Shell page, or more pieces.",
        tone="stop",
    )


def _positions(found: Positions, source: Source) -> Given | None:
    number = len(found.positions)
    return None if number == 0 else _given("Positions", float(min(number, MOST_POSITIONS)), "1", source)


def _areas(found: Positions, source: Source) -> tuple[Given, ...]:
    worked = tuple(
        _given(f"Worked in position {number}", position.area_mm2 / MM2_PER_M2, "m2", source)
        for number, position in enumerate(found.positions, start=1)
    )
    limit = _given("Degrees that a patch may lean from facing up", found.slope_limit_deg, "1", source)
    return (*worked, limit, _given("Faces up in none", found.left_out_mm2 / MM2_PER_M2, "m2", source))


def _given(label: str, value: float, unit: str, source: Source) -> Given:
    return Given(label=label, value=value, unit=unit, source=source)
