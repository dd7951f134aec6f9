"""Compile the kernels that read text and lists, and check what they read."""

import numpy as np

from jobs.geometry.engine.texts import fast_obj, fast_ply_rows, fast_text_ply, fast_text_stl
from jobs.geometry.ply_header import read_ply_header


def warm_readers() -> None:
    """Compile what reads text and lists, by reading one triangle each way.

    Raises
    ------
    RuntimeError
        When one of them reads something else.
    """
    facet = b"solid\nfacet\nouter loop\nvertex 0 0 0\nvertex 0.1 0 0\nvertex 0 1.25e-1 0\nendloop\nendfacet\nendsolid\n"
    head = "ply\nformat {} 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\n"
    lists = "property list uchar int vertex_index\nend_header\n"
    text = (head.format("ascii") + lists + "0 0 0\n0.1 0 0\n0 1.25e-1 0\n3 0 1 2\n").encode()
    binary = (head.format("binary_little_endian") + lists).encode() + bytes(36)
    corner = b"\3" + np.arange(3, dtype="<i4").tobytes()
    header = read_ply_header(binary + corner, len(binary + corner))
    found = fast_obj(b"v 0 0 0\nv 0.1 0 0\nv 0 1.25e-1 0\nf 1 2 3\n")
    table, walked = fast_text_ply(text, read_ply_header(text, len(text))), fast_ply_rows(corner, 0, header.elements[1], "<")
    corners = fast_text_stl(facet)
    wanted = [[0.0, 0.0, 0.0], [0.1, 0.0, 0.0], [0.0, 0.125, 0.0]]
    if found is None or table is None or walked is None or corners is None:
        raise RuntimeError("The compiled readers refuse a triangle on this machine.")
    if any(points.tolist() != wanted for points in (found[0], table[0], corners)):
        raise RuntimeError("The compiled readers read numbers wrongly on this machine.")
    if any(faces.tolist() != [[0, 1, 2]] for faces in (found[1], table[1], walked[0])):
        raise RuntimeError("The compiled readers read faces wrongly on this machine.")
