"""Stills: real PNG files of what stands there, drawn as seen from the right side."""

import io

import numpy as np
import pytest
import trimesh
from PIL import Image

from jobs.geometry.study.colours import PIECES, RAMPS, layer_range, ramp_colours
from jobs.geometry.study.directions import direction
from jobs.geometry.study.picture import light_mesh
from jobs.geometry.study.raster import draw_triangles
from jobs.geometry.study.stills import SHOWN, VIEWS, stills
from jobs.geometry.study.workspace import Picture

SIZE = (160, 120)


def read(data: bytes) -> np.ndarray:
    """Second opinion: Pillow reads what is written."""
    with Image.open(io.BytesIO(data)) as image:
        assert image.mode == "RGBA"
        return np.asarray(image)


def lightness(colours: np.ndarray) -> np.ndarray:
    """Published: relative luminance of sRGB, IEC 61966-2-1."""
    share = np.asarray(colours, dtype=float) / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


@pytest.fixture(scope="module")
def picture() -> Picture:
    vertices, faces = light_mesh(*_box(), most_faces=4_000)
    height = vertices[:, 2] - vertices[:, 2].min()
    layers = {
        "depth": height, "slope": np.full(len(vertices), 90.0), "fill": np.zeros(len(vertices)),
        "piece": np.where(vertices[:, 0] > 0, 1.0, 2.0),
    }  # fmt: skip
    return Picture(vertices=vertices, faces=faces, layers={name: layer.astype(np.float32) for name, layer in layers.items()})


def _box() -> tuple[np.ndarray, np.ndarray]:
    box = trimesh.creation.box((80, 60, 100))
    return box.vertices, box.faces


@pytest.fixture(scope="module")
def drawn(picture: Picture) -> dict[str, np.ndarray]:
    found = stills(picture, size_px=SIZE, pulls=(direction(0, 0), direction(180, 0)))
    return {name: read(data) for name, data in found.items()}


class TestStills:
    def test_are_there_for_every_layer_and_view(self, drawn: dict[str, np.ndarray]) -> None:
        assert set(drawn) == {f"{shown}-{view}" for shown in SHOWN for view in VIEWS}
        assert {image.shape for image in drawn.values()} == {(SIZE[1], SIZE[0], 4)}

    def test_show_the_piece_on_clear_ground(self, drawn: dict[str, np.ndarray]) -> None:
        for image in drawn.values():
            opaque = (image[:, :, 3] == 255).mean()
            assert 0.15 < opaque < 0.8
            assert image[0, 0, 3] == 0

    def test_darken_with_depth(self, drawn: dict[str, np.ndarray]) -> None:
        image = drawn["depth-front"]
        column = [row for row in image[:, SIZE[0] // 2] if row[3] == 255]
        lid, flank = column[3], column[-6]
        assert lightness(lid[:3]) < 0.2
        assert lightness(flank[:3]) > 0.5

    def test_tell_shell_pieces_apart(self, drawn: dict[str, np.ndarray]) -> None:
        image = drawn["piece-front"]
        solid = image[image[:, :, 3] == 255][:, :3]
        light = lightness(solid)
        assert (light > 0.45).mean() > 0.1
        assert (light < 0.2).mean() > 0.1

    def test_draw_an_arrow_where_a_piece_is_pulled(self, picture: Picture, drawn: dict[str, np.ndarray]) -> None:
        bare = read(stills(picture, size_px=SIZE)["piece-front"])
        with_arrows = drawn["piece-front"]
        # The right-hand edge of the piece: beyond it nothing is drawn but the arrow of the pull towards x.
        assert not bare[:, -4:, 3].any()
        right = with_arrows[:, int(SIZE[0] * 0.72) :]
        assert lightness(right[right[:, :, 3] == 255][:, :3]).min() < 0.05

    def test_leave_out_a_layer_that_is_not_there(self, picture: Picture) -> None:
        bare = Picture(vertices=picture.vertices, faces=picture.faces, layers={})
        assert set(stills(bare, size_px=SIZE)) == {"plain-front", "plain-back"}


class TestColours:
    @pytest.mark.parametrize("name", RAMPS)
    def test_fall_steadily_in_lightness(self, name: str) -> None:
        light = lightness(ramp_colours(name, np.linspace(0, 1, 50)))
        assert (np.diff(light) < 0).all()
        assert light[0] / light[-1] > 8

    def test_of_neighbouring_shell_pieces_differ_in_grey(self) -> None:
        # Published: WCAG 2.2 asks 3 : 1 of shapes that must be told apart; pieces 1 and 2 keep to it.
        light = lightness(np.array(PIECES))
        assert (light[0] + 0.05) / (light[1] + 0.05) > 3
        assert np.diff(np.sort(light[:4])).min() > 0.06

    def test_begin_at_nothing(self) -> None:
        assert layer_range("depth", np.array([3.0, 12.0])) == (0.0, 12.0)
        assert layer_range("fill", np.zeros(3)) == (0.0, 1.0)
        assert layer_range("slope", np.array([3.0, 12.0])) == (0.0, 180.0)


class TestRaster:
    def test_covers_a_triangle_as_large_as_it_is(self) -> None:
        triangle = np.array([[(10.0, 10.0, 0.0), (90.0, 20.0, 0.0), (40.0, 70.0, 0.0)]])
        found = draw_triangles(triangle, rows=100, columns=100)
        area = 0.5 * abs(80 * 60 - 10 * 30)
        assert (found.face == 0).sum() == pytest.approx(area, rel=0.02)

    def test_shows_the_nearer_of_two(self) -> None:
        flat = np.array([(0.0, 0.0), (50.0, 0.0), (0.0, 50.0)])
        triangles = np.stack([np.column_stack([flat, np.full(3, near)]) for near in (1.0, 5.0, 3.0)])
        found = draw_triangles(triangles, rows=40, columns=40)
        assert found.face[5, 5] == 1
        assert found.near[5, 5] == 5.0
        assert found.face[39, 39] == -1

    def test_gives_shares_that_lead_back_to_the_pixel(self) -> None:
        triangle = np.array([[(2.0, 3.0, 0.0), (37.0, 9.0, 4.0), (11.0, 31.0, 9.0)]])
        found = draw_triangles(triangle, rows=40, columns=40)
        row, column = np.argwhere(found.face == 0)[40]
        assert found.weights[row, column] @ triangle[0, :, :2] == pytest.approx((column + 0.5, row + 0.5), abs=1e-4)
        assert found.near[row, column] == pytest.approx(found.weights[row, column] @ triangle[0, :, 2], abs=1e-4)

    def test_leaves_no_gap_and_no_overlap_between_neighbours(self) -> None:
        square = np.array([(3.2, 4.1), (41.7, 8.3), (36.4, 44.9), (6.6, 39.5)])
        halves = [np.column_stack([square[[0, i, i + 1]], np.zeros(3)]) for i in (1, 2)]
        one, other = (draw_triangles(half[None], rows=50, columns=50).face == 0 for half in halves)
        both = draw_triangles(np.stack(halves), rows=50, columns=50).face >= 0
        assert not (one & other).any()
        assert ((one | other) == both).all()

    def test_clips_what_hangs_over(self) -> None:
        triangle = np.array([[(-100.0, -100.0, 0.0), (300.0, -100.0, 0.0), (-100.0, 300.0, 0.0)]])
        assert (draw_triangles(triangle, rows=20, columns=30).face == 0).all()
