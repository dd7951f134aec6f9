"""Sections through the studied piece: a plane is chosen, the drawing and its areas follow."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING, Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from jobs.forms.sections import SectionForm
from jobs.geometry.section_places import LEANING, LEVEL, SectionPlace
from jobs.models import PieceStudy
from jobs.sections.studied import Reach, StudiedPiece, studied_piece
from jobs.views.loading import context_of, load
from studio.access import Right, needs
from studio.web.context import current_profile
from studio.web.drawing import plane_section
from studio.web.htmx import render_page, wants_partial
from studio.web.quantities import own_number, show

if TYPE_CHECKING:
    from jobs.geometry.section.layers import SectionLayers

# Below this length of straight lines across holes of a scan nothing is said. [mm]
BRIDGES_TOLD_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerRow:
    """A line of the table: a layer, how thick it is [mm], and its area in the section [m²]."""

    label: str
    thickness_mm: float | None
    area_m2: float
    part_of: bool = False


@needs(Right.SEE_JOBS)
@require_safe
def sections_show(request: HttpRequest, number: int) -> HttpResponse:
    """Show a section through the piece with its coats, fill, scrap and shell, where the reader wants it."""
    page = load(number)
    studied = studied_piece(page.plan, page.made)
    # The plane's form asks for the section alone, again and again while it slides; a page that waits asks for all.
    sliding = wants_partial(request) and getattr(request.htmx, "target", None) == "section"  # type: ignore[attr-defined]
    part = "section" if sliding else "cutting"
    frame = {"job": page.job} if sliding else context_of(request, page, here="piece")
    context: dict[str, Any] = {**frame, "studied": studied}
    if studied is None:
        context |= {"last": page.job.piece.studies.defer("figures", "result").first(), "here_page": request.path}
        return render_page(request, "jobs/sections.html", context, partial=part)
    reach = studied.reach
    form = SectionForm(request.GET, on_board=studied.on_board, halfway_mm=reach.high_mm / 2, middle_mm=reach.middle_mm)
    context |= {"form": form, "ways": ways(reach.high_mm / 2), "sliders": sliders(reach)}
    if not form.is_valid():
        return render_page(request, "jobs/sections.html", context, partial=part, status=422)
    place = form.place()
    layers = studied.layers(place)
    sheet = studied.sheet(layers)
    context |= {
        "place": place,
        "where": where(place),
        "drawing": "" if sheet is None else plane_section(sheet, title=f"Section {where(place)}"),
        "rows": rows(studied, layers),
        "bridged_mm": layers.bridged_mm if layers.bridged_mm >= BRIDGES_TOLD_MM else 0.0,
        "remarks": studied.remarks,
        "of_tape": studied.study.of == PieceStudy.Of.TAPE,
    }
    return render_page(request, "jobs/sections.html", context, partial=part)


def where(place: SectionPlace) -> str:
    """Say where a plane stands: “facing the front, 20 mm before the middle”, “leaning, facing the front, 30° up, …”."""
    if place.kind == LEVEL:
        return f"level, at {_length(place.height_mm)}"
    facing = f"facing the {place.side}" if place.side else f"facing {place.facing_deg:g}°"
    if place.kind == LEANING:
        facing = f"leaning, {facing}, {abs(place.lift_deg):g}° {'down' if place.lift_deg < 0 else 'up'}"
    if not place.offset_mm:
        return f"{facing}, through the middle"
    way = "before" if place.offset_mm > 0 else "behind"
    return f"{facing}, {_length(abs(place.offset_mm))} {way} the middle"


def rows(studied: StudiedPiece, layers: "SectionLayers") -> list[LayerRow]:
    """Return the areas of all layers in the section, from the piece outward."""
    found = [LayerRow(label="Piece", thickness_mm=None, area_m2=layers.piece.area_mm2 * 1e-6)]
    for order, ((label, thickness), area) in enumerate(zip(studied.coats, layers.coat_areas_mm2, strict=True), start=1):
        found.append(LayerRow(label=f"{order}. {label}", thickness_mm=thickness, area_m2=area * 1e-6))
    block = studied.block_mm is not None
    if layers.fill_mm2 is not None:
        found.append(LayerRow(label="Rubber" if block else "Fill", thickness_mm=None, area_m2=layers.fill_mm2 * 1e-6))
    if layers.chunks:
        found.append(LayerRow(label="of it scrap", thickness_mm=None, area_m2=layers.chunks_mm2 * 1e-6, part_of=True))
    if layers.shell_mm2 is not None:
        label, area = "Box" if block else "Shell", layers.shell_mm2 * 1e-6
        found.append(LayerRow(label=label, thickness_mm=studied.shell_mm, area_m2=area))
    return found


def ways(halfway_mm: float) -> list[tuple[str, str]]:
    """Return the planes most asked for: their names, and the query of each."""
    facing = [("Front", 270), ("Right", 0), ("Back", 90), ("Left", 180)]
    upright = [(name, f"?cut=upright&facing={angle}&offset=0") for name, angle in facing]
    return [*upright, ("Level, halfway up", f"?cut=level&height={own_number(round(halfway_mm, 1), 'mm', current_profile())}")]


def sliders(reach: Reach) -> dict[str, dict[str, str]]:
    """Return from where to where each slider runs, in the studio's unit, with a point whatever its locale writes."""
    profile = current_profile()
    fine = Decimal(1) if own_number(10, "mm", profile) == "10" else Decimal("0.05")

    def edge(value_mm: float, rounding: str) -> str:
        own = Decimal(own_number(round(value_mm, 1), "mm", profile).replace(",", "."))
        return str((own / fine).to_integral_value(rounding) * fine)

    sign = own_number(0.5, "1", profile)[1]
    length = {"step": str(fine), "sign": sign}
    return {
        "facing": {"least": "0", "most": "360", "step": "1", "sign": sign},
        "lift": {"least": "-90", "most": "90", "step": "1", "sign": sign},
        "offset": {"least": edge(-reach.aside_mm, ROUND_FLOOR), "most": edge(reach.aside_mm, ROUND_CEILING), **length},
        "anyway": {"least": edge(-reach.anyway_mm, ROUND_FLOOR), "most": edge(reach.anyway_mm, ROUND_CEILING), **length},
        "height": {"least": edge(reach.low_mm, ROUND_FLOOR), "most": edge(reach.high_mm, ROUND_CEILING), **length},
    }


def _length(value_mm: float) -> str:
    return str(show(round(value_mm, 1), "mm", current_profile()))
