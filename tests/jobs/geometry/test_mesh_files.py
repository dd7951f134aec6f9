"""Files that are not what they say: each gets a sentence, none is read in part."""

import io
import struct
import zipfile
from pathlib import Path

import numpy as np
import pytest

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_files import MeshFormat, MeshHeader, read_header, refuse_mismatched_name
from jobs.geometry.mesh_limits import MAX_FACES, MAX_FILE_BYTES
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.mesh_stl import read_binary_stl
from jobs.geometry.raw_mesh import RawMesh
from tests.jobs.geometry.builders import binary_stl, box_mesh, obj, ply, text_stl
from tests.jobs.geometry.packed_builders import glb, gltf, off, three_mf

VERTICES, FACES = box_mesh()
GOOD = {
    "binary STL": binary_stl(VERTICES, FACES),
    "binary STL that begins with solid": binary_stl(VERTICES, FACES, header=b"solid piece from a scanner"),
    "text STL": text_stl(VERTICES, FACES),
    "text STL with Windows line ends": text_stl(VERTICES, FACES, end="\r\n"),
    "text STL with old Macintosh line ends": text_stl(VERTICES, FACES, end="\r"),
    "OBJ": obj(VERTICES, FACES),
    "text PLY": ply(VERTICES, FACES),
    "little-endian PLY": ply(VERTICES, FACES, "binary_little_endian"),
    "big-endian PLY": ply(VERTICES, FACES, "binary_big_endian"),
    "GLB": glb(VERTICES, FACES),
    "glTF": gltf(VERTICES, FACES),
    "3MF": three_mf(VERTICES, FACES),
    "OFF": off(VERTICES, FACES),
}


def read(data: bytes, *, compiled: bool = False) -> tuple[MeshHeader, RawMesh]:
    return read_mesh(io.BytesIO(data), len(data), compiled=compiled)


def zipped(name: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr(name, "<model/>")
    return out.getvalue()


def with_corner(value: float) -> bytes:
    """A binary STL with one coordinate replaced."""
    data = bytearray(GOOD["binary STL"])
    struct.pack_into("<f", data, 84 + 12, value)
    return bytes(data)


def text_with(kind: str, old: str, new: str) -> bytes:
    text = GOOD[kind].decode()
    assert old in text
    return text.replace(old, new, 1).encode()


PLY_HEAD = "ply\nformat {order} 1.0\nelement vertex {points}\nproperty float x\nproperty float y\nproperty float z\n"
PLY_FACES = "element face {faces}\nproperty list uchar int vertex_indices\nend_header\n"


def ply_head(points: int | str, faces: int, order: str = "binary_little_endian") -> bytes:
    return (PLY_HEAD + PLY_FACES).format(order=order, points=points, faces=faces).encode()


HOSTILE = {
    # name: (bytes, words that the sentence must hold)
    "empty": (b"", "empty"),
    "one byte": (b"s", "neither"),
    "zip without a model": (zipped("holiday.jpg"), "zip archive without a 3MF model"),
    "zip with an empty model": (zipped("3D/3dmodel.model"), "3MF file is damaged"),
    "empty zip": (b"PK\x05\x06" + b"\0" * 18, "zip archive"),
    "GLB": (b"glTF" + struct.pack("<II", 2, 1000) + b"\0" * 988, "GLB"),
    "glTF of nothing": (b'{"asset": {"version": "2.0"}}', "no triangles"),
    "JSON": (b'{"name": "piece"}', "a JSON file"),
    "PDF": (b"%PDF-1.7\n" + b"\0" * 200, "PDF"),
    "PNG": (b"\x89PNG\r\n\x1a\n" + b"\0" * 200, "PNG"),
    "JPEG": (b"\xff\xd8\xff\xe0" + b"\0" * 200, "JPEG"),
    "gzip": (b"\x1f\x8b\x08" + b"\0" * 200, "gzip"),
    "web page": (b"<!DOCTYPE html><html></html>", "web page"),
    "STEP": (b"ISO-10303-21;\nHEADER;", "STEP"),
    "program": (b"\x7fELF" + b"\0" * 200, "program"),
    "plain letter": (b"Dear mold maker, please find attached\n" * 20, "neither"),
    "UTF-16 text": (("solid piece\n" * 30).encode("utf-16"), "neither"),
    "random bytes": (np.random.default_rng(5).bytes(5000), "neither"),
    "STL with 4 294 967 295 facets": (b"\0" * 80 + struct.pack("<I", 2**32 - 1) + b"\0" * 500, "promises 4,294,967,295"),
    "STL one byte short": (GOOD["binary STL"][:-1], "promises 12"),
    "STL one byte long": (GOOD["binary STL"] + b"\0", "promises 12"),
    "STL with half its facets": (GOOD["binary STL"][: 84 + 300], "promises 12"),
    "STL header alone": (b"\0" * 84, "no triangles"),
    "STL with NaN": (with_corner(float("nan")), "1 of 36 points are not numbers"),
    "STL with infinity": (with_corner(float("-inf")), "1 of 36 points are not numbers"),
    "STL with 1e30": (with_corner(1e30), "beyond any piece"),
    "STL in one spot": (binary_stl(VERTICES * 0, FACES), "one spot"),
    "text STL cut short": (GOOD["text STL"][:-200], "damaged|cut short|not a number"),
    "text STL without its end": (GOOD["text STL"].replace(b"endsolid piece\n", b""), "cut short"),
    "text STL of nothing": (b"solid piece\nendsolid piece\n", "no triangles"),
    "text STL with a fourth corner": (text_with("text STL", " endloop", "  vertex 1 2 3\n endloop"), "damaged"),
    "text STL with a word for a number": (text_with("text STL", "vertex 0.0", "vertex zero"), "not a number"),
    "text STL with nan": (text_with("text STL", "vertex 0.0", "vertex nan"), "1 of 36 points are not numbers"),
    "text STL with an underscore": (text_with("text STL", "vertex 0.0", "vertex 1_0"), "not a number"),
    "text STL with a huge line": (b"solid " + b"x" * 200_000 + b"\nendsolid\n", "longer than"),
    "OBJ with face 0": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 0 1 2\n", "does not exist"),
    "OBJ with a face too far": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "refers to point 9"),
    "OBJ with a face too far back": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf -1 -2 -9\n", "does not exist"),
    "OBJ with a face of two": (b"v 0 0 0\nv 1 0 0\nf 1 2\n", "fewer than three"),
    "OBJ with two coordinates": (b"v 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "not a point"),
    "OBJ with a weight": (b"v 0 0 0 2\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "not a point"),
    "OBJ with curved surfaces": (b"v 0 0 0\ncstype bspline\n", "curved"),
    "OBJ with an unknown word": (b"v 0 0 0\nw 1 0 0\nv 0 1 0\nf 1 2 3\n", "not understood"),
    "OBJ that should go on in the next line": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\\\n", "go on"),
    "OBJ whose lines never stop going on": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\n" + b"f 1 2 3 \\\n" * 30_000, "too long"),
    "PLY of strips": (PLY_HEAD.format(order="ascii", points=3).encode() + b"element tristrips 1\nproperty list int int "
        b"vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n", "strips"),
    "OBJ of comments": (b"# nothing\n" * 50, "no triangles"),
    "OBJ with infinity": (b"v 0 0 inf\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "1 of 3 points are not numbers"),
    "PLY with 4e9 points": (ply_head(4_000_000_000, 12), "4,000,000,000 points"),
    "PLY with 2.9 million faces and none": (ply_head(8, 2_900_000), "too small"),
    "PLY with a count of 40 digits": (ply_head("9" * 40, 1), "not understood"),
    "PLY of points alone": (PLY_HEAD.format(order="ascii", points=1).encode() + b"end_header\n0 0 0\n", "point cloud"),
    "PLY without an end": (b"ply\nformat ascii 1.0\n", "no end"),
    "PLY of unknown order": (ply_head(8, 12, "binary_middle_endian"), "not understood"),
    "PLY cut short": (GOOD["little-endian PLY"][:-3], "too small"),
    "PLY with more behind": (GOOD["big-endian PLY"] + b"more", "more than its header"),
    "text PLY cut short": (GOOD["text PLY"][: -len(b"3 1 7 3\n")], "too small|ends before|not whole"),
    "text PLY with more behind": (GOOD["text PLY"] + b"3 1 2 3\n", "more than its header"),
    "text PLY with half an index": (text_with("text PLY", "3 0 1 3", "3 0 1.5 3"), "not a point's number"),
    "PLY with a list of 2**31 corners": (
        ply_head(3, 1).replace(b"list uchar", b"list uint") + b"\0" * 36 + struct.pack("<I3i", 2**31, 0, 1, 2),
        "ends before",
    ),
    "PLY with an index too far": (
        ply_head(3, 1) + struct.pack("<9f", *range(9)) + struct.pack("<B3i", 3, 0, 1, 77),
        "refers to point 78",
    ),
}  # fmt: skip


class TestReadMesh:
    @pytest.mark.parametrize("compiled", [False, True])
    @pytest.mark.parametrize("kind", GOOD)
    def test_reads_the_box_whole(self, kind: str, compiled: bool) -> None:
        header, mesh = read(GOOD[kind], compiled=compiled)
        assert len(mesh.faces) == 12
        triangles = mesh.vertices[mesh.faces]
        assert np.allclose(triangles, VERTICES[FACES])
        assert header.size_bytes == len(GOOD[kind])

    @pytest.mark.parametrize("compiled", [False, True])
    @pytest.mark.parametrize("kind", HOSTILE)
    def test_refuses_with_a_sentence(self, kind: str, compiled: bool) -> None:
        data, words = HOSTILE[kind]
        with pytest.raises(GeometryError, match=words) as refusal:
            read(data, compiled=compiled)
        sentence = str(refusal.value)
        assert sentence.endswith(".")
        assert len(sentence) < 400

    def test_welds_a_binary_stl_on_the_disk_as_one_in_memory(self, tmp_path: Path) -> None:
        data = GOOD["binary STL"]
        path = tmp_path / "piece.stl"
        path.write_bytes(data)
        with path.open("rb") as stream:
            _, on_disk = read_mesh(stream, len(data), compiled=True)
        _, in_memory = read(data, compiled=True)
        assert on_disk.welded
        assert len(on_disk.vertices) == 8
        assert np.array_equal(on_disk.vertices, in_memory.vertices)
        assert np.array_equal(on_disk.faces, in_memory.faces)
        assert path.read_bytes() == data

    @pytest.mark.parametrize("compiled", [False, True])
    def test_refuses_a_file_that_shrank_since_it_was_looked_at(self, tmp_path: Path, compiled: bool) -> None:
        path = tmp_path / "piece.stl"
        path.write_bytes(GOOD["binary STL"][:-50])
        with path.open("rb") as stream, pytest.raises(GeometryError, match="Of 12 triangles only 11"):
            read_binary_stl(stream, 12, compiled=compiled)

    def test_counts_every_bad_point(self) -> None:
        data = bytearray(GOOD["binary STL"])
        for facet in range(5):
            struct.pack_into("<f", data, 84 + 50 * facet + 16, float("nan"))
        with pytest.raises(GeometryError, match="5 of 36"):
            read(bytes(data))

    def test_never_opens_what_an_obj_names(self, monkeypatch: pytest.MonkeyPatch) -> None:
        opened = []
        monkeypatch.setattr("builtins.open", lambda *args, **kwargs: opened.append(args))
        monkeypatch.setattr("pathlib.Path.open", lambda *args, **kwargs: opened.append(args))
        assert b"mtllib /etc/passwd" in GOOD["OBJ"]
        _, mesh = read(GOOD["OBJ"])
        assert len(mesh.faces) == 12
        assert opened == []

    def test_reads_negative_indices_from_the_end(self) -> None:
        _, mesh = read(b"v 9 9 9\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf -3 -2 -1\n")
        assert mesh.faces.tolist() == [[1, 2, 3]]

    @pytest.mark.parametrize("compiled", [False, True])
    def test_reads_an_obj_statement_over_several_lines(self, compiled: bool) -> None:
        _, mesh = read(b"v 0 0 0\r\nv 1 0 \\\r\n 0\r\nv 0 1 0\r\nf 1/1 \\\r\n2/2/2 \\\r\n3//3\r\n", compiled=compiled)
        assert mesh.vertices.tolist() == [[0, 0, 0], [1, 0, 0], [0, 1, 0]]
        assert mesh.faces.tolist() == [[0, 1, 2]]

    def test_reads_obj_points_with_colours(self) -> None:
        _, mesh = read(b"v 0 0 0 1 1 1\nv 1 0 0 1 1 1\nv 0 1 0 1 1 1\nf 1 2 3\n")
        assert mesh.vertices.tolist() == [[0, 0, 0], [1, 0, 0], [0, 1, 0]]

    @pytest.mark.parametrize("order", ["ascii", "binary_little_endian", "binary_big_endian"])
    @pytest.mark.parametrize("polygons", [[(0, 1, 3, 2), (4, 5, 7, 6)], [(0, 1, 3, 2), (4, 5, 7)], [(0, 1, 3), (4, 5, 7, 6, 2)]])
    def test_splits_polygons_and_counts_them(self, order: str, polygons: list[tuple[int, ...]]) -> None:
        _, mesh = read(ply(VERTICES, polygons, order))
        assert len(mesh.faces) == sum(len(polygon) - 2 for polygon in polygons)
        assert mesh.split_polygons == sum(len(polygon) > 3 for polygon in polygons)
        assert set(mesh.faces.ravel().tolist()) == {corner for polygon in polygons for corner in polygon}

    def test_reads_a_ply_with_colours_and_a_second_list(self) -> None:
        head = (
            b"ply\nformat binary_little_endian 1.0\nelement vertex 3\nproperty double x\nproperty double y\n"
            b"property double z\nproperty uchar red\nelement face 1\nproperty list uchar uint vertex_index\n"
            b"property list uchar float texcoord\nend_header\n"
        )
        body = b"".join(struct.pack("<3dB", *point, 7) for point in [(0, 0, 0), (1, 0, 0), (0, 1, 0)])
        _, mesh = read(head + body + struct.pack("<B3I", 3, 0, 1, 2) + struct.pack("<B2f", 2, 0.5, 0.5))
        assert mesh.vertices.tolist() == [[0, 0, 0], [1, 0, 0], [0, 1, 0]]
        assert mesh.faces.tolist() == [[0, 1, 2]]

    def test_refuses_a_file_too_large_by_one_byte_unread(self) -> None:
        with pytest.raises(GeometryError, match="250 MB"):
            read_header(io.BytesIO(b""), MAX_FILE_BYTES + 1)

    def test_refuses_one_triangle_too_many(self) -> None:
        head = b"\0" * 80 + struct.pack("<I", MAX_FACES + 1)
        with pytest.raises(GeometryError, match="3,000,001 triangles"):
            read_header(io.BytesIO(head), 84 + 50 * (MAX_FACES + 1))


class TestRefuseMismatchedName:
    NAMES = (
        "piece.stl", "piece.obj", "piece.ply", "piece.zip", "piece.glb", "piece.gltf", "piece.3mf", "piece.off", "piece.pdf",
        "piece",
    )  # fmt: skip

    @pytest.mark.parametrize("mesh_format", MeshFormat)
    def test_accepts_its_own_ending_alone(self, mesh_format: MeshFormat) -> None:
        ending = ".stl" if "STL" in mesh_format.value else f".{mesh_format.value.lower()}"
        for name in self.NAMES:
            if name.endswith(ending):
                refuse_mismatched_name(name, mesh_format)
            else:
                with pytest.raises(GeometryError, match="Rename it"):
                    refuse_mismatched_name(name, mesh_format)

    def test_takes_capitals(self) -> None:
        refuse_mismatched_name("PIECE.STL", MeshFormat.STL_TEXT)
        with pytest.raises(GeometryError, match="Rename it"):
            refuse_mismatched_name("PIECE.STL", MeshFormat.PLY)
