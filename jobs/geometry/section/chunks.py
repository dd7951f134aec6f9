"""Cubes cut by a plane."""

import numpy as np

from jobs.geometry.raw_mesh import Doubles, Floats
from jobs.geometry.section.plane import CutPlane

_CORNERS = np.array([[x, y, z] for x in (-0.5, 0.5) for y in (-0.5, 0.5) for z in (-0.5, 0.5)])
_EDGES = np.array([(a, b) for a in range(8) for b in range(a + 1, 8) if (_CORNERS[a] != _CORNERS[b]).sum() == 1])


def cut_cubes(middles: Floats, edge_mm: float, plane: CutPlane) -> tuple[Doubles, ...]:
    """Return the outlines (n, 2), counter-clockwise, of the cubes around points (c, 3) that a plane cuts. [mm]"""
    if not len(middles) or edge_mm <= 0:
        return ()
    reach = edge_mm * float(np.abs(np.array(plane.normal)).sum()) / 2
    met = np.asarray(middles, dtype=np.float64)
    met = met[np.abs(plane.distances(met)) < reach * (1 - 1e-9)]
    outlines = []
    for middle in met:
        corners = middle + edge_mm * _CORNERS
        side = plane.distances(corners)
        a, b = _EDGES[(side[_EDGES[:, 0]] > 0) != (side[_EDGES[:, 1]] > 0)].T
        share = (side[a] / (side[a] - side[b]))[:, None]
        places = plane.flat(corners[a] + share * (corners[b] - corners[a]))
        off = places - places.mean(axis=0)
        outlines.append(places[np.argsort(np.arctan2(off[:, 1], off[:, 0]))])
    return tuple(outlines)
