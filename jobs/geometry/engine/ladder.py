"""Measure walls over and inside a piece at a ladder of thicknesses, in one walk through the octree."""

import time
from dataclasses import dataclass

import numpy as np

from jobs.geometry.engine.octree import LevelSum, level_sums
from jobs.geometry.engine.tree import build_tree
from jobs.geometry.mesh_measure import MeshMeasure
from jobs.geometry.walls import MeasuredWalls, Rung, growing

BLANKET_MM = (0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 70.0, 100.0, 140.0, 200.0)
CASTING_MM = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 70.0, 100.0, 200.0)
TOLERANCE = 1.5e-3
BUDGET_CELLS = 1_600_000
# Coats and walls that studios lay and cast (common practice, no source): cells go to them first.
_USUAL_MM = 20.0
# A wall known no better than this is not a rung: between its neighbours it is read more closely.
_POOREST = 0.02


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
    # No wall inside is thicker than the piece.
    outer, inner = list(BLANKET_MM), [wall for wall in CASTING_MM if wall <= 0.6 * max(measure.box_mm)]
    clean = not (measure.hole_edges or measure.crowded_edges or measure.flipped_edges) and measure.parts.count == 1
    levels = [*outer, *(-wall for wall in inner), *([] if clean else [0.0])]
    tolerances = [TOLERANCE * (measure.area_mm2 * abs(level) + 2 * max(level, 0.0) ** 3) for level in levels]
    if not clean:
        tolerances[-1] = TOLERANCE * measure.area_mm2 * 2.0
    tree = build_tree(measure.vertices, measure.exposed)
    sums = level_sums(
        tree, np.array(levels), board_mm=0.0 if measure.based else None, tolerances_mm3=np.array(tolerances),
        budget_cells=effort.cells, is_spent=effort.is_spent,
        first=[k for k, level in enumerate(levels) if abs(level) <= _USUAL_MM],
    )  # fmt: skip
    own, own_bound = (measure.volume_mm3, 0.0) if clean else (sums[-1].volume_mm3, sums[-1].bound_mm3)
    blanket = [_rung(wall, entry, own, own_bound) for wall, entry in zip(outer, sums, strict=False)]
    casting = [_rung(wall, entry, own, own_bound) for wall, entry in zip(inner, sums[len(outer) :], strict=False)]
    hollow = [rung for rung in casting if rung.volume_mm3 < own - rung.bound_mm3 and rung.area_mm2 > 0]
    solid = next((rung.thickness_mm for rung in casting if not hollow or rung.thickness_mm > hollow[-1].thickness_mm), 0.0)
    return MeasuredWalls(blanket=_sharp(blanket), casting=_sharp(hollow), solid_from_mm=solid)


def _rung(wall: float, entry: LevelSum, own: float, own_bound: float) -> Rung:
    return Rung(
        thickness_mm=wall,
        volume_mm3=abs(entry.volume_mm3 - own),
        bound_mm3=entry.bound_mm3 + own_bound,
        area_mm2=entry.area_mm2,
    )


def _sharp(ladder: list[Rung]) -> tuple[Rung, ...]:
    return growing([rung for rung in ladder if rung.bound_mm3 <= _POOREST * rung.volume_mm3])
