"""Fill a grid with the signed distances to a piece, exactly where they matter."""

import math

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_field import BLOCK, fill_grid
from jobs.geometry.engine.tree import DistanceTree
from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.field import DistanceField

# Nodes beyond the farthest level on each side, so that a level surface closes inside the grid.
_MARGIN_NODES = 2
# No finer than this share of the farthest level: a level surface bends no more sharply than its distance.
_FINEST_SHARE = 1 / 10


def build_field(
    tree: DistanceTree,
    *,
    low_mm: float,
    high_mm: float,
    on_board: bool,
    exact_to_mm: float | None = None,
    step_mm: float | None = None,
    most_nodes: int = 2_000_000,
) -> DistanceField:
    """Measure signed distances on a grid over a piece and all that lies within `high_mm` of it.

    Parameters
    ----------
    tree : DistanceTree
        Of the piece's surface; holes and flipped faces do no harm.
    low_mm, high_mm : float
        Distances between which the field is exact, negative inside the piece; `high_mm` above 0. [mm]
    on_board : bool
        Whether the piece stands on a board at z = 0: the first layer of nodes then lies on it, and the piece is completed
        by its mirror image below.
    exact_to_mm : float, optional
        Ends the exact distances sooner than the grid, at a distance from 0 to `high_mm`. [mm]
    step_mm : float, optional
        Between nodes; otherwise a tenth of `high_mm`, or what `most_nodes` afford. [mm]
    most_nodes : int
        How many nodes there may be, with or without `step_mm`.

    Raises
    ------
    GeometryError
        For distances or a step that are none, or a step so fine that the nodes are too many.

    Notes
    -----
    The distance changes by no more than the way gone, so the distance at a block's middle says whether any of its nodes can
    lie in the band; beyond it nodes carry the middle's distance and the way to it, which is never nearer than the truth.
    """
    if not (math.isfinite(low_mm) and math.isfinite(high_mm) and low_mm < high_mm and high_mm > 0):
        raise GeometryError("Distances are wanted up to a length above 0 mm.")
    if step_mm is not None and not (math.isfinite(step_mm) and step_mm > 0):
        raise GeometryError("The step between nodes must be a length above 0 mm.")
    box = np.stack([tree.lowest, tree.highest])
    if on_board:
        box[0, 2] = 0.0
        box[1, 2] = max(box[1, 2], 0.0)
    step = step_mm or _step(box, high_mm, most_nodes, on_board=on_board)
    origin, shape = _grid(box, high_mm, step, on_board=on_board)
    if math.prod(shape) > most_nodes:
        raise GeometryError(f"A step of {step:g} mm is too fine for a piece of this size.")
    exact = high_mm if exact_to_mm is None else min(exact_to_mm, high_mm)
    like = DistanceField(values=np.empty(shape, np.float32), origin=origin, step_mm=step, low_mm=low_mm, high_mm=exact)
    return distances_on_grid(tree, like, low_mm=low_mm, high_mm=exact, on_board=on_board)


def distances_on_grid(tree: DistanceTree, like: DistanceField, *, low_mm: float, high_mm: float, on_board: bool) -> DistanceField:
    """Measure signed distances on the nodes of another field, exact from `low_mm` to `high_mm` (see `build_field`)."""
    values: NDArray[np.float32] = np.empty(like.values.shape, np.float32)
    step, board = like.step_mm, tree.board_at(0.0 if on_board else None)
    # A little more than asked: then both ends of every edge that a level crosses are exact, above also where every other
    # node is left out.
    exact = low_mm - 1.01 * step, high_mm + 2.01 * step
    fill_grid(*tree.arrays(), *board, like.origin - tree.middle, step, *exact, _stride(values.shape), values)
    return DistanceField(values=values, origin=like.origin, step_mm=step, low_mm=low_mm, high_mm=high_mm)


def _grid(box: Doubles, high: float, step: float, *, on_board: bool) -> tuple[Doubles, tuple[int, int, int]]:
    low, top = box[0] - high - _MARGIN_NODES * step, box[1] + high + _MARGIN_NODES * step
    if on_board:
        low[2] = 0.0
    counts = np.ceil((top - low) / step).astype(int) + 1
    return low, (int(counts[0]), int(counts[1]), int(counts[2]))


def _step(box: Doubles, high: float, most_nodes: int, *, on_board: bool) -> float:
    spans = box[1] - box[0] + 2 * high
    step: float = max(high * _FINEST_SHARE, math.cbrt(float(np.prod(spans)) / most_nodes), 1e-6)
    while math.prod(_grid(box, high, step, on_board=on_board)[1]) > most_nodes:
        step *= 1.01
    return step


def _stride(shape: tuple[int, ...]) -> int:
    columns = math.prod(-(-count // BLOCK) for count in shape[:2])
    stride = max(int(columns * 0.6180339887), 1)
    while math.gcd(stride, columns) != 1:
        stride += 1
    return stride
