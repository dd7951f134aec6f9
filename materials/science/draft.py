"""Whether a rigid piece comes straight off: each of its faces must lean away from the pull."""

import math

from materials.science.checks import nought_or_more
from materials.science.errors import BadThickness
from studio.figures import Given, Source, SourceKind

USUAL_DRAFT = Given(label="Draft", value=3.0, unit="°", low=2.0, high=5.0, source=Source(kind=SourceKind.COMMON_PRACTICE))
MOST_DRAFT_DEG = 30.0


def releases(*, normal_along_pull: float, draft_deg: float) -> bool:
    """Tell whether a face leaves along a pull: n · d ≥ sin(draft), n its outward unit normal, d the unit pull."""
    if not -1 - 1e-9 <= normal_along_pull <= 1 + 1e-9:
        raise BadThickness("A face's lean must be given by unit directions: it lies between −1 and 1.")
    return normal_along_pull >= _sine(draft_deg) - 1e-12


def widening_mm(*, depth_mm: float, draft_deg: float) -> float:
    """Compute by how much a face leans away over a depth: depth × tan(draft) [mm]."""
    _sine(draft_deg)
    if not nought_or_more(depth_mm):
        raise BadThickness("A depth cannot be less than nought.")
    return depth_mm * math.tan(math.radians(draft_deg))


def _sine(draft_deg: float) -> float:
    if not 0 <= draft_deg <= MOST_DRAFT_DEG:
        raise BadThickness(f"Draft lies between 0 and {MOST_DRAFT_DEG:g}°; 2 to 5° is usual.")
    return math.sin(math.radians(draft_deg))
