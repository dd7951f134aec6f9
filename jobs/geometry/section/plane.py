"""The plane of a section, and places in it: across and up."""

import math
from dataclasses import dataclass

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Doubles, Floats

MAX_OFFSET_MM = 100_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlane:
    """All points p with p · normal = offset, seen from the normal's end.

    Attributes
    ----------
    normal : tuple of float
        Unit vector (x, y, z) in the piece's frame.
    offset_mm : float
        How far the plane stands from the frame's origin along its normal, ±100 000. [mm]
    """

    normal: tuple[float, float, float]
    offset_mm: float

    def __post_init__(self) -> None:
        """Refuse what is no plane."""
        if not abs(math.hypot(*self.normal) - 1.0) < 1e-6:  # also refuses what is not a number
            raise GeometryError("The plane's normal must have the length 1.")
        if not abs(self.offset_mm) <= MAX_OFFSET_MM:
            raise GeometryError(f"A plane stands at most {MAX_OFFSET_MM:g} mm away.")

    @classmethod
    def upright(cls, *, azimuth_deg: float, offset_mm: float = 0.0) -> "CutPlane":
        """Return an upright plane that faces a side, the angle counted from x over y; across runs to that side's right."""
        if not math.isfinite(azimuth_deg):
            raise GeometryError("A plane faces an angle that is a number.")
        around = math.radians(azimuth_deg)
        return cls(normal=(math.cos(around), math.sin(around), 0.0), offset_mm=offset_mm)

    @classmethod
    def level(cls, *, height_mm: float) -> "CutPlane":
        """Return the level plane at a height above the board, seen from above; across is x, up is y."""
        return cls(normal=(0.0, 0.0, 1.0), offset_mm=height_mm)

    @classmethod
    def leaning(cls, *, azimuth_deg: float, lift_deg: float, offset_mm: float, middle_mm: float) -> "CutPlane":
        """Return a plane whose face looks towards a side and some way up or down.

        Parameters
        ----------
        azimuth_deg, lift_deg : float
            Where its face looks: the angle from x over y, and how far above the level, −90 to 90. [°]
        offset_mm : float
            How far it stands that way from the middle of the piece, which lies at x = y = 0. [mm]
        middle_mm : float
            How high that middle lies. [mm]
        """
        if not (math.isfinite(azimuth_deg) and abs(lift_deg) <= 90.0):
            raise GeometryError("A plane faces an angle around, and one between −90° and 90° up.")
        around, up = math.radians(azimuth_deg), math.radians(lift_deg)
        normal = (math.cos(up) * math.cos(around), math.cos(up) * math.sin(around), math.sin(up))
        return cls(normal=normal, offset_mm=offset_mm + normal[2] * middle_mm)

    @property
    def is_level(self) -> bool:
        """Whether the plane is parallel to the board."""
        return math.hypot(*self.normal[:2]) < 1e-9

    @property
    def across(self) -> Doubles:
        """Unit vector u, level. (3,)"""
        x, y, _ = self.normal
        length = math.hypot(x, y)
        return np.array([-y / length, x / length, 0.0]) if length >= 1e-9 else np.array([1.0, 0.0, 0.0])

    @property
    def up(self) -> Doubles:
        """Unit vector v; u, v and the normal make a right-handed frame. (3,)"""
        return np.cross(np.array(self.normal), self.across)

    @property
    def board_v(self) -> float | None:
        """Height v at which the board crosses the plane; None for a level plane. [mm]"""
        return None if self.is_level else -self.offset_mm * self.normal[2] / float(self.up[2])

    def flat(self, points: Floats) -> Doubles:
        """Return (n, 2) places across and up of points (n, 3), dropped onto the plane. [mm]"""
        found: Doubles = np.asarray(points, dtype=np.float64) @ np.column_stack([self.across, self.up])
        return found

    def spatial(self, places: Doubles) -> Doubles:
        """Return (n, 3) points of places (n, 2) in the plane. [mm]"""
        foot = self.offset_mm * np.array(self.normal)
        return places[:, :1] * self.across + places[:, 1:] * self.up + foot

    def distances(self, points: Floats) -> Doubles:
        """Return how far points (n, 3) lie in front of the plane, negative behind it. (n,) [mm]"""
        found: Doubles = np.asarray(points, dtype=np.float64) @ np.array(self.normal) - self.offset_mm
        return found
