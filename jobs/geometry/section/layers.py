"""All layers of a planned mold that one plane cuts: piece, coats, fill, chunks, shell, board."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.section.chunks import cut_cubes
from jobs.geometry.section.contours import Sheet, sheet_for
from jobs.geometry.section.cut import cut_mesh
from jobs.geometry.section.plane import CutPlane
from jobs.geometry.section.regions import Region, above, cleaned
from jobs.geometry.study.workspace import Workspace

MOST_COATS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionLayers:
    """What a plane cuts, as regions in its own places (across, up), mm; on a board nothing lies below it.

    Attributes
    ----------
    piece : Region
        The piece itself, cut exactly.
    coats : tuple of Region
        For each coat all that lies within it: piece and coats up to and with this one.
    filled : Region, optional
        All within the filled outside; None when no division was studied.
    shell : Region, optional
        All within the shell's outside; None without a filled outside or without a shell.
    chunks : tuple of ndarray, each (n, 2)
        Outlines of the chunks of old rubber that the plane cuts.
    board_v : float, optional
        Where the board's surface lies, None for a level plane and for a piece that stands on none.
    coat_areas_mm2 : tuple of float
        Area of each coat alone, from the same distances inside and outside it.
    bridged_mm : float
        Length over which the piece's outline was led straight across holes of the scan.
    """

    plane: CutPlane
    piece: Region
    coats: tuple[Region, ...]
    filled: Region | None
    shell: Region | None
    chunks: tuple[Doubles, ...]
    board_v: float | None
    coat_areas_mm2: tuple[float, ...]
    bridged_mm: float = 0.0
    box: tuple[float, float, float, float] | None = field(default=None)

    @property
    def rubber_mm2(self) -> float:
        """Area of all coats together."""
        return sum(self.coat_areas_mm2)

    @property
    def fill_mm2(self) -> float | None:
        """Area between the last coat and the filled outside, chunks included."""
        if self.filled is None:
            return None
        return max(0.0, self.filled.area_mm2 - (self.coats[-1] if self.coats else self.piece).area_mm2)

    @property
    def shell_mm2(self) -> float | None:
        """Area of the shell."""
        if self.shell is None or self.filled is None:
            return None
        return max(0.0, self.shell.area_mm2 - self.filled.area_mm2)

    @property
    def chunks_mm2(self) -> float:
        """Area of the chunks."""
        return sum(Region(loops=(loop,)).area_mm2 for loop in self.chunks)


def section_layers(
    workspace: Workspace,
    plane: CutPlane,
    *,
    coats_mm: Sequence[float],
    shell_mm: float,
    chunk_edge_mm: float,
    on_board: bool | None = None,
) -> SectionLayers:
    """Cut all layers of a mold.

    Parameters
    ----------
    workspace : Workspace
        What the study left behind; `outside` may be missing.
    plane : CutPlane
        Where to cut.
    coats_mm : sequence of float
        Thickness of each coat from the piece outward, each above 0, at most 100 of them. [mm]
    shell_mm : float
        Thickness of the shell, 0 for none. [mm]
    chunk_edge_mm : float
        Edge of the chunks, which lie square to the frame. [mm]
    on_board : bool, optional
        Whether there is a board at z = 0; without it, whether the field of distances begins there.

    Raises
    ------
    GeometryError
        For thicknesses that are none.

    Notes
    -----
    The piece is cut exactly; the other layers are level lines of the study's distances, read linearly between its nodes on a
    grid at least as fine. Coat areas are differences between level lines, so that the chords of the grid cancel.
    """
    if len(coats_mm) > MOST_COATS or not all(0 < thickness <= 1000 for thickness in coats_mm) or not 0 <= shell_mm <= 1000:
        raise GeometryError("Every coat of a section needs a thickness between 0 and 1000 mm, and the shell one from 0 up.")
    if on_board is None:
        on_board = bool(abs(workspace.distance.origin[2]) < 1e-6)
    cut = cut_mesh(workspace.vertices, workspace.faces, plane)
    board_v = plane.board_v if on_board else None
    piece = cleaned(cut.loops)
    if board_v is not None:
        piece = above(piece, board_v)
    elif on_board and plane.is_level and plane.offset_mm * plane.normal[2] < 0:
        piece = Region()
    levels = np.cumsum([0.0, *coats_mm])
    sheet = sheet_for(workspace, plane, piece, wall_mm=float(levels[-1]), shell_mm=shell_mm, on_board=on_board)
    if sheet is None:
        nothing = tuple(Region() for _ in coats_mm)
        return SectionLayers(
            plane=plane, piece=piece, coats=nothing, filled=None, shell=None, chunks=(), board_v=board_v,
            coat_areas_mm2=(0.0,) * len(coats_mm), bridged_mm=cut.bridged_mm, box=piece.box,
        )  # fmt: skip
    within = [sheet.within(sheet.distance, float(level)) for level in levels]
    areas = [region.area_mm2 for region in within]
    filled, shell = _outside(sheet, shell_mm)
    chunks = () if filled is None else cut_cubes(workspace.chunks, chunk_edge_mm, plane)
    outermost = [region for region in (piece, within[-1], filled, shell) if region]
    return SectionLayers(
        plane=plane,
        piece=piece,
        coats=tuple(within[1:]),
        filled=filled,
        shell=shell,
        chunks=chunks,
        board_v=board_v,
        coat_areas_mm2=tuple(max(0.0, outer - inner) for inner, outer in pairwise(areas)),
        bridged_mm=cut.bridged_mm,
        box=_around(outermost),
    )


def _outside(sheet: Sheet, shell_mm: float) -> tuple[Region | None, Region | None]:
    if sheet.outside is None:
        return None, None
    return sheet.within(sheet.outside, 0.0), sheet.within(sheet.outside, shell_mm) if shell_mm > 0 else None


def _around(regions: Sequence[Region]) -> tuple[float, float, float, float] | None:
    boxes = np.array([region.box for region in regions if region.box is not None])
    if not len(boxes):
        return None
    low, high = boxes.min(axis=0), boxes.max(axis=0)
    return float(low[0]), float(high[1]), float(low[2]), float(high[3])
