"""Place copies of meshes and join them into one."""

from collections.abc import Sequence

import numpy as np

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_limits import MAX_FACES, MAX_VERTICES
from jobs.geometry.raw_mesh import Doubles, Floats, Ints


def refuse_too_many(faces: int, points: int) -> None:
    """Refuse a file whose parts, each counted as often as it stands there, are too many; asked before any is placed."""
    if faces > MAX_FACES or points > MAX_VERTICES:
        raise GeometryError(
            f"With every part counted as often as it stands there, the mesh has {faces:,} triangles and {points:,} points; "
            f"up to {MAX_FACES:,} and {MAX_VERTICES:,} can be read. Reduce it in the scanning program."
        )


def placed(points: Floats, faces: Ints, matrix: Doubles) -> tuple[Floats, Ints]:
    """Move a mesh by a 4×4 matrix (columns); a mirrored one has its faces turned, so that they look outward still.

    Notes
    -----
    Sums are written out: a matrix product may round one point in two ways, and seams would open.
    """
    if np.array_equal(matrix, np.eye(4)):
        return points, faces
    x, y, z = (points[:, axis].astype(np.float64) for axis in range(3))
    with np.errstate(over="ignore", invalid="ignore"):
        moved = np.stack([row[0] * x + row[1] * y + row[2] * z + row[3] for row in matrix[:3]], axis=1)
        mirrored = np.linalg.det(matrix[:3, :3]) < 0
    return moved, (faces[:, ::-1] if mirrored else faces)


def joined(parts: Sequence[tuple[Floats, Ints]]) -> tuple[Floats, Ints]:
    """Join meshes into one, their points one after another."""
    if not parts:
        return np.empty((0, 3)), np.empty((0, 3), dtype=np.int64)
    starts = np.cumsum([0, *(len(points) for points, _ in parts)])
    faces = [corners + start for (_, corners), start in zip(parts, starts, strict=False)]
    return np.concatenate([points for points, _ in parts]), np.concatenate(faces)
