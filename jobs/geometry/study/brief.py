"""What a study of a piece is asked for."""

import math
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.directions import Direction

PIECE_COUNTS = (2, 3, 4)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartingPlane:
    """An upright plane on which two shell pieces must meet.

    Attributes
    ----------
    azimuth_deg : float
        Where its normal points, counted from x towards y, 0 to 360. [deg]
    offset_mm : float
        How far it stands from the middle of the box along that normal. [mm]
    """

    azimuth_deg: float
    offset_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no plane."""
        if not (math.isfinite(self.azimuth_deg) and math.isfinite(self.offset_mm)):
            raise GeometryError("The parting needs an angle and a distance that are numbers.")


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyBrief:
    """The decisions that the shape's study depends on.

    Attributes
    ----------
    wall_mm : float
        Wall of the blanket, 0.5 to 200. [mm]
    on_board : bool
        Whether the piece stands on a board at z = 0: no shell piece then pulls downward.
    shell_mm : float
        Thickness of the shell, for drawings and for the check of removal, 0 to 200. [mm]
    pieces : int
        How many shell pieces are planned, 1 to 60; 2, 3 and 4 are searched for.
    pulls : tuple of Direction
        Pulls fixed by a person, at most `pieces`; the search finds the others.
    parting : PartingPlane, optional
        Where two pieces must meet; only for two pieces.
    rank : int
        Which of the found divisions is taken, 0 the best.
    slope_limit_deg : float
        How far a patch may lean from facing up while it is worked, 10 to 89. [deg]
    chunk_edge_mm, cover_mm : float
        Edge of the scrap's chunks, 3 to 200, and fresh rubber around each towards the surfaces, 0 to 100. [mm]
    """

    wall_mm: float
    on_board: bool
    shell_mm: float = 6.0
    pieces: int = 2
    pulls: tuple[Direction, ...] = ()
    parting: PartingPlane | None = None
    rank: int = 0
    slope_limit_deg: float = 50.0
    chunk_edge_mm: float = 15.0
    cover_mm: float = 5.0

    def __post_init__(self) -> None:
        """Refuse decisions out of range, in words."""
        for name, value, low, high in (
            ("wall of rubber", self.wall_mm, 0.5, 200.0),
            ("thickness of the shell", self.shell_mm, 0.0, 200.0),
            ("edge of the chunks", self.chunk_edge_mm, 3.0, 200.0),
            ("cover around the chunks", self.cover_mm, 0.0, 100.0),
        ):
            if not low <= value <= high:  # also refuses what is not a number
                raise GeometryError(f"The {name} must be between {low:g} and {high:g} mm.")
        if not 10.0 <= self.slope_limit_deg <= 89.0:
            raise GeometryError("The slope that is still worked must be between 10° and 89°.")
        if not 1 <= self.pieces <= 60:
            raise GeometryError("A shell comes off in 1 to 60 pieces.")
        if len(self.pulls) > self.pieces:
            raise GeometryError(f"{len(self.pulls)} pulls are fixed, but the shell has {self.pieces} pieces.")
        if self.parting is not None and self.pieces != 2:
            raise GeometryError("A parting can be fixed for a shell of two pieces; set two pieces or release the parting.")
        if self.on_board and any(pull.z < -1e-6 for pull in self.pulls):
            raise GeometryError("A shell piece cannot be pulled down through the board; choose a pull that is level or rises.")
