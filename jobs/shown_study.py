"""What was found on a shape, as lines of tables: shell pieces, positions, scrap, gauge blocks."""

from dataclasses import dataclass

from django.utils.html import format_html
from django.utils.safestring import SafeString

from jobs.geometry.study.directions_said import facing_said, pull_said
from jobs.geometry.study.results import Division, GaugeKind, Point3, Study
from jobs.planning.shape import MM2_PER_M2, MM3_PER_L
from jobs.shown_shape import hex_of

KINDS = {GaugeKind.FLAT: "flat spot", GaugeKind.CROWN: "crown", GaugeKind.THIN: "thin-risk spot"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceLine:
    """One shell piece: its colour, its pull in words, and its measures."""

    number: int
    swatch: SafeString
    pull: str
    pinned: bool
    area_m2: float
    reach_mm: float
    size_mm: Point3


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionLine:
    """One way of holding the piece: what then faces up, and the area worked."""

    number: int
    up: str
    area_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeLine:
    """One place for a gauge block; `place_mm` is x and y from the middle of the piece, and its height, in whole mm."""

    number: int
    kind: str
    where: str
    place_mm: tuple[int, int, int]
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapLines:
    """What the fill takes of chunks of one size."""

    edge_mm: float
    cover_mm: float
    room_l: float
    low_l: float
    high_l: float
    laid: int


def piece_lines(division: Division | None) -> list[PieceLine]:
    """Return the shell pieces in the order of their numbers."""
    from jobs.geometry.study.colours import piece_colour

    if division is None:
        return []
    return [
        PieceLine(
            number=piece.number, swatch=_swatch(piece_colour(piece.number)), pull=pull_said(piece.pull), pinned=piece.pinned,
            area_m2=piece.area_mm2 / MM2_PER_M2, reach_mm=piece.reach_mm, size_mm=piece.size_mm,
        )
        for piece in sorted(division.pieces, key=lambda piece: piece.number)
    ]  # fmt: skip


def position_lines(study: Study) -> list[PositionLine]:
    """Return the positions in the order in which they were found."""
    return [
        PositionLine(number=number, up=facing_said(position.up), area_m2=position.area_mm2 / MM2_PER_M2)
        for number, position in enumerate(study.positions.positions, start=1)
    ]


def gauge_lines(study: Study) -> list[GaugeLine]:
    """Return the places for gauge blocks."""
    return [
        GaugeLine(
            number=number, kind=KINDS[spot.kind], where=facing_said(spot.outward), why=spot.why,
            place_mm=(round(spot.point[0]), round(spot.point[1]), round(spot.point[2])),
        )
        for number, spot in enumerate(study.gauges, start=1)
    ]  # fmt: skip


def scrap_lines(study: Study) -> ScrapLines | None:
    """Return what the fill takes of chunks; None where none was looked for, or no chunk finds room."""
    scrap = study.scrap
    if scrap is None or (scrap.room_mm3 <= scrap.room_bound_mm3 and not scrap.laid):
        return None
    room, bound = scrap.room_mm3 / MM3_PER_L, scrap.room_bound_mm3 / MM3_PER_L
    return ScrapLines(
        edge_mm=scrap.chunk_edge_mm, cover_mm=scrap.cover_mm, room_l=room, low_l=max(room - bound, 0.0), high_l=room + bound,
        laid=scrap.laid,
    )  # fmt: skip


def _swatch(rgb: tuple[int, int, int]) -> SafeString:
    return format_html(
        '<svg class="swatch" viewBox="0 0 12 12" aria-hidden="true"><rect x="0.5" y="0.5" width="11" height="11" fill="{}" '
        'stroke="currentColor"/></svg>',
        hex_of(rgb),
    )
