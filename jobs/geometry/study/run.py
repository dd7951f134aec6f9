"""The whole study of one shape, step by step; each step is told as soon as it is known."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.mesh_measure import MeshMeasure
from jobs.geometry.study.brief import StudyBrief
from jobs.geometry.study.drawn import with_pictures
from jobs.geometry.study.facing import face_vectors
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.field_build import build_field
from jobs.geometry.study.fill import CoatedSurface, coat
from jobs.geometry.study.filled import outside_field
from jobs.geometry.study.gauges import gauge_spots
from jobs.geometry.study.positions import find_positions
from jobs.geometry.study.results import Division, ScrapRoom, Study
from jobs.geometry.study.scrap import scrap_room
from jobs.geometry.study.ways_found import Candidate, find_ways
from jobs.geometry.study.workspace import Workspace

Report = Callable[[str, dict[str, Any]], None]
# Beyond wall and shell, so that both close inside the grid.
_MARGIN_MM = 2.0
# Of the grid of distances to the piece: what a scan of a million triangles takes most of the time for.
_MOST_NODES = 900_000
# Of the grid of distances to the filled outside, in steps of the grid of distances to the piece.
_OUTSIDE_STEPS = 1.5


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
    # Of a million triangles this takes as long as all that positions and gauges then make of it.
    vectors = face_vectors(measure.vertices, measure.exposed)
    positions = find_positions(
        measure.vertices, measure.exposed, slope_limit_deg=brief.slope_limit_deg, on_board=brief.on_board, vectors=vectors
    )
    report("positions", {"positions": len(positions.positions)})
    gauges = gauge_spots(measure.vertices, measure.exposed, wall_mm=brief.wall_mm, on_board=brief.on_board, vectors=vectors)
    del vectors
    report("gauges", {"gauges": len(gauges)})
    tree = build_tree(measure.vertices, measure.exposed)
    report("tree", {})
    distance = build_field(
        tree, low_mm=-_MARGIN_MM, high_mm=brief.wall_mm + brief.shell_mm + _MARGIN_MM, on_board=brief.on_board,
        exact_to_mm=brief.wall_mm + max(brief.cover_mm, _MARGIN_MM), most_nodes=_MOST_NODES,
    )  # fmt: skip
    del tree
    report("field", {"cell_mm": distance.step_mm})
    coated = coat(distance, brief.wall_mm, on_board=brief.on_board)
    report("coated", {"triangles": len(coated.faces)})
    divisions: list[Division] = []
    taken: Candidate | None = None
    outside: DistanceField | None = None
    scrap: ScrapRoom | None = None
    for way in find_ways(coated, brief):
        division = way.divided.division
        divisions.append(division)
        report("division", _told(division))
        if way.taken:
            taken = way
            outside, scrap = _room(coated, way, distance, brief)
            report("scrap", {"room_l": scrap.room_mm3 * 1e-6})
    study = Study(
        wall_mm=brief.wall_mm, cell_mm=distance.step_mm, divisions=tuple(sorted(divisions, key=_in_order)),
        taken=None if taken is None else taken.divided.division, scrap=scrap, positions=positions, gauges=gauges,
    )  # fmt: skip
    workspace = with_pictures(
        _workspace(measure, distance, taken, outside, scrap), wall_mm=brief.wall_mm, on_board=brief.on_board,
        pulls=() if taken is None else [piece.pull for piece in taken.divided.division.pieces],
    )  # fmt: skip
    report("pictures", {})
    return study, workspace


def _room(coated: CoatedSurface, way: Candidate, distance: DistanceField, brief: StudyBrief) -> tuple[DistanceField, ScrapRoom]:
    outside = outside_field(
        coated, way.maps, way.parting, _roomier(distance), solid=way.divided.solid, high_mm=brief.shell_mm + _MARGIN_MM
    )
    room = scrap_room(
        distance, outside, wall_mm=brief.wall_mm, chunk_edge_mm=brief.chunk_edge_mm, cover_mm=brief.cover_mm,
        on_board=brief.on_board,
    )  # fmt: skip
    return outside, room


def _roomier(grid: DistanceField) -> DistanceField:
    """Return an empty grid over the same space with fewer nodes: the filled outside has no detail that the piece has."""
    step = grid.step_mm * _OUTSIDE_STEPS
    shape = [math.ceil((count - 1) / _OUTSIDE_STEPS) + 1 for count in grid.values.shape]
    return replace(grid, values=np.empty(shape, np.float32), step_mm=step)


def _workspace(
    measure: MeshMeasure, distance: DistanceField, taken: Candidate | None, outside: DistanceField | None, scrap: ScrapRoom | None
) -> Workspace:
    bare = Workspace(vertices=measure.vertices.astype(np.float32), faces=measure.exposed.astype(np.int32), distance=distance)
    if taken is None:
        return bare
    made = taken.divided
    chunks = np.array(scrap.places if scrap is not None else (), np.float32).reshape(-1, 3)
    return replace(
        bare, outside=outside, outside_vertices=made.vertices, outside_faces=made.faces, outside_piece=made.piece, chunks=chunks
    )


def _told(division: Division) -> dict[str, Any]:
    return {
        "pieces": len(division.pieces), "rank": division.rank, "fill_l": division.fill_mm3 * 1e-6,
        "parting_m": division.parting_mm * 1e-3,
    }  # fmt: skip


def _in_order(division: Division) -> tuple[int, bool, int]:
    return len(division.pieces), not any(piece.pinned for piece in division.pieces), division.rank
