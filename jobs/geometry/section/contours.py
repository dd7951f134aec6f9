"""The study's distances read on a plane, and the level lines in them."""

from dataclasses import dataclass
from itertools import pairwise, product

import contourpy
import numpy as np
from scipy.ndimage import affine_transform

from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.section.plane import CutPlane
from jobs.geometry.section.regions import Region
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.workspace import Workspace

# Nodes along the longer side of the sheet, and of the first look that finds where it must lie.
NODES, FIRST_NODES = 360, 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Distances to the piece and to the filled outside at the nodes (up, across) of a plane's grid; all mm."""

    across: Doubles
    up: Doubles
    distance: Doubles
    outside: Doubles | None

    def within(self, distances: Doubles, level: float) -> Region:
        """Return all that is no farther than a level; outer lines counter-clockwise, holes clockwise."""
        lines = contourpy.contour_generator(
            self.across, self.up, distances, name="serial", fill_type=contourpy.FillType.OuterOffset
        )
        found = zip(*lines.filled(-np.inf, level)[:2], strict=True)
        loops: list[Doubles] = []
        for outline, bounds in found:
            if outline is not None and bounds is not None:
                loops += [outline[begin : end - 1] for begin, end in pairwise(bounds.tolist())]
        return Region(loops=tuple(loop for loop in loops if len(loop) >= 3))


def sheet_for(
    workspace: Workspace, plane: CutPlane, piece: Region, *, wall_mm: float, shell_mm: float, on_board: bool
) -> Sheet | None:
    """Read the distances on a grid that holds all layers with a little room, or return None where the plane meets none.

    On a board the grid begins at it, which cuts every layer off there.
    """
    # Column by column: numpy reduces the rows of a long narrow array slowly.
    extents = [(float(column.min()), float(column.max())) for column in workspace.vertices.T]
    corners = np.array(list(product(*extents)))
    reach = wall_mm + shell_mm
    if on_board and plane.is_level and plane.offset_mm * plane.normal[2] < 0:
        return None
    flat = plane.flat(corners)
    # What was filled lies within the box of what was coated or beside it by no more than its own size.
    box = np.array([flat.min(axis=0), flat.max(axis=0)])
    box = box + np.array([[-1.0], [1.0]]) * (reach + 0.05 * float(np.ptp(box, axis=0).max()) + 1.0)
    board_v = plane.board_v if on_board else None
    if board_v is not None:
        box[0, 1] = board_v
        if box[1, 1] <= board_v:
            return None
    first = _sheet(workspace, plane, box, FIRST_NODES)
    near = first.distance <= wall_mm + float(np.ptp(box, axis=0).max()) / FIRST_NODES
    if first.outside is not None:
        near |= first.outside <= shell_mm + float(np.ptp(box, axis=0).max()) / FIRST_NODES
    if not near.any():
        return None
    rows, columns = np.flatnonzero(near.any(axis=1)), np.flatnonzero(near.any(axis=0))
    row, column = first.up[1] - first.up[0], first.across[1] - first.across[0]
    tight = np.array(
        [
            [first.across[columns[0]] - column, first.up[rows[0]] - row],
            [first.across[columns[-1]] + column, first.up[rows[-1]] + row],
        ]
    )
    if piece.box is not None:
        tight[0] = np.minimum(tight[0], [piece.box[0] - column, piece.box[2] - row])
        tight[1] = np.maximum(tight[1], [piece.box[1] + column, piece.box[3] + row])
    if board_v is not None:
        tight[0, 1] = max(tight[0, 1], board_v)
    return _sheet(workspace, plane, tight, NODES)


def _sheet(workspace: Workspace, plane: CutPlane, box: Doubles, nodes: int) -> Sheet:
    step = float(np.ptp(box, axis=0).max()) / nodes
    number = np.maximum(np.ceil((box[1] - box[0]) / step).astype(int) + 1, 2)
    across, up = (np.linspace(box[0, axis], box[1, axis], number[axis]) for axis in (0, 1))
    outside = None if workspace.outside is None else _read(workspace.outside, plane, across, up)
    return Sheet(across=across, up=up, distance=_read(workspace.distance, plane, across, up), outside=outside)


def _read(field: DistanceField, plane: CutPlane, across: Doubles, up: Doubles) -> Doubles:
    """Read a field, linear between its nodes, at (up, across); beside its grid the way to the grid is added.

    The grid answers with its nearest node there, which is too low.
    """
    start = plane.spatial(np.array([[across[0], up[0]]]))[0]
    one_up, one_across = plane.up * (up[1] - up[0]), plane.across * (across[1] - across[0])
    matrix = np.column_stack([one_up, one_across, np.array(plane.normal)]) / field.step_mm
    found: Doubles = affine_transform(
        field.values, matrix, offset=(start - field.origin) / field.step_mm, output_shape=(len(up), len(across), 1), order=1,
        mode="nearest", output=np.float64,
    )[:, :, 0]  # fmt: skip
    low = field.origin
    high = low + field.step_mm * (np.array(field.values.shape) - 1)
    square = np.zeros_like(found)
    for axis in range(3):
        places = start[axis] + one_up[axis] * np.arange(len(up))[:, None] + one_across[axis] * np.arange(len(across))[None]
        square += np.maximum(np.maximum(low[axis] - places, places - high[axis]), 0.0) ** 2
    return found + np.sqrt(square)
