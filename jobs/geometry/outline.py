"""The piece's section as a line that a page can draw."""

from dataclasses import dataclass
from enum import StrEnum


class OutlineKind(StrEnum):
    """What the points of an outline mean."""

    PROFILE = "profile"
    SECTION = "section"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A line in the upright plane through the middle of the piece.

    `points` are (across, height) in mm, height 0 at the board. A *profile* runs from base to top at a distance from the
    axis and is drawn with its mirror image; a *section* is one closed line (the last point joins the first).
    """

    points: tuple[tuple[float, float], ...]
    kind: OutlineKind
