"""Two sections of a mold to one scale, for paper."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from jobs.geometry.section_places import FRONT, SIDE
from jobs.models import Plan
from jobs.planning.results import MoldPlan
from jobs.sections.studied import studied_piece
from studio.web.drawing import plane_section_to_scale, scale_words, section_key, sheet_scale

# Room for one drawing on A4 and Letter alike, two beside each other or one above the other. [mm]
BESIDE_MM, ABOVE_MM = (84.0, 165.0), (172.0, 82.0)
NAMES = ("Through the middle, facing the front", "Through the middle, facing the right")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSections:
    """Drawings with their names, at a scale in words; `fits` when they were studied for just this plan."""

    drawings: Sequence[tuple[str, SafeString]]
    scale: str
    times: str
    key: SafeString
    coats: Sequence[tuple[str, float]]
    fits: bool


def printed_sections(plan: Plan, made: MoldPlan) -> PrintedSections | None:
    """Draw the mold from the front and from the side, or nothing when its piece was not studied or fits on no sheet."""
    studied = studied_piece(plan, made)
    if studied is None:
        return None
    sheets = [studied.sheet(studied.layers(place)) for place in (FRONT, SIDE)]
    drawn = [(name, sheet) for name, sheet in zip(NAMES, sheets, strict=True) if sheet is not None]
    boxes = [sheet.box for _, sheet in drawn]
    scales = [scale for room in (BESIDE_MM, ABOVE_MM) if (scale := sheet_scale(boxes, room_mm=room)) is not None]
    if not drawn or not scales:
        return None
    ratio = min(scales)
    return PrintedSections(
        drawings=[(name, plane_section_to_scale(sheet, title=name, ratio=ratio)) for name, sheet in drawn],
        scale=scale_words(ratio),
        times="just" if ratio == 1 else f"{ratio:g} times",
        key=section_key(drawn[0][1]),
        coats=studied.coats,
        fits=studied.study.fits or studied.block_mm is not None,
    )
