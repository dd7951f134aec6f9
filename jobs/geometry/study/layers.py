"""The numbers that the turning view and its stills colour a piece by."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.raw_mesh import Doubles, Floats
from jobs.geometry.study.depth_of_hollows import depths
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.picture import vertex_normals
from jobs.geometry.study.ways import NODES, ways_out

Layer = NDArray[np.float32]
LAYER_NAMES = ("depth", "slope", "fill", "piece")


def heat_layers(
    vertices: Floats,
    faces: NDArray[np.integer],
    *,
    distance: DistanceField,
    wall_mm: float,
    on_board: bool,
    outside: DistanceField | None = None,
    outside_vertices: Floats | None = None,
    outside_faces: NDArray[np.integer] | None = None,
    outside_piece: NDArray[np.integer] | None = None,
) -> dict[str, Layer]:
    """Return a number for each vertex of a light mesh in each layer.

    Parameters
    ----------
    vertices, faces : ndarray, (n, 3) and (m, 3)
        As `light_mesh` gives them. [mm]
    distance : DistanceField
        To the piece.
    wall_mm : float
        Wall of the blanket. [mm]
    on_board : bool
        Whether the piece stands on a board at z = 0: no way leads out there.
    outside, outside_vertices, outside_faces, outside_piece
        The filled outside as a workspace keeps it; without it "fill" and "piece" are nought.

    Returns
    -------
    dict of ndarray, shape (n,)
        "depth": way through the air from a tight wrapping (see `depths`) [mm]; "slope": how far the surface leans from facing
        up, 0 to 180 [deg]; "fill": way from the blanket's surface through fill to the filled outside [mm]; "piece": number of
        the shell piece that covers the point, 0 for none.
    """
    points = np.asarray(vertices, dtype=np.float64)
    normals = vertex_normals(points, faces)
    count = len(points)
    layers = {
        "depth": depths(points, normals, distance=distance, on_board=on_board),
        "slope": np.degrees(np.arccos(np.clip(normals[:, 2], -1.0, 1.0))),
        "fill": np.zeros(count),
        "piece": np.zeros(count),
    }
    if outside is not None and outside_vertices is not None and outside_faces is not None and len(outside_faces):
        from scipy.spatial import cKDTree

        coated = points + wall_mm * normals
        if on_board:
            coated[:, 2] = np.maximum(coated[:, 2], 0.0)
        corners = np.asarray(outside_vertices, dtype=np.float64)
        under = _Under(outside=outside, corners=cKDTree(corners))
        layers["fill"] = _fill(coated, normals, distance=distance, under=under, wall_mm=wall_mm, on_board=on_board)
        if outside_piece is not None:
            layers["piece"] = np.asarray(outside_piece)[cKDTree(corners[outside_faces].mean(axis=1)).query(coated)[1]]
    return {name: layer.astype(np.float32) for name, layer in layers.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Under:
    """How deep places lie under the filled outside: its field knows that near by only, its corners deeper down."""

    outside: DistanceField
    corners: Any

    def __call__(self, places: Doubles) -> Doubles:
        read = -self.outside.at(places)
        deep = read > self.outside.step_mm
        if deep.any():
            read[deep] = self.corners.query(places[deep])[0]
        return read


def _fill(
    coated: Doubles, normals: Doubles, *, distance: DistanceField, under: _Under, wall_mm: float, on_board: bool
) -> Doubles:
    """Return the way from the blanket's surface through fill to the filled outside."""
    # Where coats from two sides have met, the place lies inside the rubber: that much is blanket and no fill.
    near = np.maximum(np.minimum(distance.at(coated) - wall_mm, 0.0) + under(coated), 0.0)
    step = float(np.ptp(coated, axis=0).max()) / NODES
    deep = near > 1.5 * step
    if deep.any():
        ways, _ = ways_out(
            coated, normals, under=under, free=lambda places: distance.at(places) > wall_mm,
            floor_mm=0.0 if on_board else -np.inf,
        )  # fmt: skip
        near = np.where(deep & np.isfinite(ways), np.maximum(ways, near), near)
    return near
