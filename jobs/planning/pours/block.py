"""A block poured in a box round the piece: no blanket and no shell, far more rubber and far fewer hours."""

from dataclasses import dataclass, replace

from jobs.geometry.coats import coat_volume, flange_outside, textured_area
from jobs.geometry.errors import GeometryError
from jobs.geometry.takeoff import Takeoff
from jobs.planning.brief import PlanBrief
from jobs.planning.errors import BadBrief
from jobs.planning.pours.pour import pour_coat, seated_scrap, without_scrap
from jobs.planning.pours.results import BoxPlan
from jobs.planning.rates import rate
from jobs.planning.results import Coat, FillPlan
from jobs.planning.sums import total
from studio.figures import COMPUTED, Figure, Given, Source, SourceKind, high_end, low_end

MOST_HALVES = 2
USUAL_MARGIN = Given(
    label="Rubber round the piece in a box",
    value=12.0,
    unit="mm",
    low=10.0,
    high=25.0,
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="about half an inch round a small piece, more round a large one"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockPlan:
    """The pour, the scrap seated in the corners before it, and the box."""

    coat: Coat
    fill: FillPlan | None
    box: BoxPlan


def block_brief(brief: PlanBrief) -> PlanBrief:
    """Return a brief as a block takes it: the box is the shell, and it is poured in one go or in two halves."""
    return replace(brief, shell=None, positions=min(brief.positions, MOST_HALVES))


def plan_block(brief: PlanBrief) -> BlockPlan:
    """Plan a block: what the box holds less the piece and the scrap in its corners.

    Raises
    ------
    BadBrief
        When the margin is impossible, or the piece's volume is not known or larger than the box.
    """
    box = _box(brief)
    solid = brief.takeoff.volume
    if not 0 < solid.value * 1000 < box.volume.value:
        raise BadBrief("The volume of the piece is not known or does not fit its own extents; measure the piece again.")
    whole = Figure(
        key="coat_1_volume",
        label="Rubber in this pour",
        value=box.volume.value - 1000 * solid.value,
        unit="L",
        formula="inside of the box − piece",
        given=(box.volume, solid),
        low=None if solid.high is None else max(box.volume.value - 1000 * solid.high, 0.0),
        high=None if solid.low is None else box.volume.value - 1000 * solid.low,
    )
    fill = _corners(brief, box, whole)
    volume = without_scrap(whole, fill, brief, formula="inside of the box − piece − scrap ÷ its density")
    least = box.margin.renamed(key="coat_1_thickness", label="Least thickness")
    area = total(
        "coat_1_area", "Surface that the rubber meets", "m2", (textured_area(brief.takeoff),), formula="surface with its texture"
    )
    coat = pour_coat(brief, volume=volume, thickness=least, area=area)
    parts = (coat.net_mass,) if fill is None else (coat.net_mass, fill.scrap_mass)
    return BlockPlan(
        coat=coat, fill=fill, box=replace(box, block_mass=total("block_mass", "Block, without the piece", "g", parts))
    )


def _box(brief: PlanBrief) -> BoxPlan:
    margin = brief.box_margin_mm or USUAL_MARGIN
    if not 0 < margin.value <= 200:
        raise BadBrief("The rubber round the piece in a box must lie between 0 and 200 mm (7.9 in).")
    sides = _sides(brief.takeoff, margin)
    length, width, height = (side.value / 1000 for side in sides)
    boards = 2 * (length + width) * height + length * width * (1 if brief.takeoff.stands_on_board else 2)
    area = Figure(
        key="box_boards", label="Boards of the box", value=boards, unit="m2", given=sides,
        formula="four sides and the floor" if brief.takeoff.stands_on_board else "four sides, floor and lid",
    )  # fmt: skip
    building, setup = rate(brief.rates, "box_min_per_m2"), rate(brief.rates, "box_setup_min")
    return BoxPlan(
        length=sides[0],
        width=sides[1],
        height=sides[2],
        margin=Figure(key="box_margin", label="Least rubber round the piece", value=margin.value, unit="mm",
                      formula="as decided" if brief.box_margin_mm else "as usual", given=(margin,)),
        volume=Figure(key="box_volume", label="Inside of the box", value=1000 * length * width * height, unit="L",
                      formula="length × width × height", given=sides),
        boards=area,
        block_mass=Figure(key="block_mass", label="Block, without the piece", value=0.0, unit="g", formula="nothing poured yet"),
        minutes=Figure(
            key="box_minutes", label="Building the box", value=setup.value + boards * building.value, unit="min",
            formula="measuring and cutting + boards × minutes per area", given=(setup, area, building),
            low=low_end(setup) + boards * low_end(building), high=high_end(setup) + boards * high_end(building),
        ),
    )  # fmt: skip


def _sides(takeoff: Takeoff, margin: Given) -> tuple[Figure, Figure, Figure]:
    """Return the inside of the box: the margin on each side, and on top alone where the piece stands on the board [mm]."""

    def side(key: str, label: str, piece_mm: float, times: int) -> Figure:
        extent = Given(label=f"{label} of the piece", value=piece_mm, unit="mm", source=COMPUTED)
        return Figure(
            key=f"box_{key}", label=f"{label} of the box, inside", value=piece_mm + times * margin.value, unit="mm",
            formula="piece + 2 × margin" if times == 2 else "piece + margin on top", given=(extent, margin),
        )  # fmt: skip

    across, along, up = takeoff.box_mm
    return (
        side("length", "Length", across, 2),
        side("width", "Width", along, 2),
        side("height", "Height", up, 1 if takeoff.stands_on_board else 2),
    )


def _corners(brief: PlanBrief, box: BoxPlan, whole: Figure) -> FillPlan | None:
    """Seat scrap where the box leaves room behind the rubber that covers the face."""
    scrap, packing = brief.scrap, brief.packing_fraction
    if scrap is None or brief.scrap_share_percent is None or brief.scrap_share_percent.value <= 0:
        return None
    cover, edge = rate(brief.rates, "face_cover_mm"), scrap.chunk_edge_mm
    # Where a chunk does not fit between the cover and the board, only what lies beyond an even wall takes any.
    kept_mm = cover.value if box.margin.value >= cover.value + edge.value else max(cover.value, box.margin.value)
    try:
        blanket = coat_volume(brief.takeoff, kept_mm)
    except GeometryError:
        return None
    flange_l = flange_outside(brief.takeoff, kept_mm).value * kept_mm
    kept_l = 1000 * blanket.value - flange_l
    corners = Figure(
        key="fill_volume",
        label="Room behind the face's cover",
        value=max(whole.value - kept_l, 0.0),
        unit="L",
        formula="rubber in the box − rubber kept over the face",
        given=(whole, Given(label="Kept over the face", value=kept_mm, unit="mm", source=cover.source), blanket, edge),
        note="Where a chunk does not fit beside the piece, it lies in the corners of the box alone.",
    )
    if corners.value <= 0 or packing is None:
        return None
    return seated_scrap(brief, volume=corners, room=None)
