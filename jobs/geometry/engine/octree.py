"""Volumes inside level surfaces of the signed distance, by an octree that refines only where a surface passes."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_cells import SUMS, count_kept, measure_cells, split_cells
from jobs.geometry.engine.tree import DistanceTree
from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Doubles

MOST_LEVELS = 60
# Cells measured in all before the octree stops refining, and says so by a wider bound.
BUDGET_CELLS = 1_500_000
_ROOT_CELLS = 6.37
# A cell a little smaller than asked, so that round sizes do not put flat faces between cells.
_UNEVEN = 0.9537
_FINEST = 24
_BATCH = 16_384
# Cells are drawn when all would take more than this share of what is left of the budget; then each step takes that share of
# it, until so little of the whole is left.
_WHOLE, _SHARE, _LEAST = 0.75, 0.6, 0.03
# The least chance of a family, as a share of the mean one.
_CALM = 0.5
# Standard errors of drawn corrections that count as bound.
_ERRORS = 4.0
# What drawn corrections change in all counts as bound by this share as well: what none of the drawn shows, no variance tells.
_UNSEEN = 0.75
# Inside a sharp edge two walls meet in a corner that cells see one side of, and both the changes and the draws tell less than
# is left there.
_INSIDE = 2.0
# Cells are drawn on meshes of this many triangles and more. On simpler ones a cell costs little, and a few sharp edges hold
# all there is to correct, which a draw may miss.
DENSE = 20_000
# Turns of the octree against the mesh, about z and then about x: flat faces and straight edges along its axes would meet
# all cells alike, and errors that otherwise cancel would add up. Any odd angles do.
_TURN_Z, _TURN_X = 0.5180, 0.3217


@dataclass(slots=True, kw_only=True)
class LevelSum:
    """What is known of one level surface: estimates from coarse to fine, and the sums behind the last."""

    level_mm: float
    estimates_mm3: list[float] = field(default_factory=list)
    areas_mm2: list[float] = field(default_factory=list)
    deviation_mm3: float = 0.0
    ridges_mm3: float = 0.0
    spread_mm3: float = 0.0
    cut_cells: int = 0
    cell_mm: float = 0.0

    @property
    def volume_mm3(self) -> float:
        """The finest estimate."""
        return self.estimates_mm3[-1]

    @property
    def area_mm2(self) -> float:
        """The area of the level surface above the board: planes miss its bend by a share that falls as the cell squared."""
        finer = self.areas_mm2[-1]
        return max(finer + (finer - self.areas_mm2[-2]) / 3.0, 0.0) if len(self.areas_mm2) > 1 else finer

    @property
    def bound_mm3(self) -> float:
        """How far `volume_mm3` may be off."""
        changed = bound_of(
            self.estimates_mm3, deviation_mm3=self.deviation_mm3, ridges_mm3=self.ridges_mm3, area_mm2=self.areas_mm2[-1],
            cell_mm=self.cell_mm,
        )  # fmt: skip
        return (self.spread_mm3 + changed) * (_INSIDE if self.level_mm < 0 else 1.0)


def bound_of(estimates: list[float], *, deviation_mm3: float, ridges_mm3: float = 0.0, area_mm2: float, cell_mm: float) -> float:
    """Bound the finest estimate from what the last refinements changed.

    Parameters
    ----------
    estimates : list of float
        From coarse to fine; fewer than four say nothing yet. [mm³]
    deviation_mm3 : float
        What the bend of the surface and its ridges added, without regard to sign.
    ridges_mm3 : float
        What the planes of ridges took or gave, where ridges may lie along the cells: level edges on a board. [mm³]
    area_mm2, cell_mm : float
        Of the level surface, and the finest cell.

    Notes
    -----
    A change is the error before it, less the one after. Changes may cancel by chance, so a quarter of the change before and
    a sixteenth of the one before that count as well. Of the largest, that part is the error still left by which the changes
    fell, four times over: smooth bodies converge fast and ridged ones slowly. Where the body is only a few cells thick the
    bend is not yet seen whole, and the deviation counts in full. On a board all level
    edges meet the cells alike, so their errors do not cancel. Chosen on boxes, rods, plates, cylinders, cones, balls and
    hulls turned at random, whose volumes are known.
    """
    if len(estimates) < 4:
        return math.inf
    first, second, third = (abs(later - earlier) for earlier, later in zip(estimates[-4:-1], estimates[-3:], strict=True))
    fall = max(third / second if second else 1.0, second / first if first else 1.0)
    change = max(third, second / 4.0, first / 16.0) * min(max(4.0 * fall, 0.2), 1.0)
    thin = cell_mm * area_mm2 / max(abs(estimates[-1]), 1e-30)
    rounding = 1e-6 * cell_mm * area_mm2 + 1e-9 * abs(estimates[-1])
    return change + deviation_mm3 * min(9.0 * thin * thin, 6.0) + 2.0 * ridges_mm3 + rounding


def level_sums(
    tree: DistanceTree,
    levels_mm: Doubles,
    *,
    board_mm: float | None = None,
    cell_mm: float | None = None,
    tolerances_mm3: Doubles | None = None,
    budget_cells: int = BUDGET_CELLS,
    is_spent: Callable[[], bool] | None = None,
) -> list[LevelSum]:
    """Measure the volume in which the signed distance is at most each of some levels.

    Parameters
    ----------
    tree : DistanceTree
        Of the mesh.
    levels_mm : ndarray, shape (k,)
        1 to 60 levels, negative inside the mesh. [mm]
    board_mm : float, optional
        Height of the board: only what is above counts, and the mesh is completed by its mirror image below.
    cell_mm : float, optional
        Refine to just below this cell for every level, whatever the bound.
    tolerances_mm3 : ndarray, shape (k,), optional
        Otherwise stop for each level when its bound is this small.
    budget_cells : int
        How many cells may be measured (not with `cell_mm`): when they run short, those of a dense mesh are drawn at
        random, and what they show of their coarser ones stands for the others; those of a simple one end there.
    is_spent : callable, optional
        Asked every few thousand cells: when it says yes, the level at work is dropped and the last whole one answers.

    Returns
    -------
    list of LevelSum

    Raises
    ------
    GeometryError
        For more levels than bits, or a cell that is none.
    """
    if not 1 <= len(levels_mm) <= MOST_LEVELS:
        raise GeometryError(f"Between 1 and {MOST_LEVELS} walls can be measured at once.")
    if cell_mm is not None and not (math.isfinite(cell_mm) and cell_mm > 0):
        raise GeometryError("The cell must be a length above 0 mm.")
    levels = np.array(levels_mm, dtype=np.float64)
    sums = [LevelSum(level_mm=float(level)) for level in levels]
    frame, origin, size, places, last = _roots(tree, float(levels.max()), board_mm, cell_mm)
    board = tree.board_at(board_mm)
    wanted = np.full(len(places), (1 << len(sums)) - 1, np.uint64)
    hints, above = np.zeros(len(places), np.int32), np.zeros((len(places), 4), np.float32)
    weights, before = np.ones(len(places)), np.zeros((len(places), len(sums), 2), np.float32)
    cares = np.ones(len(sums)) if tolerances_mm3 is None else 1.0 / np.maximum(tolerances_mm3, 1e-12)
    draws = len(tree.triangles) >= DENSE
    measured = 0
    for step in range(_FINEST):
        of = 8 if step else 1
        fresh, kept = np.empty((len(places), 4), np.float32), np.empty(len(places), np.uint64)
        parts, unrest = np.empty((len(places), len(sums), 2), np.float32), np.zeros(len(weights))
        found = np.zeros((len(sums), SUMS))
        for at in range(0, len(places), _BATCH):
            some, families = slice(at, at + _BATCH), slice(at // of, (at + _BATCH) // of)
            of_batch = measure_cells(
                *tree.arrays(), *board, frame, origin, size, places[some], wanted[some], hints[some], above[some], step > 0,
                levels, cares, weights[families], before[families], fresh[some], kept[some], parts[some], unrest[families],
            )  # fmt: skip
            heaviest = np.maximum(found[:, -1], of_batch[:, :, -1].max(axis=0))
            found += of_batch.sum(axis=0)
            found[:, -1] = heaviest
            if step > 3 and is_spent is not None and is_spent():
                return sums
        measured += len(places)
        active = int(np.bitwise_or.reduce(wanted, initial=np.uint64(0)))
        _book(sums, found, active, size, aligned=board_mm is not None)
        alive = _waiting(sums, active, None if cell_mm is not None else tolerances_mm3)
        cells = 8 * count_kept(kept, np.uint64(alive), of)
        room = math.inf if cell_mm is not None else _room(int(cells.sum()), budget_cells, measured, draws=draws)
        if not alive or not room or (last is not None and step == last):
            break
        places, wanted, hints, above, weights, before = split_cells(
            places, kept, np.uint64(alive), hints, fresh, parts, weights, of, _chances(cells, weights, unrest, room), step
        )
        size /= 2
    return sums


def _roots(
    tree: DistanceTree, highest_mm: float, board_mm: float | None, cell_mm: float | None
) -> tuple[Doubles, Doubles, float, NDArray[np.int32], int | None]:
    """Lay out the coarsest cells; a board lies on a face of them at every level."""
    frame = _frame(upright=board_mm is not None)
    box = np.stack([tree.lowest, tree.highest]) - tree.middle
    corners = np.array([(x, y, z) for x in box[:, 0] for y in box[:, 1] for z in box[:, 2]]) @ frame
    margin = max(highest_mm, 0.0)
    low, high = corners.min(axis=0) - margin, corners.max(axis=0) + margin
    if board_mm is not None:
        low[2] = board_mm - tree.middle[2]
    spans = np.maximum(high - low, 1e-9)
    size, last = float(spans.max()) / _ROOT_CELLS, None
    if cell_mm is not None:
        last = max(math.ceil(math.log2(max(size / cell_mm, 1.0))), 3)
        size = _UNEVEN * cell_mm * 2.0**last
    counts = np.ceil(spans / size + 1e-9).astype(int)
    spare = counts * size - spans
    origin = low - spare / 2
    if board_mm is not None:
        origin[2] = low[2]
    grid = np.stack(np.meshgrid(*(np.arange(count) for count in counts), indexing="ij"), axis=-1)
    return frame, origin, size, grid.reshape(-1, 3).astype(np.int32), last


def _frame(*, upright: bool) -> Doubles:
    cz, sz = math.cos(_TURN_Z), math.sin(_TURN_Z)
    about_z = np.array([(cz, -sz, 0.0), (sz, cz, 0.0), (0.0, 0.0, 1.0)])
    if upright:
        return about_z
    cx, sx = math.cos(_TURN_X), math.sin(_TURN_X)
    return np.ascontiguousarray(np.array([(1.0, 0.0, 0.0), (0.0, cx, -sx), (0.0, sx, cx)]) @ about_z)


def _book(sums: list[LevelSum], found: Doubles, active: int, size: float, *, aligned: bool) -> None:
    for k, entry in enumerate(sums):
        if not active >> k & 1:
            continue
        volume, area, cut, deviation, ridges, variance, heaviest = (float(number) for number in found[k])
        entry.estimates_mm3.append(volume + (entry.estimates_mm3[-1] if entry.estimates_mm3 else 0.0))
        entry.areas_mm2.append(area + (entry.areas_mm2[-1] if entry.areas_mm2 else 0.0))
        entry.cut_cells, entry.deviation_mm3, entry.cell_mm = round(cut), deviation, size
        entry.ridges_mm3 = ridges if aligned else 0.0
        if variance > 0:
            entry.spread_mm3 += _ERRORS * math.sqrt(variance) + heaviest + _UNSEEN * abs(volume)


def _waiting(sums: list[LevelSum], active: int, tolerances: Doubles | None) -> int:
    """Return the bits of the levels that still cut cells and are not yet within tolerance."""
    return sum(
        1 << k
        for k, entry in enumerate(sums)
        if active >> k & 1 and entry.cut_cells and (tolerances is None or entry.bound_mm3 > tolerances[k])
    )


def _room(cells: int, budget: int, measured: int, *, draws: bool) -> float:
    """Return how many cells to measure next; nought when too few would be."""
    left = budget - measured
    if cells <= (_WHOLE if draws else 1.0) * left:
        return math.inf
    if not draws:
        return 0.0
    # The larger part of what is left goes to each step: every finer one has less to correct.
    return _SHARE * left if left > _LEAST * budget else 0.0


def _chances(cells: NDArray[np.int64], weights: Doubles, unrest: Doubles, room: float) -> Doubles:
    """Return with which chance to split the cells of each family, so that about as many are measured as there is room for.

    Families that changed much, or that stand for many, are likely to change again: their chance is in proportion to that.
    None is left without one. Sums over what is drawn, each divided by its chance, are right on average whatever the chances.
    """
    chances = np.ones(len(cells))
    if cells.sum() <= room:
        return chances
    mean = float((weights * unrest * cells).sum() / (weights * cells).sum())
    wish = weights * np.maximum(unrest, _CALM * mean) if mean > 0 else weights
    scale = room / float((wish * cells).sum())
    for _ in range(20):
        chances = np.minimum(scale * wish, 1.0)
        scale *= room / float((chances * cells).sum())
    return np.minimum(scale * wish, 1.0)
