"""Where a section is asked for, in words that a page can hold; the plane itself is made of it."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jobs.geometry.section.plane import CutPlane

UPRIGHT, LEVEL, LEANING = "upright", "level", "leaning"
FRONT_DEG, RIGHT_DEG, BACK_DEG, LEFT_DEG = 270.0, 0.0, 90.0, 180.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionPlace:
    """An upright plane that faces a side, a level one, or one that leans.

    Attributes
    ----------
    kind : str
        "upright", "level" or "leaning".
    facing_deg, offset_mm : float
        Of an upright or a leaning plane: where its face looks, from x over y, 0 to 360, and how far it stands that way from
        the middle.
    lift_deg : float
        Of a leaning plane: how far up its face looks, −90 to 90.
    middle_mm : float
        Of a leaning plane: the height of the piece's middle, from which `offset_mm` counts.
    height_mm : float
        Of a level plane: its height above the board, or above the lowest point.
    """

    kind: str = UPRIGHT
    facing_deg: float = FRONT_DEG
    offset_mm: float = 0.0
    lift_deg: float = 0.0
    middle_mm: float = 0.0
    height_mm: float = 0.0

    @property
    def plane(self) -> "CutPlane":
        """The plane itself."""
        from jobs.geometry.section.plane import CutPlane

        if self.kind == LEVEL:
            return CutPlane.level(height_mm=self.height_mm)
        if self.kind == LEANING:
            return CutPlane.leaning(
                azimuth_deg=self.facing_deg, lift_deg=self.lift_deg, offset_mm=self.offset_mm, middle_mm=self.middle_mm
            )
        return CutPlane.upright(azimuth_deg=self.facing_deg, offset_mm=self.offset_mm)

    @property
    def side(self) -> str:
        """The word for the side that an upright or a leaning plane faces, empty between two."""
        words = {FRONT_DEG: "front", RIGHT_DEG: "right", BACK_DEG: "back", LEFT_DEG: "left"}
        return words.get(round(self.facing_deg, 2) % 360.0, "")


FRONT = SectionPlace(facing_deg=FRONT_DEG)
SIDE = SectionPlace(facing_deg=RIGHT_DEG)
