"""Sections through the piece of a plan, from the arrays that its study left behind."""

import math
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from threading import Lock
from typing import TYPE_CHECKING

from jobs.errors import StudyNotThere
from jobs.geometry.errors import GeometryError
from jobs.geometry.section_places import SectionPlace
from jobs.geometry.study.store import brief_from_json, study_from_json
from jobs.models import PieceStudy, Plan
from jobs.planning.results import MoldPlan
from jobs.sections.boxed import BOARD_MM, boxed
from jobs.sections.sheets import coat_lines, sheet_of
from jobs.studies.asking import study_for
from jobs.studies.files import open_workspace, path_of
from studio.figures import Remark
from studio.web.drawing import Hatch, SectionSheet

if TYPE_CHECKING:
    from jobs.geometry.section.layers import SectionLayers
    from jobs.geometry.study.workspace import Workspace

# How many studies' arrays stay open in a process: 30 MB each for a scan of 871,000 triangles.
KEPT_OPEN = 2
SHELL_HATCHES = {Plan.ShellKind.LAMINATE: Hatch.LAMINATE, Plan.ShellKind.PLASTER: Hatch.PLASTER}

_open: "OrderedDict[tuple[str, int], Workspace]" = OrderedDict()
_lock = Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far planes are worth moving from the middle of a piece, aside and any way, and between which heights. [mm]

    `middle_mm` is the height of that middle.
    """

    aside_mm: float
    anyway_mm: float
    low_mm: float
    high_mm: float
    middle_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StudiedPiece:
    """A plan's study at hand for cutting: what was studied, its arrays, and the coats that the plan lays.

    `coats` are (label, thickness mm) from the piece outward; without a computed plan the blanket is one coat. A block has none:
    `block_mm` is the rubber between its piece and its box.
    """

    study: PieceStudy
    workspace: "Workspace"
    coats: Sequence[tuple[str, float]]
    wall_mm: float
    shell_mm: float
    chunk_edge_mm: float
    on_board: bool
    shell_hatch: Hatch
    block_mm: float | None = None

    @property
    def reach(self) -> Reach:
        """How far planes are worth moving."""
        beyond = sum(thickness for _, thickness in self.coats) + self.shell_mm + (self.block_mm or 0.0)
        (left, right), (front, back), (bottom, top) = (
            (float(column.min()), float(column.max())) for column in self.workspace.vertices.T
        )
        flat = math.hypot(right - left, back - front)
        return Reach(
            aside_mm=flat / 2 + beyond,
            anyway_mm=math.hypot(flat, top - bottom) / 2 + beyond,
            low_mm=0.0 if self.on_board else -beyond,
            high_mm=top + beyond,
            middle_mm=(bottom + top) / 2,
        )

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """Where the shape that was studied is not as its piece was measured."""
        try:
            return study_from_json(self.study.figures or {}).remarks
        except GeometryError:
            return ()

    def layers(self, place: SectionPlace) -> "SectionLayers":
        """Cut everything with a plane."""
        from jobs.geometry.section.layers import section_layers

        layers = section_layers(
            self.workspace,
            place.plane,
            coats_mm=[thickness for _, thickness in self.coats],
            shell_mm=self.shell_mm,
            chunk_edge_mm=self.chunk_edge_mm,
            on_board=self.on_board,
        )
        if self.block_mm is None:
            return layers
        low, high = self.workspace.vertices.min(axis=0).tolist(), self.workspace.vertices.max(axis=0).tolist()
        return boxed(layers, (tuple(low), tuple(high)), margin_mm=self.block_mm, on_board=self.on_board)

    def sheet(self, layers: "SectionLayers") -> SectionSheet | None:
        """Turn what was cut into a sheet to draw, None where nothing was."""
        sheet = sheet_of(layers, self.coats, shell_hatch=self.shell_hatch)
        if sheet is None or self.block_mm is None:
            return sheet
        return replace(sheet, filled_words="rubber of the block", shell_words="boards of the box")


def studied_piece(plan: Plan, made: MoldPlan | None) -> StudiedPiece | None:
    """Return the plan's study at hand, or None when there is none to cut yet."""
    study = study_for(plan)
    if study is None:
        return None
    try:
        workspace = opened(study)
    except StudyNotThere:
        return None
    brief = brief_from_json(study.brief)
    box = None if made is None else made.box
    no_shell = plan.shell_kind == Plan.ShellKind.NONE
    return StudiedPiece(
        study=study,
        workspace=workspace,
        coats=() if box is not None else coat_lines(made) or [("Blanket", brief.wall_mm)],
        wall_mm=brief.wall_mm,
        shell_mm=BOARD_MM if box is not None else 0.0 if no_shell else brief.shell_mm,
        chunk_edge_mm=brief.chunk_edge_mm,
        # A piece without a flat base is studied as standing on nothing, whatever was asked.
        on_board=bool(abs(workspace.distance.origin[2]) < 1e-6),
        shell_hatch=Hatch.BOARD if box is not None else SHELL_HATCHES.get(Plan.ShellKind(plan.shell_kind), Hatch.RESIN),
        block_mm=None if box is None else box.margin.value,
    )


def opened(study: PieceStudy) -> "Workspace":
    """Return a study's surface and distances, kept open for the next request; raises StudyNotThere."""
    try:
        key = (study.stored_name, path_of(study.stored_name).stat().st_mtime_ns)
    except OSError:
        key = (study.stored_name, 0)
    with _lock:
        if key in _open:
            _open.move_to_end(key)
            return _open[key]
    workspace = open_workspace(study, parts={"outside"})
    with _lock:
        _open[key] = workspace
        while len(_open) > KEPT_OPEN:
            _open.popitem(last=False)
    return workspace
