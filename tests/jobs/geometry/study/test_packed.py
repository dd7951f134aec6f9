"""The packed mesh: read back by its written layout, it is the picture that went in."""

import struct

import numpy as np
import pytest
import trimesh

from jobs.geometry.study.packed import HEAD_BYTES, MAGIC, pack_picture
from jobs.geometry.study.picture import light_mesh, vertex_normals
from jobs.geometry.study.workspace import Picture


@pytest.fixture(scope="module")
def picture() -> Picture:
    torus = trimesh.creation.torus(70, 25, major_sections=64, minor_sections=32)
    vertices, faces = light_mesh(torus.vertices, torus.faces)
    layers = {
        "depth": np.abs(vertices[:, 2]), "slope": np.linspace(0, 180, len(vertices)), "fill": np.zeros(len(vertices)),
        "piece": np.arange(len(vertices)) % 4,
    }  # fmt: skip
    return Picture(vertices=vertices, faces=faces, layers={name: layer.astype(np.float32) for name, layer in layers.items()})


def unpack(data: bytes) -> dict[str, np.ndarray]:
    """Read the layout as the module's text states it, by offsets alone."""
    magic, version, index = struct.unpack_from("<4sHH", data, 0)
    points, triangles = struct.unpack_from("<II", data, 8)
    low, step = np.array(struct.unpack_from("<3f", data, 16)), struct.unpack_from("<f", data, 28)[0]
    assert (magic, version) == (MAGIC, 1)
    records = np.frombuffer(data, dtype=np.uint8, count=12 * points, offset=HEAD_BYTES).reshape(-1, 12)
    places = records[:, :6].copy().view("<i2")
    start = HEAD_BYTES + 12 * points
    faces = np.frombuffer(data, dtype=f"<u{index}", count=3 * triangles, offset=start).reshape(-1, 3)
    assert len(data) == start + -(-3 * triangles * index // 4) * 4
    return {
        "vertices": low + step * (places.astype(float) + 32767), "faces": faces, "layers": records[:, 6:9],
        "piece": records[:, 9], "normal": records[:, 10:].copy().view("i1"),
        "ranges": np.array(struct.unpack_from("<6f", data, 32)).reshape(3, 2),
    }  # fmt: skip


class TestPackPicture:
    def test_keeps_places_and_triangles(self, picture: Picture) -> None:
        read = unpack(pack_picture(picture))
        assert read["vertices"] == pytest.approx(picture.vertices, abs=190 / 65_534)
        assert (read["faces"] == picture.faces).all()

    def test_keeps_layers_to_a_step_of_their_range(self, picture: Picture) -> None:
        read = unpack(pack_picture(picture))
        for place, name in enumerate(("depth", "slope", "fill")):
            low, high = read["ranges"][place]
            values = low + read["layers"][:, place] / 255 * (high - low)
            assert values == pytest.approx(picture.layers[name], abs=(high - low) / 500)
        assert (read["piece"] == picture.layers["piece"]).all()
        assert tuple(read["ranges"][1]) == (0.0, 180.0)

    def test_keeps_normals_to_about_a_degree(self, picture: Picture) -> None:
        folded = unpack(pack_picture(picture))["normal"] / 127
        z = 1 - np.abs(folded).sum(axis=1)
        back = np.maximum(-z, 0)[:, None] * np.where(folded >= 0, 1, -1)
        unfolded = np.column_stack([folded - back, z])
        unfolded /= np.linalg.norm(unfolded, axis=1)[:, None]
        cosine = np.einsum("ij,ij->i", unfolded, vertex_normals(picture.vertices, picture.faces))
        assert np.degrees(np.arccos(np.clip(cosine, -1, 1))).max() < 1.2

    def test_uses_wide_indices_only_for_many_points(self, picture: Picture) -> None:
        assert struct.unpack_from("<H", pack_picture(picture), 6)[0] == 2
        many = Picture(
            vertices=np.random.default_rng(1).random((70_000, 3)).astype(np.float32),
            faces=np.array([(0, 1, 69_999)], dtype=np.int32),
        )  # fmt: skip
        data = pack_picture(many)
        assert struct.unpack_from("<H", data, 6)[0] == 4
        assert (unpack(data)["faces"] == many.faces).all()

    def test_packs_a_picture_without_layers(self, picture: Picture) -> None:
        read = unpack(pack_picture(Picture(vertices=picture.vertices, faces=picture.faces)))
        assert not read["piece"].any()
        assert not read["layers"].any()
