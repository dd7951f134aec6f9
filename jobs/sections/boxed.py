"""A block in section: the box takes the place of coats, fill and shell."""

from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jobs.geometry.raw_mesh import Doubles
    from jobs.geometry.section.layers import SectionLayers
    from jobs.geometry.section.plane import CutPlane
    from jobs.geometry.section.regions import Region

# Common practice, no source: boards of about this thickness hold a pour; for drawings alone.
BOARD_MM = 18.0
Bounds = tuple[tuple[float, float, float], tuple[float, float, float]]


def boxed(layers: "SectionLayers", piece: Bounds, *, margin_mm: float, on_board: bool) -> "SectionLayers":
    """Return what a plane cuts of a block: piece, rubber out to its box (`filled`), and the boards (`shell`).

    Parameters
    ----------
    layers : SectionLayers
        What the plane cuts of the piece.
    piece : tuple
        Least and greatest corner of the piece, z up. [mm]
    margin_mm : float
        Rubber on each side and on top. [mm]
    on_board : bool
        Whether the piece stands on a board, so that no rubber lies below it and the box is open above.
    """
    rubber = _grown(piece, margin_mm, below_mm=0.0 if on_board else margin_mm, above_mm=margin_mm)
    # On a board the box is open above; otherwise it has a floor and a lid.
    closed = 0.0 if on_board else BOARD_MM
    boards = _grown(rubber, BOARD_MM, below_mm=closed, above_mm=closed)
    filled, shell = (_cut(corners, layers.plane) for corners in (rubber, boards))
    widest = shell.box or filled.box or layers.piece.box
    return replace(layers, coats=(), coat_areas_mm2=(), filled=filled, shell=shell, chunks=(), box=widest)


def _grown(bounds: Bounds, aside_mm: float, *, below_mm: float, above_mm: float) -> Bounds:
    (x0, y0, z0), (x1, y1, z1) = bounds
    return (x0 - aside_mm, y0 - aside_mm, z0 - below_mm), (x1 + aside_mm, y1 + aside_mm, z1 + above_mm)


def _cut(bounds: Bounds, plane: "CutPlane") -> "Region":
    """Cut a box with a plane: where its edges pass through, in order round their middle."""
    import numpy as np

    from jobs.geometry.section.regions import Region

    corners = np.array(list(product(*zip(*bounds, strict=True))))
    sides = plane.distances(corners)
    # Two corners share an edge when they differ in one of x, y, z: in one bit of their place in the list.
    pairs = [(a, a | bit) for bit in (1, 2, 4) for a in range(8) if not a & bit]
    points = [
        corners[a] + (corners[b] - corners[a]) * sides[a] / (sides[a] - sides[b])
        for a, b in pairs
        if (sides[a] < 0) is not (sides[b] < 0)
    ]
    if len(points) < 3:
        return Region()
    places: Doubles = plane.flat(np.array(points))
    around = places - places.mean(axis=0)
    loop = places[np.argsort(np.arctan2(around[:, 1], around[:, 0]))]
    return Region(loops=(loop,))
