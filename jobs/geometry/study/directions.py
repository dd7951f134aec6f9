"""Directions in space, as a mold maker says them: towards which side, and how far up."""

import math
from dataclasses import dataclass

from jobs.geometry.errors import GeometryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction:
    """A unit vector in the piece's frame: z up, x and y along the box."""

    x: float
    y: float
    z: float

    def __post_init__(self) -> None:
        """Refuse what has not the length 1."""
        if not abs(math.hypot(self.x, self.y, self.z) - 1.0) < 1e-6:
            raise GeometryError("A direction must have the length 1.")

    @property
    def azimuth_deg(self) -> float:
        """Towards which side, from x over y, 0 to 360; 0 for straight up and down."""
        if math.hypot(self.x, self.y) < 1e-9:
            return 0.0
        return math.degrees(math.atan2(self.y, self.x)) % 360.0

    @property
    def lift_deg(self) -> float:
        """How far above the level, −90 to 90."""
        return math.degrees(math.asin(max(-1.0, min(1.0, self.z))))


def direction(azimuth_deg: float, lift_deg: float) -> Direction:
    """Return the direction towards a side and how far up; raises GeometryError for angles that are none."""
    if not (math.isfinite(azimuth_deg) and math.isfinite(lift_deg) and abs(lift_deg) <= 90.0):
        raise GeometryError("A pull needs an angle around, and one between −90° and 90° above the level.")
    around, up = math.radians(azimuth_deg), math.radians(lift_deg)
    return Direction(x=math.cos(up) * math.cos(around), y=math.cos(up) * math.sin(around), z=math.sin(up))
