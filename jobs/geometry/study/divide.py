"""One way of taking the shell off: pieces, their regions, where they meet, and in which order they go."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Ints
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.face_graph import FaceGraph, face_graph
from jobs.geometry.study.fill import CoatedSurface
from jobs.geometry.study.filled_solid import FilledSolid, filled_solid
from jobs.geometry.study.partings import BorderLine, border_lines
from jobs.geometry.study.regions import Regions, regions_by_plane, regions_by_view
from jobs.geometry.study.removal import blocked_pairs, removal_order
from jobs.geometry.study.results import Division, Parting, Point3, ShellPiece
from jobs.geometry.study.sight import Sight


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Divided:
    """A division and the surface that it divides.

    Attributes
    ----------
    division : Division
        Its figures.
    vertices, faces : ndarray, (n, 3) float32 and (m, 3) int32
        The filled outside. [mm]
    piece : ndarray, shape (m,), uint8
        Number of the piece that covers each triangle, from 1.
    parts : tuple of int
        How many parts each piece's region has that do not hang together, in the order of the numbers.
    solid : FilledSolid
        The filled solid, for those who measure on.
    """

    division: Division
    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    piece: NDArray[np.uint8]
    parts: tuple[int, ...]
    solid: FilledSolid


def divide(
    coated: CoatedSurface,
    maps: Sequence[DepthMap],
    *,
    pulls: Sequence[Direction],
    pinned: Sequence[Direction] = (),
    shell_mm: float,
    on_board: bool,
    parting: PartingPlane | None = None,
    rank: int = 0,
    fill: tuple[float, float],
) -> Divided:
    """Divide the shell over a coated piece among pulls.

    Parameters
    ----------
    coated : CoatedSurface
        The coated piece.
    maps : sequence of DepthMap
        Of it, one for each pull.
    pulls, pinned : sequence of Direction
        All pulls, and those of them that a person fixed.
    shell_mm : float
        Thickness of the shell. [mm]
    on_board : bool
        Whether the piece stands on a board at z = 0; as in `coated`.
    parting : PartingPlane, optional
        Where two pieces must meet; the first pull's piece lies on the side that its normal points to.
    rank : int
        Place among the divisions into as many pieces, 0 the best.
    fill : tuple of float
        The fill and how far that may be off. [mm³]

    Raises
    ------
    GeometryError
        When the pulls leave no end to the fill, or a parting is asked for with other than two pulls.

    Notes
    -----
    Pieces are numbered in the order in which they come off; where there is no such order, by height and size.
    """
    if len(maps) != len(pulls) or on_board != coated.on_board:
        raise ValueError("one depth map for each pull, and the coat's own board")
    solid = filled_solid(coated, maps, parting=parting)
    graph = face_graph(solid.vertices, solid.faces)
    seen = solid.sight.seen(graph.middles, graph.normals)
    regions, plane = _regions(graph, seen, solid.sight)
    numbers, pairs, order = _numbers(graph, regions.piece, tuple(pulls), shell_mm)
    lines = border_lines(graph, regions.piece, plane=plane)
    covered = seen[np.arange(len(seen)), regions.piece]
    pieces = sorted(
        (_shell_piece(graph, regions.piece == k, numbers[k], pull, pinned) for k, pull in enumerate(pulls)),
        key=lambda piece: piece.number,
    )
    partings = tuple(_parting(line, numbers) for line in lines)
    division = Division(
        rank=rank, pieces=tuple(pieces), partings=partings, parting_mm=sum(line.length_mm for line in lines),
        fill_mm3=fill[0], fill_bound_mm3=fill[1], outside_mm2=float(graph.areas.sum()),
        order=tuple(numbers[k] for k in order), blocked=tuple(sorted((numbers[a], numbers[b]) for a, b in pairs)),
        unseen_mm2=float(graph.areas[~covered].sum()),
    )  # fmt: skip
    parts = tuple(regions.parts[numbers.index(number)] for number in range(1, len(numbers) + 1))
    piece = np.array(numbers, np.uint8)[regions.piece]
    return Divided(division=division, vertices=solid.vertices, faces=solid.faces, piece=piece, parts=parts, solid=solid)


def _regions(graph: FaceGraph, seen: NDArray[np.bool_], sight: Sight) -> tuple[Regions, tuple[Doubles, float] | None]:
    if sight.plane[4] == 0:
        return regions_by_view(graph, seen, sight.pulls), None
    normal, offset = sight.plane[:3], float(sight.plane[3])
    regions = regions_by_plane(graph, sight.pulls, normal=normal, offset_mm=offset, slack_mm=sight.field.step_mm)
    return regions, (normal, offset)


def _numbers(
    graph: FaceGraph, piece: Ints, pulls: tuple[Direction, ...], shell_mm: float
) -> tuple[list[int], tuple[tuple[int, int], ...], tuple[int, ...]]:
    """Number the pieces from 1 as they come off; with the pairs that block and the order, both still from 0."""
    areas = np.bincount(piece, graph.areas, minlength=len(pulls)).astype(np.float64)
    heights = np.bincount(piece, graph.areas * graph.middles[:, 2], minlength=len(pulls)) / np.maximum(areas, 1e-9)
    heights, areas = heights / np.ptp(graph.vertices[:, 2]), areas / graph.areas.sum()
    pairs = blocked_pairs(graph, piece, pulls, shell_mm)
    order = removal_order(pairs, heights, areas)
    numbers = [0] * len(pulls)
    for number, k in enumerate(order or removal_order((), heights, areas), start=1):
        numbers[k] = number
    return numbers, pairs, order


def _shell_piece(
    graph: FaceGraph, mine: NDArray[np.bool_], number: int, pull: Direction, pinned: Sequence[Direction]
) -> ShellPiece:
    corners = graph.vertices[np.unique(graph.faces[mine])]
    size, reach = (0.0, 0.0, 0.0), 0.0
    if len(corners):
        x, y, z = np.ptp(corners, axis=0)
        size, reach = (float(x), float(y), float(z)), float(np.ptp(corners @ np.array([pull.x, pull.y, pull.z])))
    return ShellPiece(
        number=number, pull=pull, pinned=pull in pinned, area_mm2=float(graph.areas[mine].sum()), reach_mm=reach, size_mm=size
    )


def _parting(line: BorderLine, numbers: list[int]) -> Parting:
    low, high = sorted(numbers[k] for k in line.between)
    points: tuple[Point3, ...] = tuple((float(x), float(y), float(z)) for x, y, z in line.points)
    return Parting(between=(low, high), points=points, closed=line.closed, length_mm=line.length_mm)
