"""Gauge blocks: where cubes of cured rubber as tall as the wall are buried, so that the last coat proves the thickness."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from jobs.geometry.raw_mesh import Bools, Doubles, Floats
from jobs.geometry.study.bends import Bends, bends_of
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.facing import Faces
from jobs.geometry.study.results import GaugeKind, GaugeSpot

# One block for each tenth of a square metre, and no fewer or more than these. Common practice, no source.
AREA_OF_ONE_MM2 = 100_000.0
FEWEST, MOST = 3, 24
# Bends are felt over this many walls.
_RADIUS_WALLS = 1.5
# By bend (see `Bends`): below the first a surface is flat, above the second it is an edge or a point.
_FLAT, _SHARP = 0.12, 0.55
_FLAT_UNLIKE = 0.02
# By the height of the unit normal: facing up, upright, hanging over.
_UP, _UPRIGHT, _OVER = 0.5, 0.26, -0.5
# In walls: the least way between two blocks, and of one from the board.
_APART, _OFF_BOARD = 2.0, 2.0
_OPEN = 0.6


@dataclass(frozen=True, slots=True)
class _Reason:
    kind: GaugeKind
    why: str
    fitting: Bools
    worth: Doubles


def gauge_spots(
    vertices: Floats, faces: Faces, *, wall_mm: float, on_board: bool = False, vectors: Doubles | None = None
) -> tuple[GaugeSpot, ...]:
    """Choose the places of gauge blocks: a third each where the wall is even, where it runs off and where it gets thin.

    Parameters
    ----------
    vertices, faces : ndarray
        The surface to coat, oriented outward. [mm]
    wall_mm : float
        Wall of the blanket, which is the height of a block, above 0. [mm]
    on_board : bool
        Keeps blocks off the fillet at the board.
    vectors : ndarray, optional
        As `face_vectors` gives them, where somebody has them already.

    Returns
    -------
    tuple of GaugeSpot
        3 to 24; fewer only on a piece so small that they would stand less than two walls apart.
    """
    size = float(np.linalg.norm(np.ptp(np.asarray(vertices, dtype=np.float64), axis=0)))
    bends = bends_of(vertices, faces, radius_mm=min(_RADIUS_WALLS * wall_mm, 0.1 * size), vectors=vectors)
    usable = bends.free > _OPEN
    if on_board:
        usable &= bends.points[:, 2] > min(_OFF_BOARD * wall_mm, 0.3 * float(bends.points[:, 2].max()))
    count = int(np.clip(math.ceil(bends.area_mm2 / AREA_OF_ONE_MM2), FEWEST, MOST))
    chosen: list[tuple[int, _Reason]] = []
    for reason in _turns(_reasons(bends, usable), count):
        place = _next_place(bends.points, reason, chosen, apart=_APART * wall_mm)
        if place is not None:
            chosen.append((place, reason))
        if len(chosen) == count:
            break
    order = {kind: number for number, kind in enumerate(GaugeKind)}
    chosen.sort(key=lambda one: order[one[1].kind])  # stable: within a kind the most telling stay first
    return tuple(_spot(bends, place, reason) for place, reason in chosen)


def _reasons(bends: Bends, usable: Bools) -> list[list[_Reason]]:
    """Return, for each kind, its reasons for a block, the weightier first."""
    up, bend = bends.normals[:, 2], bends.bend
    height = bends.points[:, 2]
    high = (height - height.min()) / max(float(np.ptp(height)), 1e-9)
    sharp = bend > _SHARP
    clear = _way_to(bends.points, sharp, 2 * bends.radius_mm) > bends.radius_mm  # beside an edge its bend is felt too
    flat = (np.abs(bend) < _FLAT) & (bends.unlike < _FLAT_UNLIKE)
    flat_why = "Flat: what stands here is the mean wall."
    if not (flat & usable).any():
        flat = (np.abs(bend) <= np.quantile(np.abs(bend[usable]), 0.1)) if usable.any() else flat
        flat_why = "The flattest place there is: the nearest to the mean wall."
    wide = _way_to(bends.points, ~flat, bends.radius_mm)
    return [
        [_Reason(GaugeKind.FLAT, flat_why, flat & usable, wide * np.where(up < _OVER, 0.5, 1.0))],
        [_Reason(
            GaugeKind.CROWN, "Crown: wet rubber runs off from here.", (bend > _FLAT) & clear & (up > _UP) & usable, bend * up,
        )],
        [
            _Reason(GaugeKind.THIN, "Sharp edge or point: every coat draws thin over it.", sharp & usable, bend),
            _Reason(GaugeKind.THIN, "Overhang: fresh rubber hangs and drops off here.", (up < _OVER) & clear & usable, -up),
            _Reason(
                GaugeKind.THIN, "Top of an upright side: fresh rubber sags down from here.",
                (np.abs(up) < _UPRIGHT) & clear & (bend > -_FLAT) & usable, np.exp(4 * high),
            ),
        ],
    ]  # fmt: skip


def _turns(reasons: list[list[_Reason]], count: int) -> Iterator[_Reason]:
    """Ask the kinds in turn, and within a kind its reasons in turn; those without any place are passed over."""
    present = [[reason for reason in kind if reason.fitting.any()] for kind in reasons]
    present = [kind for kind in present if kind]
    for turn in range(4 * count if present else 0):
        for kind in present:
            yield kind[turn % len(kind)]


def _next_place(points: Doubles, reason: _Reason, chosen: list[tuple[int, _Reason]], *, apart: float) -> int | None:
    """Return the most telling place first, then among the telling ones the farthest from all of its kind; None when too near."""
    worth = np.where(reason.fitting, reason.worth, -np.inf)
    if not chosen:
        return int(np.argmax(worth))
    ways = np.stack([np.linalg.norm(points - points[place], axis=1) for place, _ in chosen])
    worth[ways.min(axis=0) < apart] = -np.inf
    best = float(worth.max())
    if best == -np.inf:
        return None
    of_kind = [number for number, (_, other) in enumerate(chosen) if other.kind is reason.kind]
    if not any(other.why == reason.why for _, other in chosen):
        return int(np.argmax(worth))
    # Blocks of other kinds count half: the same spot need not be proved twice.
    far = np.minimum(ways[of_kind].min(axis=0), 2.0 * ways.min(axis=0))
    return int(np.argmax(np.where(worth >= 0.5 * best, far, -np.inf)))


def _way_to(points: Doubles, others: Bools, radius: float) -> Doubles:
    """Return how far each point is from the nearest of the others; alike for all when there are none."""
    from scipy.spatial import cKDTree

    if not others.any():
        return np.full(len(points), radius)
    found: Doubles = cKDTree(points[others]).query(points)[0]
    return found


def _spot(bends: Bends, place: int, reason: _Reason) -> GaugeSpot:
    x, y, z = bends.normals[place].tolist()
    size = math.sqrt(x * x + y * y + z * z)
    a, b, c = bends.points[place].tolist()
    return GaugeSpot(kind=reason.kind, point=(a, b, c), outward=Direction(x=x / size, y=y / size, z=z / size), why=reason.why)
