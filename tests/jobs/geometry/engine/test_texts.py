"""The compiled readers of text and lists, beside Python's own numbers and the plain readers."""

import io
import math
import struct

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.geometry.engine.kernel_text import number_at
from jobs.geometry.engine.texts import fast_obj, fast_ply_rows, fast_text_ply, fast_text_stl
from jobs.geometry.mesh_reader import read_mesh
from jobs.geometry.ply_header import read_ply_header
from tests.jobs.geometry.builders import box_mesh, obj, ply, text_stl

CORNERS, FACES = box_mesh()


def number(text: bytes) -> tuple[float, bool]:
    value, end, good = number_at(np.frombuffer(text, dtype=np.uint8), 0, len(text))
    return float(value), bool(good and end == len(text))


def within_one_step(value: float, exact: float) -> bool:
    return value == exact or math.nextafter(exact, value) == value


class TestNumberAt:
    @given(st.floats(min_value=-1e250, max_value=1e250))
    @settings(max_examples=300, deadline=None)
    def test_reads_what_python_writes(self, value: float) -> None:
        read, good = number(repr(value).encode())
        if good:
            assert within_one_step(read, value)
        else:
            assert 0 < abs(value) < 1e-240

    @given(st.from_regex(r"[+-]?(\d{1,25}\.?\d{0,25}|\.\d{1,25})([eE][+-]?\d{1,2})?", fullmatch=True, alphabet="0123456789+-.eE"))
    @settings(max_examples=300, deadline=None)
    def test_reads_any_decimal_within_one_step_of_python(self, text: str) -> None:
        read, good = number(text.encode())
        assert good
        assert within_one_step(read, float(text))

    def test_is_exact_for_the_numbers_that_scanners_write(self) -> None:
        chance = np.random.default_rng(3)
        for value in chance.uniform(-1000, 1000, 500):
            for text in (f"{value:.6f}", f"{value:g}", f"{value:.7e}", f"{np.float32(value)}"):
                assert number(text.encode()) == (float(text), True)

    @pytest.mark.parametrize(
        "text", ["", "-", ".", "e5", "1e", "1e+", "1.2.3", "0x10", "1_0", "nan", "inf", "1,5", "1e-400", "1e400"]
    )
    def test_leaves_the_rest_to_the_plain_reader(self, text: str) -> None:
        assert number(text.encode())[1] is False

    def test_keeps_the_sign_of_nothing_out(self) -> None:
        assert number(b"-0.0") == (0.0, True)


class TestFastReaders:
    def test_read_the_box_as_the_plain_readers_do(self) -> None:
        for data, found in (
            (text_stl(CORNERS, FACES), fast_text_stl(text_stl(CORNERS, FACES))),
            (obj(CORNERS, FACES), fast_obj(obj(CORNERS, FACES))),
        ):
            assert found is not None
            _, plain = read_mesh(io.BytesIO(data), len(data))
            assert np.array_equal(found if isinstance(found, np.ndarray) else found[0], plain.vertices)
        data = ply(CORNERS, FACES)
        table = fast_text_ply(data, read_ply_header(data, len(data)))
        assert table is not None
        assert np.array_equal(table[0], CORNERS)
        assert np.array_equal(table[1], FACES)

    @pytest.mark.parametrize(
        "damage",
        [(b"vertex", b"vertx"), (b"endloop", b"endlop"), (b"endsolid piece\n", b""), (b"0.0", b"0..0"), (b"0.0", b"nan")],
    )
    def test_give_up_on_a_damaged_stl(self, damage: tuple[bytes, bytes]) -> None:
        data = text_stl(CORNERS, FACES)
        assert fast_text_stl(data) is not None
        assert fast_text_stl(data.replace(*damage, 1)) is None

    @pytest.mark.parametrize(
        "line", [b"f 1 2", b"f 1 2 0", b"f 1 2 -99", b"v 1 2", b"v 1 2 3 2", b"v 1 2 3 1 1", b"w 1", b"f 1 2 \\", b"vnx 1"]
    )
    def test_give_up_on_an_odd_obj(self, line: bytes) -> None:
        data = obj(CORNERS, FACES)
        assert fast_obj(data) is not None
        assert fast_obj(data + line + b"\n") is None

    @pytest.mark.parametrize(
        "line", [b"# f 1 2", b"vn 0 0 1", b"g", b"s off", b"usemtl x y", b"", b"f 1/2/3 2/3/4 3/4/5 4//2", b"f -1 -2 -3"]
    )
    def test_pass_over_the_rest_of_an_obj(self, line: bytes) -> None:
        found, plain = fast_obj(obj(CORNERS, FACES) + line), fast_obj(obj(CORNERS, FACES))
        assert found is not None
        assert plain is not None
        assert len(found[1]) == len(plain[1]) + {b"f 1/2": 2, b"f -1 ": 1}.get(line[:5], 0)

    @pytest.mark.parametrize("order", ["<", ">"])
    @pytest.mark.parametrize(
        ("length", "corner"), [("uchar", "int"), ("char", "uchar"), ("short", "ushort"), ("uint", "uint"), ("int", "short")]
    )
    def test_read_lists_of_any_width(self, order: str, length: str, corner: str) -> None:
        name = "binary_little_endian" if order == "<" else "binary_big_endian"
        head = (
            f"ply\nformat {name} 1.0\nelement vertex 5\nproperty float x\nproperty float y\nproperty float z\nelement face 2\n"
            f"property uchar red\nproperty list {length} {corner} vertex_indices\nproperty list uchar double load\nend_header\n"
        ).encode()
        codes = {"uchar": "B", "char": "b", "short": "h", "ushort": "H", "int": "i", "uint": "I"}
        body = struct.pack(f"{order}15f", *range(15))
        start = len(head) + len(body)
        for polygon in ((0, 1, 2, 3), (4, 3, 2)):
            body += struct.pack(f"{order}B{codes[length]}{len(polygon)}{codes[corner]}", 9, len(polygon), *polygon)
            body += struct.pack(f"{order}Bd", 1, 0.5)
        data = head + body
        found = fast_ply_rows(data, start, read_ply_header(data, len(data)).elements[1], order)
        assert found is not None
        faces, polygons, end = found
        assert faces.tolist() == [[0, 1, 2], [0, 2, 3], [4, 3, 2]]
        assert (polygons, end) == (1, len(data))
        for compiled in (False, True):
            _, mesh = read_mesh(io.BytesIO(data), len(data), compiled=compiled)
            assert mesh.faces.tolist() == faces.tolist()
