"""What a study finds; lengths in mm, areas in mm², volumes in mm³, in the piece's frame (board at z = 0)."""

from dataclasses import dataclass
from enum import StrEnum

from jobs.geometry.study.directions import Direction
from jobs.geometry.walls import MeasuredWalls
from studio.figures import Remark

Point3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellPiece:
    """One piece of the shell.

    Attributes
    ----------
    number : int
        1 for the first that comes off.
    pull : Direction
        Where it is pulled to; `pinned` when a person said so.
    area_mm2 : float
        Its region of the filled outside.
    reach_mm : float
        How far its region extends along the pull: how far it must be drawn before it is free.
    size_mm : tuple of float
        Extents of its region in x, y, z.
    """

    number: int
    pull: Direction
    pinned: bool
    area_mm2: float
    reach_mm: float
    size_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """Where two shell pieces meet: a line over the filled outside, `closed` when it comes back to its start."""

    between: tuple[int, int]
    points: tuple[Point3, ...]
    closed: bool
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """One way of taking the shell off in pieces.

    Attributes
    ----------
    rank : int
        0 for the least fill among those of as many pieces.
    fill_mm3, fill_bound_mm3 : float
        Rubber that makes hollows solid so that the pieces can be pulled, and how far that may be off.
    outside_mm2 : float
        Area of the filled outside, which the shell covers.
    order : tuple of int
        The pieces' numbers in an order in which each can be pulled past the others; empty when there is none.
    blocked : tuple of pairs
        (a, b) where piece a cannot be pulled before piece b is gone.
    unseen_mm2 : float
        Part of the filled outside that no pull reaches cleanly; nought but for rounding.
    """

    rank: int
    pieces: tuple[ShellPiece, ...]
    partings: tuple[Parting, ...]
    parting_mm: float
    fill_mm3: float
    fill_bound_mm3: float
    outside_mm2: float
    order: tuple[int, ...]
    blocked: tuple[tuple[int, int], ...]
    unseen_mm2: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapRoom:
    """What the fill can take of chunks of one size.

    Attributes
    ----------
    room_mm3 : float
        The part of the fill that chunks can occupy, cover kept; times a packing fraction it is scrap.
    places : tuple of points
        Middles of chunks laid by hand, cubes along x, y and z that do not touch; the lowest 10,000 where more fit.
    room_bound_mm3 : float
        How far the room may be off.
    laid : int
        How many chunks can be laid by hand; nought also when they are far too small to be laid one by one.
    """

    chunk_edge_mm: float
    cover_mm: float
    room_mm3: float
    places: tuple[Point3, ...]
    room_bound_mm3: float = 0.0
    laid: int = 0

    @property
    def laid_mm3(self) -> float:
        """Volume of the chunks laid by hand."""
        return self.laid * self.chunk_edge_mm**3

    @property
    def laid_share(self) -> float:
        """Share of the room that they take; over 1 only in hollows hardly wider than a chunk, whose corners no ball reaches."""
        return self.laid_mm3 / self.room_mm3 if self.room_mm3 > 0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """One way of holding the piece: what then points up, and the area worked in it."""

    up: Direction
    area_mm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Positions:
    """The fewest ways found of holding the piece so that (nearly) every patch faces up within the limit in one of them."""

    slope_limit_deg: float
    positions: tuple[Position, ...]
    left_out_mm2: float


class GaugeKind(StrEnum):
    """Why a gauge block sits where it does."""

    FLAT = "flat"
    CROWN = "crown"
    THIN = "thin"


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeSpot:
    """A place for a gauge block: on the piece's surface, with the way out of it."""

    kind: GaugeKind
    point: Point3
    outward: Direction
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """All that was found for one brief.

    `divisions` holds the best and the next best for each count that was searched, and what a person fixed; `taken` is the
    one that the brief asks for, None when its count was not searched for. `walls` are those of a body made from tape
    readings; a scan's belong to its takeoff. `remarks` tell where the shape that was studied is not as its piece was measured;
    they carry no figures.
    """

    wall_mm: float
    cell_mm: float
    divisions: tuple[Division, ...]
    taken: Division | None
    scrap: ScrapRoom | None
    positions: Positions
    gauges: tuple[GaugeSpot, ...]
    walls: MeasuredWalls | None = None
    remarks: tuple[Remark, ...] = ()
