"""The volume of a blanket by other libraries: points (n, 3), faces (m, 3), wall and cell in mm in, mm³ out."""

from collections.abc import Callable
from typing import Any

import numpy as np
import trimesh
from scipy.interpolate import RegularGridInterpolator
from scipy.ndimage import distance_transform_edt


def trimesh_voxels(points: Any, faces: Any, wall: float, cell: float) -> float:
    """Fill voxels, then count those within the wall of a filled one."""
    mesh = trimesh.Trimesh(points, faces, process=False)
    solid = np.pad(mesh.voxelized(cell).fill().matrix, int(wall / cell) + 2)
    return float((distance_transform_edt(~solid) * cell <= wall).sum() * cell**3 - mesh.volume)


def libigl_field(points: Any, faces: Any, wall: float, cell: float) -> float:
    """Signed distances by fast winding number on a grid, cells cut in proportion."""
    distance, _ = _libigl_grid(points, faces, wall, cell)
    return float(np.clip(0.5 - (distance - wall) / cell, 0, 1).sum() * cell**3 - volume_of(points, faces))


def manifold_level_set(points: Any, faces: Any, wall: float, cell: float) -> float:
    """The level surface that manifold3d finds in libigl's distances."""
    import manifold3d

    distance, axes = _libigl_grid(points, faces, wall, cell)
    between = RegularGridInterpolator(axes, wall - distance, bounds_error=False, fill_value=-wall)
    grid = [float(axis[k]) for k in (0, -1) for axis in axes]
    body = manifold3d.Manifold.level_set(lambda x, y, z: float(between((x, y, z))), grid, cell)
    return float(body.volume() - volume_of(points, faces))


def embree_columns(points: Any, faces: Any, wall: float, cell: float) -> float:
    """Rays of Embree along z tell what is inside; a distance transform, corrected by half a cell, what is within the wall."""
    from trimesh.ray.ray_pyembree import RayMeshIntersector

    mesh = trimesh.Trimesh(points, faces, process=False)
    axes = _axes(points, wall, cell)
    x, y = (grid.reshape(-1) for grid in np.meshgrid(axes[0], axes[1], indexing="ij"))
    starts = np.stack([x, y, np.full(len(x), axes[2][0])], axis=1)
    rays = RayMeshIntersector(mesh)
    places, ray, _ = rays.intersects_location(starts, np.tile([0.0, 0.0, 1.0], (len(x), 1)), multiple_hits=True)
    hits = np.zeros((len(x), len(axes[2]) + 1), np.int32)
    np.add.at(hits, (ray, np.searchsorted(axes[2], places[:, 2])), 1)
    solid = (np.cumsum(hits, axis=1)[:, :-1] % 2 == 1).reshape(len(axes[0]), len(axes[1]), -1)
    outside = distance_transform_edt(~solid) * cell - cell / 2
    kept = np.where(solid, 1.0, np.clip(0.5 - (outside - wall) / cell, 0, 1))
    return float(kept.sum() * cell**3 - mesh.volume)


PEERS: dict[str, Callable[[Any, Any, float, float], float]] = {
    "trimesh voxels + distance transform": trimesh_voxels,
    "libigl signed distances on a grid": libigl_field,
    "manifold3d level set of libigl's": manifold_level_set,
    "embreex columns + distance transform": embree_columns,
}


def _axes(points: Any, wall: float, cell: float) -> list[Any]:
    low, high = points.min(axis=0) - wall - 2 * cell, points.max(axis=0) + wall + 2 * cell
    return [np.arange(a, b, cell) for a, b in zip(low, high, strict=True)]


def _libigl_grid(points: Any, faces: Any, wall: float, cell: float) -> tuple[Any, list[Any]]:
    import igl

    axes = _axes(points, wall, cell)
    places = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    signs = igl.SIGNED_DISTANCE_TYPE_FAST_WINDING_NUMBER
    distance = igl.signed_distance(places.reshape(-1, 3), points, faces, sign_type=signs)[0]
    return distance.reshape(places.shape[:3]), axes


def volume_of(points: Any, faces: Any) -> float:
    """Return what the mesh encloses, by trimesh. [mm³]"""
    return float(trimesh.Trimesh(points, faces, process=False).volume)
