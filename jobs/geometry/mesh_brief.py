"""How an uploaded mesh is to be read."""

from dataclasses import dataclass

from jobs.geometry.errors import GeometryError
from jobs.geometry.measured import Method
from jobs.geometry.mesh_units import scale_of
from jobs.geometry.spreads import SPREADS
from jobs.geometry.texture import SMOOTH
from studio.figures import Given

UP_AXES = ("z", "y", "x", "-z", "-y", "-x")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshBrief:
    """Its unit (mm, cm, m, in), which of its axes points up, and how the piece is molded."""

    unit: str = "mm"
    up_axis: str = "z"
    stands_on_board: bool = True
    flange_width_mm: float = 0.0
    texture: Given = SMOOTH
    spread_percent: Given = SPREADS[Method.SCAN]

    def __post_init__(self) -> None:
        """Refuse a unit or axis that is none."""
        scale_of(self.unit)
        if self.up_axis not in UP_AXES:
            raise GeometryError(f"Choose one of {', '.join(UP_AXES)} as the axis that points up.")
