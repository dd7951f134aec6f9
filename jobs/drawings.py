"""Drawings of a job: the piece in section, with its coats, and the coats over the hours."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from jobs.geometry.section_places import FRONT
from jobs.geometry.takeoff import OutlineKind, Takeoff
from jobs.models import Plan
from jobs.planning.results import MoldPlan
from jobs.sections.sheets import coat_lines
from jobs.sections.studied import studied_piece
from studio.web.drawing import Stretch, cure_strip, plane_section, section_drawing


def piece_drawing(takeoff: Takeoff) -> SafeString | str:
    """Draw the piece in section, or nothing where no outline was measured."""
    return _section(takeoff, coats=(), title="Section through the piece")


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatsDrawing:
    """The piece in section with its coats; `earlier_mm` is the studied wall where the plan has changed since its study."""

    svg: SafeString | str
    earlier_mm: float | None = None


def coats_drawing(plan: Plan, takeoff: Takeoff, made: MoldPlan) -> CoatsDrawing:
    """Draw the piece in section with every coat to scale: as it was studied, or by its outline until then."""
    title = "Section through the piece with its coats"
    studied = studied_piece(plan, made)
    sheet = None if studied is None else studied.sheet(studied.layers(FRONT))
    if studied is not None and sheet is not None:
        # Of a block's study only the piece is drawn, whatever was decided when it was made.
        earlier = None if studied.study.fits or studied.block_mm is not None else studied.wall_mm
        return CoatsDrawing(svg=plane_section(sheet, title=title), earlier_mm=earlier)
    # Until the shape is studied a block is not drawn: an even band would not be its rubber.
    coats = () if made.box is not None else tuple(coat_lines(made))
    return CoatsDrawing(svg=_section(takeoff, coats=coats, title=title))


def strip_drawing(made: MoldPlan) -> SafeString:
    """Draw the coats over the hours: hands on the work, then curing, then the time the next coat may still be laid."""
    stretches, clock = [], 0.0
    for coat in made.coats:
        # Where one position takes longer than another, the drawing shows the longest.
        hands = max(place.minutes.value for place in coat.places) / made.people_per_coat
        stretches.append(
            Stretch(
                label=f"{coat.number} {coat.role.label.lower()}",
                start_min=clock,
                hands_min=hands,
                wait_min=coat.earliest_next.value,
                latest_min=coat.latest_next.value if coat.latest_next is not None else None,
            )
        )
        clock += hands + coat.earliest_next.value
    return cure_strip(stretches, title="Coats over the hours, one position, laid as early as they may be")


def _section(takeoff: Takeoff, *, coats: tuple[tuple[str, float], ...], title: str) -> SafeString | str:
    outline = takeoff.outline
    if outline is None or len(outline.points) < 2:
        return ""
    return section_drawing(points=outline.points, closed=outline.kind is OutlineKind.SECTION, coats=coats, title=title)
