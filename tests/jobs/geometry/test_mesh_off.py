"""OFF: points and faces as its header counts them."""

import io

import numpy as np
import pytest

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import MeshHeader
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.raw_mesh import RawMesh

TETRAHEDRON = b"OFF\n4 4 6\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n3 0 2 1\n3 0 1 3\n3 0 3 2\n3 1 2 3\n"


def read(data: bytes) -> tuple[MeshHeader, RawMesh]:
    return read_mesh(io.BytesIO(data), len(data))


class TestReadOff:
    @pytest.mark.parametrize(
        "data",
        [
            TETRAHEDRON,
            TETRAHEDRON.replace(b"\n", b"\r\n"),
            TETRAHEDRON.replace(b"OFF\n", b"OFF "),
            TETRAHEDRON.replace(b"4 4 6", b"4 4"),
            TETRAHEDRON.replace(b"OFF\n", b"# by a scanner\nOFF # yes\n#\n\n").removeprefix(b"# by a scanner\n"),
            TETRAHEDRON.replace(b"OFF", b"COFF").replace(b"1 0 0\n", b"1 0 0 0.5 0.5 0.5 1\n"),
            TETRAHEDRON.replace(b"3 1 2 3\n", b"3 1 2 3 255 0 0"),
        ],
    )
    def test_reads_every_way_to_write_it(self, data: bytes) -> None:
        header, mesh = read(data)
        assert header.faces == len(mesh.faces) == 4
        assert mesh.vertices.tolist() == [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]
        assert mesh.faces.tolist() == [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]

    def test_splits_polygons_and_counts_them(self) -> None:
        _, mesh = read(b"OFF\n4 1 4\n0 0 0\n1 0 0\n1 1 0\n0 1 0\n4 0 1 2 3\n")
        assert mesh.faces.tolist() == [[0, 1, 2], [0, 2, 3]]
        assert mesh.split_polygons == 1

    @pytest.mark.parametrize(
        ("data", "words"),
        [
            (b"OFF\n4000000000 4 6\n0 0 0\n", "4,000,000,000 points"),
            (TETRAHEDRON.replace(b"4 4 6", b"4 2999999 6"), "too small"),
            (TETRAHEDRON.replace(b"4 4 6", b"4 5 6"), "ends before|too small"),
            (TETRAHEDRON.replace(b"4 4 6", b"4 3 6"), "more than its header"),
            (TETRAHEDRON.replace(b"4 4 6", b"5 4 6"), "not hold three|too small"),
            (TETRAHEDRON.replace(b"4 4 6", b"four four"), "how many"),
            (TETRAHEDRON.replace(b"OFF", b"4OFF"), "of a kind"),
            (TETRAHEDRON.replace(b"OFF", b"OFF BINARY"), "of a kind"),
            (TETRAHEDRON.replace(b"3 1 2 3", b"3 1 2 4"), "refers to point 5"),
            (TETRAHEDRON.replace(b"3 1 2 3", b"3 1 2 -3"), "refers to point"),
            (TETRAHEDRON.replace(b"3 1 2 3", b"2 1 2 3"), "claims 2 corners"),
            (TETRAHEDRON.replace(b"3 1 2 3", b"9 1 2 3"), "whole face"),
            (TETRAHEDRON.replace(b"3 1 2 3", b"3 1 2 x"), "not a point's number"),
            (TETRAHEDRON.replace(b"3 1 2 3", b"3 1 2 3 1 1 1 1 1"), "whole face"),
            (TETRAHEDRON.replace(b"1 0 0", b"1 nan 0"), "1 of 4 points are not numbers"),
            (TETRAHEDRON.replace(b"1 0 0", b"1 0 0 1"), "three numbers"),
            (b"OFF\n4 0 0\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n", "point cloud"),
        ],
    )
    def test_refuses_with_a_sentence(self, data: bytes, words: str) -> None:
        with pytest.raises(GeometryError, match=words) as refusal:
            read(data)
        assert str(refusal.value).endswith(".")

    def test_agrees_with_another_library(self) -> None:
        import trimesh

        ball = trimesh.creation.icosphere(subdivisions=2, radius=30)
        data = ball.export(file_type="off").encode()
        _, mesh = read(data)
        other = trimesh.load(io.BytesIO(data), file_type="off", process=False)
        assert np.array_equal(mesh.vertices, other.vertices)
        assert np.array_equal(mesh.faces, other.faces)
