"""Measure walls over and inside a piece at a ladder of thicknesses: first those that studios lay, then the thick ones."""

import time
from dataclasses import dataclass

import numpy as np

from jobs.geometry.engine.octree import DENSE, LevelSum, level_sums
from jobs.geometry.engine.tree import build_tree
from jobs.geometry.mesh_measure import MeshMeasure
from jobs.geometry.walls import MeasuredWalls, Rung, growing

BLANKET_MM = (0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 50.0, 100.0, 200.0)
CASTING_MM = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 70.0, 100.0, 200.0)
TOLERANCE = 1.5e-3
BUDGET_CELLS = 500_000
# On simple meshes a cell costs a fraction, and none are drawn.
_SIMPLE = 4
# Walls up to this are coats and castings that studios make (common practice, no source): nearly all cells go to them.
_USUAL_MM, _SHARE_OF_THICK = 20.0, 0.18
# On large pieces cells never get small beside a thin wall. It is read from the surface's area and the first rung instead,
# which costs little: coats from two walls of a cleft hardly meet yet.
_THIN, _THIN_MM = 1 / 75, 4.0
# A wall known no better than this is not a rung: between its neighbours it is read more closely.
_POOREST = 0.04
# What draws may miss of a casting in its sharp inner corners: of some 900 castings of boxes cut into 49,000 triangles the worst
# was off by 1.7e-3 where its bound without this said 1.1e-3.
_CASTING_SHARE = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """What measuring may use: cells, and processor seconds of this process counted from its start."""

    cells: int = BUDGET_CELLS
    processor_s: float = float("inf")

    def is_spent(self) -> bool:
        """Say whether the processor's time is used up."""
        return time.process_time() > self.processor_s


def measured_walls(measure: MeshMeasure, effort: Effort | None = None) -> MeasuredWalls:
    """Measure blankets of 0.5 to 200 mm over a piece, and casting walls until nothing hollow is left.

    Parameters
    ----------
    measure : MeshMeasure
        The measured mesh, the board at z = 0.
    effort : Effort, optional
        What may be used; walls that do not become sharp with it are left out.

    Returns
    -------
    MeasuredWalls
        Without any rung when even the blanket stayed unsharp.
    """
    effort = effort or Effort()
    thinnest = min(_THIN * max(measure.box_mm), _THIN_MM)
    outer = [wall for wall in BLANKET_MM if wall >= thinnest]
    # No wall inside is thicker than the piece.
    inner = [wall for wall in CASTING_MM if thinnest <= wall <= 0.6 * max(measure.box_mm)]
    clean = not (measure.hole_edges or measure.crowded_edges or measure.flipped_edges) and measure.parts.count == 1
    levels = np.array([*outer, *(-wall for wall in inner), *([] if clean else [0.0])])
    tolerances = TOLERANCE * (measure.area_mm2 * np.abs(levels) + 2 * np.maximum(levels, 0.0) ** 3)
    if not clean:
        tolerances[-1] = TOLERANCE * measure.area_mm2 * 2.0
    tree = build_tree(measure.vertices, measure.exposed)
    cells = effort.cells * (1 if len(measure.exposed) >= DENSE else _SIMPLE)
    sums = [LevelSum(level_mm=float(level)) for level in levels]
    usual = np.abs(levels) <= _USUAL_MM
    for some, share in ((usual, 1.0 - _SHARE_OF_THICK), (~usual, _SHARE_OF_THICK)):
        rows = np.flatnonzero(some)
        found = level_sums(
            tree, levels[rows], board_mm=0.0 if measure.based else None, tolerances_mm3=tolerances[rows],
            budget_cells=round(share * cells), is_spent=effort.is_spent,
        )  # fmt: skip
        for row, entry in zip(rows, found, strict=True):
            sums[row] = entry
    own, own_bound = (measure.volume_mm3, 0.0) if clean else (sums[-1].volume_mm3, sums[-1].bound_mm3)
    blanket = [_rung(wall, entry, own, own_bound) for wall, entry in zip(outer, sums, strict=False)]
    unseen = _CASTING_SHARE if len(measure.exposed) >= DENSE else 0.0
    casting = [_rung(wall, entry, own, own_bound, share=unseen) for wall, entry in zip(inner, sums[len(outer) :], strict=False)]
    hollow = [rung for rung in casting if rung.volume_mm3 < own - rung.bound_mm3 and rung.area_mm2 > 0]
    solid = next((rung.thickness_mm for rung in casting if not hollow or rung.thickness_mm > hollow[-1].thickness_mm), 0.0)
    return MeasuredWalls(blanket=_sharp(blanket), casting=_sharp(hollow), solid_from_mm=solid)


def _rung(wall: float, entry: LevelSum, own: float, own_bound: float, *, share: float = 0.0) -> Rung:
    volume = abs(entry.volume_mm3 - own)
    return Rung(
        thickness_mm=wall,
        volume_mm3=volume,
        # Corners are kept as 32-bit numbers, which are exact to 6e-8.
        bound_mm3=entry.bound_mm3 + own_bound + share * volume + 2e-7 * (own + abs(entry.volume_mm3)),
        area_mm2=entry.area_mm2,
    )


def _sharp(ladder: list[Rung]) -> tuple[Rung, ...]:
    return growing([rung for rung in ladder if rung.bound_mm3 <= _POOREST * rung.volume_mm3])
