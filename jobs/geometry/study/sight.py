"""What can be seen of a coated piece from its pulls, in the form that kernels read."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.engine.kernel_pieces import FRAME, seen_points
from jobs.geometry.errors import GeometryError
from jobs.geometry.raw_mesh import Bools, Doubles, Floats
from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.depth_map import DepthMap
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.fill import CoatedSurface

# A point this share of a step above the surface must be free: less than that is roughness; next what an edge cut off may take.
_ABOVE = (0.25, 0.6, 1.0)
# Pixels laid round each map, so that what is looked for about a pixel is there.
_RIM = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sight:
    """Depth maps laid end to end, and the distances that sharpen them.

    A point leaves along a pull when the least distance to the piece on its way is the wall or more: that is exact to the
    field's own rounding, where pixels say it to their size only; they spare looking where they are sure.

    Attributes
    ----------
    pictures : ndarray, shape (3, n), float32
        For all pixels, map after map, row after row: the least height in the nine about it, the greatest in the nine, and
        the greatest in the forty-nine. [mm]
    frames : ndarray, shape (k, 15)
        Where and how each map lies (see `kernel_pieces`).
    plane : ndarray, shape (5,)
        Normal and offset of a parting plane, and 1; 0 for no plane. The first pull's piece lies on the side of the normal.
    field : DistanceField
        To the piece.
    wall_mm : float
        Of the coat.
    """

    pictures: NDArray[np.float32]
    frames: Doubles
    plane: Doubles
    field: DistanceField
    wall_mm: float

    @property
    def pulls(self) -> Doubles:
        """The pulls as unit vectors (k, 3)."""
        pulls: Doubles = self.frames[:, 12:15]
        return pulls

    @property
    def around(self) -> tuple[Any, ...]:
        """What kernels take of the field: values, wall, end of the band, first node, step."""
        return self.field.values, self.wall_mm, self.field.high_mm, self.field.origin, self.field.step_mm

    def seen(self, points: Floats, normals: Floats) -> Bools:
        """Say which pulls (n, k) free a point just above each of points (n, 3) along its outward normal.

        Where none does, it is asked a little higher: a triangle that cuts off a sharp edge of the fill lies inside it.
        """
        points, normals = np.ascontiguousarray(points, np.float64), np.ascontiguousarray(normals, np.float64)
        found = np.empty((len(points), len(self.frames)), np.bool_)
        seen_points(points, normals, _ABOVE[0] * self.field.step_mm, *self.around, self.pictures, self.frames, found)
        for share in _ABOVE[1:]:
            dark = np.flatnonzero(~found.any(axis=1))
            if len(dark):
                again = np.empty((len(dark), len(self.frames)), np.bool_)
                away = share * self.field.step_mm
                seen_points(points[dark], normals[dark], away, *self.around, self.pictures, self.frames, again)
                found[dark] = again
        return found


def sight_of(coated: CoatedSurface, maps: Sequence[DepthMap], parting: PartingPlane | None) -> Sight:
    """Lay depth maps end to end.

    Raises
    ------
    GeometryError
        Without a map; for a parting plane with other than two.
    """
    if not maps:
        raise GeometryError("A shell needs at least one pull.")
    frames, start = np.zeros((len(maps), FRAME)), 0
    pictures = []
    for row, depth in zip(frames, maps, strict=True):
        pull = (depth.pull.x, depth.pull.y, depth.pull.z)
        around = _pictures(depth.highest)
        row[:6] = (start, *around.shape[1:], *(depth.corner - _RIM * depth.pixel_mm), 1 / depth.pixel_mm)
        row[6:] = np.concatenate([depth.across.reshape(-1), pull])
        pictures.append(around.reshape(3, -1))
        start += pictures[-1].shape[1]
    return Sight(
        pictures=np.concatenate(pictures, axis=1), frames=frames, plane=_plane(len(maps), parting), field=coated.field,
        wall_mm=coated.wall_mm,
    )  # fmt: skip


def _pictures(highest: NDArray[np.float32]) -> NDArray[np.float32]:
    rimmed = np.pad(highest, _RIM, constant_values=-np.inf)
    least, greatest = _over_nine(rimmed, np.minimum), _over_nine(rimmed, np.maximum)
    return np.stack([least, greatest, _over_nine(_over_nine(greatest, np.maximum), np.maximum)])


def _over_nine(picture: NDArray[np.float32], take: np.ufunc) -> NDArray[np.float32]:
    """Take the least or greatest of each pixel and the eight about it; the rim stays as it is."""
    found = picture.copy()
    found[1:-1] = take(take(picture[:-2], picture[1:-1]), picture[2:])
    rows = found.copy()
    found[:, 1:-1] = take(take(rows[:, :-2], rows[:, 1:-1]), rows[:, 2:])
    return found


def _plane(count: int, parting: PartingPlane | None) -> Doubles:
    if parting is None:
        return np.zeros(5)
    if count != 2:
        raise GeometryError("A parting can be fixed for a shell of two pieces; set two pieces or release the parting.")
    around = np.radians(parting.azimuth_deg)
    normal = np.array([np.cos(around), np.sin(around), 0.0])
    return np.array([*normal, parting.offset_mm, 1.0])
