"""How large a mesh is in its own unit, before anything is known of it: one sum over its triangles."""

import numpy as np

from jobs.geometry.raw_mesh import Floats, Ints

_CHUNK = 200_000


def size_of(vertices: Floats, faces: Ints) -> tuple[float, float]:
    """Return area and volume of a mesh whose points need not be joined.

    Parameters
    ----------
    vertices : ndarray, shape (n, 3)
        Finite coordinates in the file's unit.
    faces : ndarray, shape (m, 3)
        Corners. Faces that look inward lower the volume, unless all do.

    Returns
    -------
    area, volume : float
        In the file's unit, squared and cubed.
    """
    middle = (vertices.min(axis=0).astype(float) + vertices.max(axis=0).astype(float)) / 2
    area = volume = 0.0
    for at in range(0, len(faces), _CHUNK):
        corners = vertices[faces[at : at + _CHUNK]].astype(np.float64) - middle
        a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
        normals = np.cross(b - a, c - a)
        area += float(np.sqrt(np.einsum("ij,ij->i", normals, normals)).sum()) / 2
        volume += float(np.einsum("ij,ij->", a, normals)) / 6
    return area, abs(volume)
