"""Faces that look the other way than their neighbours: which of them must be turned."""

import numpy as np

from jobs.geometry.mesh_edges import EdgeTable
from jobs.geometry.raw_mesh import Bools, Doubles

# Shares of a surface that differ by no more than this part of it are equal.
EVEN = 1e-9


def turned_over(areas: Doubles, table: EdgeTable) -> Bools:
    """Mark the faces to turn so that the two faces of every edge agree on which side is out.

    Parameters
    ----------
    areas : ndarray, shape (m,)
        Of the faces. [mm²]
    table : EdgeTable
        Their edges; those of three or more faces join nothing.

    Returns
    -------
    ndarray, shape (m,)
        Of every surface the smaller share by area; a surface of one side alone (a Möbius strip) is left as it is.

    Notes
    -----
    Every face stands in a graph twice, as it is and turned over. Edges join what agrees; a surface with two sides falls
    into two halves, each the other turned over.
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    faces = len(areas)
    if not table.flipped.any():
        return np.zeros(faces, dtype=bool)
    first, second = table.pairs[:, 0] // 3, table.pairs[:, 1] // 3
    rows = np.concatenate([first, first + faces])
    columns = np.concatenate([second + faces * table.flipped, second + faces * ~table.flipped])
    graph = coo_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(2 * faces, 2 * faces))
    count, labels = connected_components(graph, directed=False)
    here, turned = labels[:faces], labels[faces:]
    # The half of a surface that holds more of its faces as they are is the one to keep; of equals, that of the first face.
    kept = np.bincount(here, weights=areas, minlength=count)
    ahead = kept[turned] - kept[here]
    near = np.abs(ahead) <= EVEN * (kept[turned] + kept[here])
    marks: Bools = np.where(near, here > turned, ahead > 0)
    return marks
