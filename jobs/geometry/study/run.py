"""The whole study of one shape, step by step; each step is told as soon as it is known."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import numpy as np

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.mesh_measure import MeshMeasure
from jobs.geometry.study.brief import StudyBrief
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.field_build import build_field
from jobs.geometry.study.fill import coat
from jobs.geometry.study.results import Division, GaugeSpot, Positions, ScrapRoom, Study
from jobs.geometry.study.workspace import Workspace

Report = Callable[[str, dict[str, Any]], None]
# Ways told of each number of pieces: the best and the next.
RANKS = 2
# Beyond wall and shell, so that both close inside the grid.
_MARGIN_MM = 2.0


@dataclass(slots=True)
class _Found:
    """What is known so far."""

    divisions: list[Division] = field(default_factory=list)
    taken: Any = None
    outside: DistanceField | None = None
    scrap: ScrapRoom | None = None


def run_study(measure: MeshMeasure, brief: StudyBrief, *, report: Report) -> tuple[Study, Workspace]:
    """Study a measured shape.

    Parameters
    ----------
    measure : MeshMeasure
        The piece, its box's middle at x = y = 0 and its lowest point at z = 0.
    brief : StudyBrief
        What is asked. Where no flat base was found, nothing is taken to stand on the board.
    report : callable
        Called with the name of each step and what is known after it, as plain values.

    Returns
    -------
    Study, Workspace

    Raises
    ------
    GeometryError
        When the shape cannot be studied with this brief.
    """
    brief = replace(brief, on_board=brief.on_board and measure.based)
    tree = build_tree(measure.vertices, measure.exposed)
    report("tree", {})
    positions = _positions(measure, brief, report)
    distance = build_field(tree, low_mm=-_MARGIN_MM, high_mm=brief.wall_mm + brief.shell_mm + _MARGIN_MM, on_board=brief.on_board)
    report("field", {"cell_mm": distance.step_mm})
    coated = coat(distance, brief.wall_mm, on_board=brief.on_board)
    report("coated", {"triangles": len(coated.faces)})
    gauges = _gauges(measure, brief, report)
    found = _Found()
    study = Study(
        wall_mm=brief.wall_mm, cell_mm=distance.step_mm, divisions=tuple(found.divisions), taken=None, scrap=found.scrap,
        positions=positions, gauges=gauges,
    )  # fmt: skip
    workspace = Workspace(vertices=measure.vertices.astype(np.float32), faces=measure.exposed.astype(np.int32), distance=distance)
    return study, workspace


def _landed(name: str) -> bool:
    return find_spec(f"jobs.geometry.study.{name}") is not None


def _positions(measure: MeshMeasure, brief: StudyBrief, report: Report) -> Positions:
    if not _landed("positions"):
        return Positions(slope_limit_deg=brief.slope_limit_deg, positions=(), left_out_mm2=measure.area_mm2)
    found: Positions = import_module("jobs.geometry.study.positions").find_positions(
        measure.vertices, measure.exposed, slope_limit_deg=brief.slope_limit_deg, on_board=brief.on_board
    )
    report("positions", {"positions": len(found.positions)})
    return found


def _gauges(measure: MeshMeasure, brief: StudyBrief, report: Report) -> tuple[GaugeSpot, ...]:
    if not _landed("gauges"):
        return ()
    found: tuple[GaugeSpot, ...] = import_module("jobs.geometry.study.gauges").gauge_spots(
        measure.vertices, measure.exposed, wall_mm=brief.wall_mm, on_board=brief.on_board
    )
    report("gauges", {"gauges": len(found)})
    return found
