"""GLB and glTF: parts placed as their nodes say, and nothing read that is not wholly there."""

import math
import struct
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from jobs.geometry.raw_mesh import RawMesh
from tests.jobs.geometry.builders import box_mesh
from tests.jobs.geometry.packed_builders import Document, glb, glb_of, gltf, gltf_parts
from tests.jobs.geometry.reading import read, refusal, volume

CORNERS, FACES = box_mesh(0.1, 0.08, 0.06)


def extents(mesh: RawMesh) -> Any:
    return np.ptp(mesh.vertices, axis=0)


def with_node(**node: Any) -> bytes:
    return glb(CORNERS, FACES, lambda document: document["nodes"][0].update(node))


class TestPlaces:
    def test_reads_metres_with_y_up(self) -> None:
        mesh = read(glb(CORNERS, FACES))
        assert np.allclose(mesh.vertices, CORNERS)
        assert np.array_equal(mesh.faces, FACES)
        assert (mesh.unit, mesh.up_axis) == ("m", "y")
        assert "metres" in mesh.said

    def test_reads_data_within_the_text(self) -> None:
        assert volume(read(gltf(CORNERS, FACES))) == pytest.approx(0.1 * 0.08 * 0.06)

    def test_moves_turns_and_scales(self) -> None:
        half = math.sqrt(0.5)
        mesh = read(with_node(translation=[1, 2, 3], rotation=[0, 0, half, half], scale=[2, 1, 1]))
        # A quarter turn about z lays x along y; scaled before it is turned, moved last.
        assert mesh.vertices.min(axis=0) == pytest.approx([1 - 0.08, 2, 3])
        assert mesh.vertices.max(axis=0) == pytest.approx([1, 2.2, 3.06])
        assert volume(mesh) == pytest.approx(2 * 0.1 * 0.08 * 0.06)

    def test_reads_a_matrix_column_by_column(self) -> None:
        mesh = read(with_node(matrix=[0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 5, 6, 7, 1]))
        assert mesh.vertices.min(axis=0) == pytest.approx([5 - 0.08, 6, 7])
        assert mesh.vertices.max(axis=0) == pytest.approx([5, 6.1, 7.06])

    def test_turns_the_faces_of_a_mirrored_part(self) -> None:
        assert volume(read(with_node(scale=[-1, 1, 1]))) == pytest.approx(0.1 * 0.08 * 0.06)
        assert volume(read(with_node(scale=[-1, -1, 1]))) == pytest.approx(0.1 * 0.08 * 0.06)

    def test_adds_up_nested_nodes_and_copies(self) -> None:
        def nest(document: Document) -> None:
            document["nodes"] = [
                {"children": [1, 2], "scale": [10, 10, 10]}, {"mesh": 0}, {"children": [3], "translation": [1, 0, 0]},
                {"mesh": 0, "translation": [0, 1, 0]},
            ]  # fmt: skip

        mesh = read(glb(CORNERS, FACES, nest))
        assert len(mesh.faces) == 24
        assert extents(mesh) == pytest.approx([11, 10.8, 0.6])

    def test_reads_the_scene_that_is_shown_and_no_other(self) -> None:
        def second(document: Document) -> None:
            document["nodes"].append({"mesh": 0, "translation": [9, 9, 9]})
            document["scenes"] = [{"nodes": [0, 1]}, {"nodes": [0]}]
            document["scene"] = 1

        assert len(read(glb(CORNERS, FACES, second)).faces) == 12

    def test_without_scenes_reads_every_root(self) -> None:
        def bare(document: Document) -> None:
            del document["scenes"], document["scene"]
            document["nodes"] = [{"children": [1]}, {"mesh": 0}, {"mesh": 0}]

        assert len(read(glb(CORNERS, FACES, bare)).faces) == 24

    @pytest.mark.parametrize("mode", [5, 6])
    def test_reads_strips_and_fans(self, mode: int) -> None:
        points = [(0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 1, 0)] if mode == 5 else [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)]
        document, data = gltf_parts(points, [])
        document["meshes"][0]["primitives"][0] = {"attributes": {"POSITION": 0}, "mode": mode}
        mesh = read(glb_of(document, data))
        sides = mesh.vertices[mesh.faces]
        ups = np.cross(sides[:, 1] - sides[:, 0], sides[:, 2] - sides[:, 0])
        assert ups.tolist() == [[0, 0, 1], [0, 0, 1]]

    @pytest.mark.parametrize(("kind", "code"), [(5121, "<u1"), (5123, "<u2"), (5125, "<u4")])
    def test_reads_corners_of_any_width_and_rows_with_gaps(self, kind: int, code: str) -> None:
        rows = b"".join(struct.pack("<3f2f", *corner, 7, 7) for corner in CORNERS)
        corners = np.asarray(FACES, dtype=code).tobytes()

        def gaps(document: Document) -> None:
            document["bufferViews"][0].update(byteLength=len(rows), byteStride=20)
            document["bufferViews"][1].update(byteOffset=len(rows), byteLength=len(corners))
            document["accessors"][1]["componentType"] = kind
            document["buffers"][0]["byteLength"] = len(rows) + len(corners)

        document, _ = gltf_parts(CORNERS, FACES)
        gaps(document)
        assert np.allclose(read(glb_of(document, rows + corners)).vertices[FACES], CORNERS[FACES])

    def test_reads_points_in_small_whole_numbers(self) -> None:
        document, _ = gltf_parts(CORNERS, FACES)
        rows = np.zeros((8, 4), dtype="<i2")
        rows[:, :3] = np.where(np.asarray(CORNERS) > 0, 32767, 0)
        corners = np.asarray(FACES, dtype="<u2").tobytes()
        document["extensionsRequired"] = ["KHR_mesh_quantization"]
        document["accessors"][0].update(componentType=5122, normalized=True)
        document["bufferViews"][0].update(byteStride=8)
        document["bufferViews"][1].update(byteOffset=64)
        assert extents(read(glb_of(document, rows.tobytes() + corners + bytes(64)))).tolist() == [1, 1, 1]

    def test_leaves_out_points_that_no_face_uses(self) -> None:
        far = np.vstack([CORNERS, np.full((60, 3), 50.0)])
        assert extents(read(glb(far, FACES))) == pytest.approx([0.1, 0.08, 0.06])

    def test_passes_over_lines_and_loose_points(self) -> None:
        def add(document: Document) -> None:
            document["meshes"][0]["primitives"] += [{"attributes": {"POSITION": 0}, "mode": mode} for mode in (0, 1, 3)]

        assert len(read(glb(CORNERS, FACES, add)).faces) == 12


def chain(length: int) -> bytes:
    def link(document: Document) -> None:
        document["nodes"] = [{"children": [i + 1]} for i in range(length)] + [{"mesh": 0}]

    return glb(CORNERS, FACES, link)


def set_to(*path: Any, value: Any) -> Callable[[Document], object]:
    def change(document: Document) -> None:
        spot: Any = document
        for step in path[:-1]:
            spot = spot[step]
        spot[path[-1]] = value

    return change


REFUSED = {
    # name: (change of the JSON, words that the sentence must hold)
    "another version": (set_to("asset", "version", value="1.0"), "version 2"),
    "no asset": (set_to("asset", value=None), "version 2"),
    "Draco": (set_to("extensionsRequired", value=["KHR_draco_mesh_compression"]), "compressed with Draco"),
    "meshopt": (set_to("extensionsRequired", value=["EXT_meshopt_compression"]), "compressed with meshopt"),
    "copies by an extension": (set_to("extensionsRequired", value=["EXT_mesh_gpu_instancing"]), "EXT_mesh_gpu_instancing"),
    "sparse points": (set_to("accessors", 0, "sparse", value={"count": 1}), "sparse"),
    "a sparse accessor of 300 million": (
        set_to("accessors", 0, value={"componentType": 5126, "count": 300_000_000, "type": "VEC3", "sparse": {"count": 1}}),
        "sparse",
    ),
    "points of 300 million": (set_to("accessors", 0, "count", value=300_000_000), "promises 300,000,000 rows"),
    "corners of 2**40": (set_to("accessors", 1, "count", value=3 * 2**40), "up to 3,000,000"),
    "one corner too many": (set_to("accessors", 1, "count", value=39), "promises 39 rows"),
    "corners that make no triangles": (set_to("accessors", 1, "count", value=35), "whole triangles"),
    "a view beyond its buffer": (set_to("bufferViews", 1, "byteLength", value=73), "more than its data hold"),
    "a view that starts too late": (set_to("bufferViews", 1, "byteOffset", value=97), "more than its data hold"),
    "rows that lie too close": (set_to("bufferViews", 0, "byteStride", value=4), "4 bytes apart"),
    "a buffer that promises more": (set_to("buffers", 0, "byteLength", value=10**9), "promises 1,000,000,000 bytes"),
    "a buffer elsewhere": (set_to("buffers", 0, "uri", value="/etc/passwd"), "another file"),
    "a buffer in the net": (set_to("buffers", 0, "uri", value="https://example.org/x.bin"), "another file"),
    "a buffer in bad base64": (set_to("buffers", 0, "uri", value="data:x;base64,%%%"), "base64"),
    "a reference too far": (set_to("nodes", 0, "mesh", value=7), "number 7 of 1 meshes"),
    "a negative reference": (set_to("meshes", 0, "primitives", 0, "indices", value=-1), "number -1"),
    "a truth for a number": (set_to("accessors", 0, "count", value=True), "not a whole number"),
    "points in a circle": (set_to("nodes", value=[{"children": [1]}, {"children": [0]}]), "circle"),
    "a node that is its own child": (set_to("nodes", 0, "children", value=[0]), "circle"),
    "a node in two places": (set_to("scenes", 0, "nodes", value=[0, 0]), "more than one place"),
    "a matrix of nine": (set_to("nodes", 0, "matrix", value=[1.0] * 9), "16 numbers"),
    "a matrix that tilts": (set_to("nodes", 0, "matrix", value=[1.0] * 16), "matrix"),
    "a turn by nothing": (set_to("nodes", 0, "rotation", value=[0, 0, 0, 0]), "rotation"),
    "scales beyond measure": (
        set_to("nodes", value=[{"children": [1], "scale": [1e299] * 3}, {"mesh": 0, "scale": [1e299] * 3}]), "beyond all measure"
    ),
    "bones": (set_to("nodes", 0, "skin", value=0), "bones"),
    "morph weights": (set_to("meshes", 0, "weights", value=[0.5]), "morph"),
    "an unknown mode": (set_to("meshes", 0, "primitives", 0, "mode", value=9), "unknown kind 9"),
    "points of two numbers": (set_to("accessors", 0, "type", value="VEC2"), "VEC3"),
    "no meshes in the scene": (set_to("scenes", 0, "nodes", value=[]), "no triangles"),
    "a scene that is not there": (set_to("scene", value=1), "number 1 of 1 scenes"),
    "no scenes where one is shown": (set_to("scenes", value=[]), "number 0 of 0 scenes"),
    "lists that are none": (set_to("nodes", value={"a": 1}), "no list"),
}  # fmt: skip


class TestRefusals:
    @pytest.mark.parametrize("name", REFUSED)
    def test_says_what_is_wrong(self, name: str) -> None:
        change, words = REFUSED[name]
        assert words in refusal(glb(CORNERS, FACES, change))

    def test_follows_a_chain_up_to_its_limit_and_no_further(self) -> None:
        assert len(read(chain(199)).faces) == 12
        assert "200 levels" in refusal(chain(200))
        assert "200 levels" in refusal(chain(50_000))

    def test_counts_copies_before_it_makes_them(self) -> None:
        def crowd(document: Document) -> None:
            document["nodes"] = [{"children": list(range(1, 250_002))}] + [{"mesh": 0}] * 250_001

        assert "3,000,012 triangles" in refusal(glb(CORNERS, FACES, crowd))

    def test_refuses_a_face_beyond_its_own_part(self) -> None:
        def two(document: Document) -> None:
            document["nodes"] = [{"children": [1, 2]}, {"mesh": 0}, {"mesh": 0}]

        faces = [*FACES.tolist()[:-1], [0, 1, 8]]
        assert "refers to point 9" in refusal(glb(CORNERS, faces, two))

    def test_counts_points_that_are_no_numbers(self) -> None:
        corners = np.array(CORNERS)
        corners[3:5, 1] = math.nan, math.inf
        assert "2 of 8 points are not numbers" in refusal(glb(corners, FACES))

    def test_refuses_a_length_that_lies_and_chunks_that_do_not_fill(self) -> None:
        data = glb(CORNERS, FACES)
        assert "promises" in refusal(data[:-4])
        assert "promises" in refusal(data + b"\0\0\0\0")
        longer = bytearray(data)
        struct.pack_into("<I", longer, 12, 2**32 - 1)
        assert "cut short" in refusal(bytes(longer))
        assert "version 2" in refusal(b"glTF" + struct.pack("<II", 1, len(data)) + data[12:])
        assert "no description" in refusal(b"glTF" + struct.pack("<II", 2, 12))

    @pytest.mark.parametrize("text", [b"{", b"[1]", b'{"asset": NaN}', b"[" * 100_000, b"\xff\xfe"])
    def test_refuses_what_is_no_json(self, text: bytes) -> None:
        chunk = struct.pack("<II", len(text), 0x4E4F534A) + text
        assert "JSON" in refusal(b"glTF" + struct.pack("<II", 2, 12 + len(chunk)) + chunk)
