"""The takeoff record: what the measured piece tells, however it was measured."""

import math
from dataclasses import dataclass
from enum import StrEnum

from jobs.geometry.errors import GeometryError
from jobs.geometry.outline import Outline
from jobs.geometry.walls import MeasuredWalls
from studio.figures import Figure, Given, Remark


class Method(StrEnum):
    """How the piece was measured."""

    TAPE = "tape"
    SCAN = "scan"
    TYPED = "typed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One kind of damage found in a scan: how often it occurs and what it costs the figures."""

    name: str
    count: int
    cost: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff:
    """The quantities read off one piece.

    A coat of even thickness t laid over the exposed surface takes A t + M t² + C t³ (Steiner's parallel body), with
    A = `area`, M = `mean_curvature`, C = `sphere_part`. A piece that stands on a board keeps only the surface it shows:
    M then holds the share of the rim where the coat meets the board, and C is 2π/3 instead of 4π/3.

    Attributes
    ----------
    area : Figure
        Exposed surface that gets coated, smooth, without the flange. [m2]
    volume : Figure
        Volume of the piece. [m3]
    mean_curvature : Figure
        Integral of mean curvature over the exposed surface. [m]
    sphere_part : float
        Coefficient of t³: 2πχ/3, χ the Euler characteristic of the exposed surface. [1]
    inner_curvature : Figure
        The same as `mean_curvature` for a wall laid on the inside, where the walls of a sharp edge meet in a corner
        instead of going round it (½ℓθ becomes ℓ tan(θ/2)). [m]
    inner_sphere_part : float
        Coefficient of w³ for a wall on the inside. [1]
    footprint_area, rim_length : Figure
        What rests on the board, and the line round it; nought for a piece coated all round. [m2], [m]
    flange_area : Figure
        Board round the base that the blanket covers, measured from the rim outward. [m2]
    box_mm : tuple of float
        Extents in x, y, z, z up.
    texture_factor : Given
        True over smooth area; it counts for the print coat alone. [1]
    spread_percent : Given
        How far the area may be off, ± percent. [%]
    walls : MeasuredWalls, optional
        Blankets and casting walls measured on the scan itself, or on a body made from tape readings; where they reach they
        stand in for the formula.
    """

    method: Method
    stands_on_board: bool
    area: Figure
    volume: Figure
    mean_curvature: Figure
    sphere_part: float
    inner_curvature: Figure
    inner_sphere_part: float
    footprint_area: Figure
    rim_length: Figure
    flange_area: Figure
    box_mm: tuple[float, float, float]
    texture_factor: Given
    spread_percent: Given
    remarks: tuple[Remark, ...] = ()
    faults: tuple[Fault, ...] = ()
    outline: Outline | None = None
    walls: MeasuredWalls | None = None

    def __post_init__(self) -> None:
        """Refuse what no piece can have."""
        numbers = [
            self.area.value, self.volume.value, self.mean_curvature.value, self.inner_curvature.value,
            self.sphere_part, self.inner_sphere_part, self.footprint_area.value, self.rim_length.value,
            self.flange_area.value, *self.box_mm, self.texture_factor.value, self.spread_percent.value,
        ]  # fmt: skip
        if not all(math.isfinite(number) for number in numbers):
            raise GeometryError("The measured piece gives a figure that is not a number; measure it again.")
        if self.area.value <= 0:
            raise GeometryError("The piece shows no surface to coat; check the measurements and which side is up.")
        if self.volume.value < 0:
            raise GeometryError("The hollows are larger than the piece itself; check their sizes.")
        if self.texture_factor.value < 1:
            raise GeometryError("Texture can only add area; give a texture factor of 1 or more.")
        if not 0 <= self.spread_percent.value < 100:
            raise GeometryError("The spread of the measurement must lie between 0 % and 100 %.")
