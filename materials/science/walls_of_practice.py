"""Walls, flanges and keys as workshops make them, each with its source."""

from dataclasses import dataclass

from materials.science.errors import BadThickness
from studio.figures import Figure, Given, Source, SourceKind, high_end, low_end

_PRACTICE = Source(kind=SourceKind.COMMON_PRACTICE)
SOFT_SHORE_A = 20.0
LARGEST_PIECE_MM = 4000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WallOfPractice:
    """A wall that is usual for pieces up to a size (longest side, mm; None is any), lowest to highest in mm."""

    situation: str
    low_mm: float
    high_mm: float
    upto_mm: float | None
    source: Source


GENERAL = WallOfPractice(
    situation="Brushed on, in general",
    low_mm=9.5,
    high_mm=9.5,
    upto_mm=None,
    source=Source(kind=SourceKind.PUBLISHED, text="a rubber maker's example of estimating: 3/8 in"),
)
GLOVE = WallOfPractice(
    situation="Glove mold, pulled off like a sock",
    low_mm=3.0,
    high_mm=3.0,
    upto_mm=None,
    source=Source(kind=SourceKind.PUBLISHED, text="a rubber maker's tutorial: 1/8 in"),
)
SMALL_HEAD = WallOfPractice(
    situation="Small head, four coats",
    low_mm=6.0,
    high_mm=6.5,
    upto_mm=300.0,
    source=Source(kind=SourceKind.PUBLISHED, text="a workshop's account: about 1/4 in"),
)
BLANKET = WallOfPractice(
    situation="Blanket for many resin castings, 300 to 600 mm (12 to 24 in)",
    low_mm=8.0,
    high_mm=10.0,
    upto_mm=600.0,
    source=_PRACTICE,
)
LIFE_SIZE = WallOfPractice(
    situation="Life-size and larger, thicker at flanges and high points",
    low_mm=10.0,
    high_mm=12.0,
    upto_mm=LARGEST_PIECE_MM,
    source=_PRACTICE,
)
_BY_SIZE = (SMALL_HEAD, BLANKET, LIFE_SIZE)

SOFTER_ADDS = Given(
    label="Softer rubber wants more wall",
    value=25.0,
    unit="%",
    low=20.0,
    high=30.0,
    source=Source(kind=SourceKind.FROM_MEMORY, text="that softer rubber needs a thicker wall is published; the share is not"),
)
BASE_FLANGE = Given(
    label="Flange at the base board",
    value=75.0,
    unit="mm",
    source=Source(kind=SourceKind.PUBLISHED, text="a rubber maker's tutorial on brushing: 3 in"),
)
PARTING_FLANGE = Given(label="Flange at a parting", value=40.0, unit="mm", low=25.0, high=50.0, source=_PRACTICE)


def wall_of_practice(*, longest_mm: float, shore_a: float | None = None) -> Figure:
    """Return the usual total wall for a piece of this size, more of it for rubber softer than 20 Shore A [mm].

    Up to 300 mm counts as a small head: that bound is this program's choice, where practice speaks of 300 to 600 mm next.

    Parameters
    ----------
    longest_mm : float
        Longest side of the piece, up to 4 m. [mm]
    shore_a : float or None
        Hardness of the rubber where it is known.

    Raises
    ------
    BadThickness
        When the piece is outside the sizes that practice tells of.
    """
    if not 0 < longest_mm <= LARGEST_PIECE_MM:
        raise BadThickness("Usual walls are known for pieces of up to 4 m (13 ft); divide a larger piece into sections.")
    found = next(wall for wall in _BY_SIZE if wall.upto_mm is not None and longest_mm <= wall.upto_mm)
    softer = shore_a is not None and shore_a < SOFT_SHORE_A
    least = 1 + low_end(SOFTER_ADDS) / 100 if softer else 1.0
    most = 1 + high_end(SOFTER_ADDS) / 100 if softer else 1.0
    low, high = found.low_mm * least, found.high_mm * most
    size = Given(label="Longest side of the piece", value=longest_mm, unit="mm")
    hardness = () if shore_a is None else (Given(label="Hardness", value=shore_a, unit="Shore A"),)
    return Figure(
        key="wall_of_practice",
        label="Usual wall for this size",
        value=(low + high) / 2,
        unit="mm",
        formula="middle of the usual walls" + (" × (1 + more for softer rubber)" if softer else ""),
        given=(size, *hardness, *((SOFTER_ADDS,) if softer else ())),
        source=found.source,
        low=low,
        high=high,
        note=f"{found.situation}. {_elsewhere(GENERAL)}; {_elsewhere(GLOVE).lower()}.",
    )


def _elsewhere(wall: WallOfPractice) -> str:
    """Say what a maker publishes for another situation."""
    return f"{wall.situation}: {wall.low_mm:g} mm ({wall.low_mm / 25.4:.2f} in)"
