"""Reading a file out of bytes, and what came of it."""

import io

import numpy as np
import pytest

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.raw_mesh import RawMesh


def read(data: bytes) -> RawMesh:
    return read_mesh(io.BytesIO(data), len(data))[1]


def refusal(data: bytes) -> str:
    """Return the sentence by which a file is refused."""
    with pytest.raises(GeometryError) as error:
        read(data)
    assert str(error.value).endswith(".")
    return str(error.value)


def volume(mesh: RawMesh) -> float:
    a, b, c = (mesh.vertices[mesh.faces[:, i]].astype(float) for i in range(3))
    return float((a * np.cross(b, c)).sum() / 6)
