"""Sections through a studied piece, from its kept arrays to a sheet that can be drawn."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from jobs.planning.results import MoldPlan
from studio.web.drawing import Hatch, SectionSheet

if TYPE_CHECKING:
    from jobs.geometry.section.layers import SectionLayers
    from jobs.geometry.section.regions import Region

# A line is drawn with no more points than show: this share of the drawing's longer side, about a fifth of a dot.
FINEST = 1 / 2000
# Fill thinner than the lines around it is not drawn: less than this share of what it surrounds.
NO_FILL = 0.003
# The board is left out where a leaning plane meets it farther below the mold than this share of the mold's size: it would make
# the mold small.
FAR_BELOW = 0.5


def coat_lines(made: MoldPlan | None) -> list[tuple[str, float]]:
    """Return the coats of a plan, from the piece outward: name and thickness in mm."""
    return [] if made is None else [(coat.role.label, coat.thickness.value) for coat in made.coats]


def sheet_of(
    layers: "SectionLayers", coats: Sequence[tuple[str, float]], *, shell_hatch: Hatch = Hatch.LAMINATE
) -> SectionSheet | None:
    """Turn cut layers into a sheet to draw; None where the plane meets nothing."""
    if layers.box is None:
        return None
    left, right, low, high = layers.box
    fine = FINEST * max(right - left, high - low)
    inner = layers.coats[-1] if layers.coats else layers.piece
    board_v = layers.board_v
    if board_v is not None and low - board_v > FAR_BELOW * max(right - left, high - low):
        board_v = None
    has_fill = (layers.fill_mm2 or 0.0) > NO_FILL * inner.area_mm2
    return SectionSheet(
        piece=_loops(layers.piece, fine),
        coats=[(label, thickness, _loops(within, fine)) for (label, thickness), within in zip(coats, layers.coats, strict=True)],
        filled=_loops(layers.filled, fine) if has_fill else [],
        shell=_loops(layers.shell, fine),
        chunks=[[(float(x), float(y)) for x, y in chunk] for chunk in layers.chunks if has_fill],
        board_v=board_v,
        box=layers.box,
        leaning=not layers.plane.is_level and abs(layers.plane.normal[2]) > 1e-9,
        shell_hatch=shell_hatch,
    )


def _loops(region: "Region | None", fine: float) -> list[list[tuple[float, float]]]:
    from jobs.geometry.section.regions import thinned

    if region is None:
        return []
    return [[(x, y) for x, y in thinned(loop, fine).tolist()] for loop in region.loops]
