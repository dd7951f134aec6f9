"""Still pictures of a piece and its layers: for print, and for those without the turning view."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Bools, Doubles
from jobs.geometry.study.arrows import Image, draw_arrows
from jobs.geometry.study.colours import INK, PLAIN, layer_range, piece_colours, ramp_colours
from jobs.geometry.study.directions import Direction, direction
from jobs.geometry.study.picture import vertex_normals
from jobs.geometry.study.png import png
from jobs.geometry.study.raster import Raster, draw_triangles
from jobs.geometry.study.workspace import Picture

# Where one stands: the front is the side that looks along −y, as on a drawing.
VIEWS: dict[str, Direction] = {"front": direction(300.0, 24.0), "back": direction(120.0, 24.0)}
SHOWN = ("plain", "depth", "slope", "fill", "piece")
# Drawn twice as large and averaged, so that edges are smooth.
_FINER = 2
# Steps of a ramp; eight bits hold no more.
_TONES = 255
# Share of the picture that the piece fills.
_FILLED = 0.92


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """How space lies in a picture: `across` (3, 3) right, up and towards the eye; a point p is at middle ± scale · across p."""

    across: Doubles
    centre: Doubles
    scale: float
    middle: tuple[float, float]

    def pixels(self, points: Doubles) -> Doubles:
        """Return column, row and nearness of points (n, 3)."""
        turned = (points - self.centre) @ self.across.T
        columns, rows = self.middle[0] + self.scale * turned[:, 0], self.middle[1] - self.scale * turned[:, 1]
        return np.stack([columns, rows, turned[:, 2]], axis=1)


def stills(picture: Picture, *, size_px: tuple[int, int] = (640, 480), pulls: Sequence[Direction] = ()) -> dict[str, bytes]:
    """Draw stills of a piece.

    Parameters
    ----------
    picture : Picture
        A light mesh; layers that it lacks are left out.
    size_px : tuple of int
        Columns and rows. [px]
    pulls : sequence of Direction
        Pulls of shell pieces 1, 2, …: drawn as numbered arrows around "piece".

    Returns
    -------
    dict of bytes
        PNG files without ground, by names such as "plain-front" and "depth-back".
    """
    points = picture.vertices.astype(np.float64)
    normals = vertex_normals(points, picture.faces)
    wanted = [name for name in SHOWN if name == "plain" or name in picture.layers]

    def seen_from(view: str) -> dict[str, bytes]:
        sight = sight_of(points, VIEWS[view], size_px)
        raster = draw_triangles(sight.pixels(points)[picture.faces], rows=size_px[1] * _FINER, columns=size_px[0] * _FINER)
        lit = _lit(raster, normals, picture, sight)
        found: dict[str, bytes] = {}
        for name in wanted:
            image = _painted(name, lit, picture)
            finer = _FINER
            if name == "piece" and pulls:
                image, finer = _with_arrows(image, sight, points, pulls), _FINER + 1
            found[f"{name}-{view}"] = png(_averaged(image, finer))
        return found

    # One view on each of two processors: nothing here is a compiled kernel, which must not be called from two threads.
    with ThreadPoolExecutor(len(VIEWS)) as pool:
        return {name: drawn for seen in pool.map(seen_from, VIEWS) for name, drawn in seen.items()}


def sight_of(points: Doubles, towards: Direction, size_px: tuple[int, int]) -> Sight:
    """Look at points from a direction, so that they fill the picture."""
    eye = np.array([towards.x, towards.y, towards.z])
    right = np.cross((0.0, 0.0, 1.0), eye)
    right /= np.linalg.norm(right)
    across = np.stack([right, np.cross(eye, right), eye])
    turned = points @ across.T
    low, high = turned.min(axis=0), turned.max(axis=0)
    extent = np.maximum(high - low, 1e-9)
    columns, rows = size_px[0] * _FINER, size_px[1] * _FINER
    scale = _FILLED * min(columns / extent[0], rows / extent[1])
    return Sight(across=across, centre=(low + high) / 2 @ across, scale=float(scale), middle=(columns / 2, rows / 2))


def _with_arrows(image: Image, sight: Sight, points: Doubles, pulls: Sequence[Direction]) -> Image:
    """Set a picture into a larger one, with room for arrows around it."""
    rows, columns = (side // _FINER for side in image.shape[:2])
    wide = np.zeros((rows * (_FINER + 1), columns * (_FINER + 1), 4), dtype=np.uint8)
    top, left = rows // 2, columns // 2
    wide[top : top + image.shape[0], left : left + image.shape[1]] = image
    draw_arrows(wide, replace(sight, middle=(sight.middle[0] + left, sight.middle[1] + top)), points, pulls)
    return wide


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lit:
    """The k pixels (rows, cols) in which something is `seen`: its corners, their shares (k, 3), and how light it is (k,)."""

    seen: Bools
    corners: NDArray[np.int32]
    weights: NDArray[np.float32]
    light: NDArray[np.float32]


def _lit(raster: Raster, normals: Doubles, picture: Picture, sight: Sight) -> _Lit:
    """Light what is seen from over the left shoulder, and darken it into ink along outlines."""
    seen = raster.face >= 0
    corners, weights = picture.faces[raster.face[seen]], raster.weights[seen]
    turned = (normals @ sight.across.T).astype(np.float32)
    smooth = _mixed(turned, corners, weights)
    smooth /= np.maximum(np.sqrt(np.einsum("ij,ij->i", smooth, smooth)), 1e-9)[:, None]
    smooth[smooth[:, 2] < 0] *= -1  # the inside of a surface that is open
    lamp = np.array([-0.45, 0.62, 0.64], dtype=np.float32)
    light: NDArray[np.float32] = 0.70 + 0.24 * np.clip(smooth @ lamp, -0.4, 1.0) + 0.08 * smooth[:, 2]
    light *= 1 - 0.72 * _outline(raster, sight)[seen]
    return _Lit(seen=seen, corners=corners, weights=weights, light=light)


def _mixed(values: NDArray[np.float32], corners: NDArray[np.int32], weights: NDArray[np.float32]) -> NDArray[np.float32]:
    """Mix the values (n, …) of corners by their shares."""
    shares = weights if values.ndim == 1 else weights[:, :, None]
    found: NDArray[np.float32] = values[corners[:, 0]] * shares[:, 0]
    for i in (1, 2):
        found += values[corners[:, i]] * shares[:, i]
    return found


def _outline(raster: Raster, sight: Sight) -> NDArray[np.float32]:
    """Find where the surface breaks off: nearness jumps by more than a steep surface's would."""
    near = np.where(np.isfinite(raster.near), raster.near, -1e9).astype(np.float32)
    bend = np.zeros_like(near)
    for axis in (0, 1):
        before, after = np.roll(near, 1, axis=axis), np.roll(near, -1, axis=axis)
        bend = np.maximum(bend, 2 * near - before - after)
    outline: NDArray[np.float32] = np.clip(bend * np.float32(sight.scale / 14.0) - np.float32(0.35), 0.0, 1.0)
    return outline


def _painted(name: str, lit: _Lit, picture: Picture) -> Image:
    corners, weights = lit.corners, lit.weights
    colour: NDArray[np.float32]
    if name == "plain":
        colour = np.array([PLAIN], dtype=np.float32)
    elif name == "piece":
        colour = piece_colours(_most_of(np.rint(picture.layers["piece"]).astype(np.int64), corners, weights)).astype(np.float32)
    else:
        low, high = layer_range(name, picture.layers[name])
        shares = np.clip((_mixed(picture.layers[name], corners, weights) - low) * (_TONES / (high - low)), 0, _TONES)
        table = ramp_colours(name, np.linspace(0.0, 1.0, _TONES + 1)).astype(np.float32)
        colour = table[shares.astype(np.int16)]
    shade = lit.light[:, None]
    shown = np.full((len(corners), 4), 255, dtype=np.uint8)
    shown[:, :3] = np.minimum(colour * shade + np.array(INK, dtype=np.float32) * np.maximum(0.0, 0.55 - shade) + 0.5, 255)
    image = np.zeros((*lit.seen.shape, 4), dtype=np.uint8)
    image[lit.seen] = shown
    return image


def _most_of(numbers: NDArray[np.int64], corners: NDArray[np.int32], weights: NDArray[np.float32]) -> NDArray[np.int64]:
    """Return which number holds the most of each pixel, so that borders cross triangles straight."""
    held = numbers[corners]
    shares = weights.copy()
    for i, j in ((0, 1), (1, 2), (2, 0)):
        same = held[:, i] == held[:, j]
        shares[:, i] += np.where(same, weights[:, j], 0)
        shares[:, j] += np.where(same, weights[:, i], 0)
    found: NDArray[np.int64] = held[np.arange(len(held)), shares.argmax(axis=1)]
    return found


def _averaged(image: Image, finer: int) -> Image:
    """Average blocks of pixels; what is not drawn is all nought, so colours need only be divided by how many are drawn."""
    whole = np.zeros((image.shape[0] // finer, image.shape[1] // finer, 4), dtype=np.uint16)
    for i in range(finer):
        for j in range(finer):
            whole += image[i::finer, j::finer]
    drawn = np.maximum(whole[:, :, 3:] // 255, 1)
    whole[:, :, :3] = (whole[:, :, :3] + drawn // 2) // drawn
    whole[:, :, 3] //= finer * finer
    return whole.astype(np.uint8)
