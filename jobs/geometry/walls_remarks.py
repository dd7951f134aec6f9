"""What a takeoff says of walls that were not measured, or not yet."""

from dataclasses import replace

from jobs.geometry.measured import Takeoff
from studio.figures import Remark

WALLS_BY_FORMULA = Remark(
    key="walls_by_formula",
    text="The walls could not be measured on this scan, so they come from its area and bend: too high where coats from two "
    "walls of a cleft meet. Fewer triangles (half a million is plenty) make it possible; then upload it again.",
)
WALLS_TO_COME = Remark(
    key="walls_to_come",
    text="Area and volume are measured; the walls follow. Until they are there, they come from area and bend: too high where "
    "coats from two walls of a cleft meet.",
)


def by_formula(takeoff: Takeoff) -> Takeoff:
    """Say that its walls could not be measured."""
    return replace(takeoff, remarks=(*takeoff.remarks, WALLS_BY_FORMULA))


def to_come(takeoff: Takeoff) -> Takeoff:
    """Say that its walls are still being measured."""
    return replace(takeoff, remarks=(*takeoff.remarks, WALLS_TO_COME))


def settled(takeoff: Takeoff) -> Takeoff:
    """Let walls that were still to come stay by the formula."""
    kept = tuple(remark for remark in takeoff.remarks if remark != WALLS_TO_COME)
    return takeoff if len(kept) == len(takeoff.remarks) else by_formula(replace(takeoff, remarks=kept))
