"""Values on the triangles of a surface, evened out over it as heat evens out."""

import numpy as np

from jobs.geometry.engine.kernel_heat import even_out
from jobs.geometry.raw_mesh import Doubles
from jobs.geometry.study.face_graph import FaceGraph

_MOST_STEPS = 60
_CLOSE_ENOUGH = 5e-2


class Diffusion:
    """Evens out values over a surface to a given reach: (area + reach² L) u = area · given, L the surface's own Laplacian.

    Parameters
    ----------
    graph : FaceGraph
        The surface.
    reach_mm : float
        How far a value makes itself felt. [mm]
    """

    def __init__(self, graph: FaceGraph, reach_mm: float) -> None:
        first, second = graph.sides[:, 0], graph.sides[:, 1]
        apart = graph.middles[first] - graph.middles[second]
        between = np.sqrt(np.einsum("ij,ij->i", apart, apart))
        # Slivers lie so near to each other that they would stall the solving; as many as there are, they matter little.
        usual = np.sqrt(graph.areas.sum() / len(graph.areas))
        flow = reach_mm**2 * graph.lengths / np.maximum(between, 0.3 * usual)
        self._beside = graph.beside
        self._flow = np.where(graph.beside >= 0, np.append(flow, 0.0)[graph.beside_edge], 0.0)
        self._areas = np.maximum(graph.areas, 1e-2 * usual**2)
        self._whole = self._areas + self._flow.sum(axis=1)

    def even_out(self, given: Doubles, guess: Doubles | None = None) -> Doubles:
        """Even out given values (m, k), each column alone, to a few hundredths; a near guess saves time."""
        found = np.array(given if guess is None else guess, dtype=np.float64, order="C")
        given = np.ascontiguousarray(given, dtype=np.float64)
        even_out(self._areas, self._whole, self._beside, self._flow, given, found, _CLOSE_ENOUGH, _MOST_STEPS)
        return found
