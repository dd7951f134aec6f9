"""The arrays of a study, kept in one file: what sections, pictures and the turning view are drawn from."""

from dataclasses import dataclass, field
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.field import DistanceField

# The arrays of a field, behind its name.
_FIELD_PARTS = ("values", "origin", "grid")
_UNREADABLE = "The drawings of this piece cannot be read; let the shape be studied again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A mesh light enough to be shown, with a number for each vertex in each layer.

    `layers` holds, by name, (n,) float32: "depth" below a tight wrapping [mm], "slope" from the level [deg], "fill" between
    the coated surface and the filled outside [mm]; "piece" (n,) is the number of the shell piece that covers it, 0 for none.
    """

    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    layers: dict[str, NDArray[np.float32]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Workspace:
    """What a study leaves behind beside its figures; all in the piece's frame, mm.

    Attributes
    ----------
    vertices, faces : ndarray, (n, 3) float32 and (m, 3) int32
        The piece's exposed surface.
    distance : DistanceField
        To the piece.
    outside : DistanceField, optional
        To the filled outside of the division that was taken.
    outside_vertices, outside_faces, outside_piece : ndarray, (k, 3) float32, (l, 3) int32, (l,) uint8
        The filled outside itself and the number of the shell piece that covers each of its triangles; empty without one.
    chunks : ndarray, (c, 3) float32
        Middles of the chunks in the fill.
    picture : Picture, optional
        What the turning view shows.
    stills : dict of bytes
        PNG pictures by name.
    """

    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    distance: DistanceField
    outside: DistanceField | None = None
    outside_vertices: NDArray[np.float32] = field(default_factory=lambda: np.empty((0, 3), np.float32))
    outside_faces: NDArray[np.int32] = field(default_factory=lambda: np.empty((0, 3), np.int32))
    outside_piece: NDArray[np.uint8] = field(default_factory=lambda: np.empty(0, np.uint8))
    chunks: NDArray[np.float32] = field(default_factory=lambda: np.empty((0, 3), np.float32))
    picture: Picture | None = None
    stills: dict[str, bytes] = field(default_factory=dict)


def save_workspace(stream: BinaryIO, workspace: Workspace) -> None:
    """Write a workspace as one archive of arrays."""
    arrays: dict[str, NDArray[np.generic]] = {
        "vertices": workspace.vertices, "faces": workspace.faces, "chunks": workspace.chunks,
        "outside_vertices": workspace.outside_vertices, "outside_faces": workspace.outside_faces,
        "outside_piece": workspace.outside_piece,
        **_field_arrays("distance", workspace.distance),
    }  # fmt: skip
    if workspace.outside is not None:
        arrays.update(_field_arrays("outside", workspace.outside))
    if workspace.picture is not None:
        arrays.update(picture_vertices=workspace.picture.vertices, picture_faces=workspace.picture.faces)
        arrays.update({f"layer_{name}": layer for name, layer in workspace.picture.layers.items()})
    arrays.update({f"still_{name}": np.frombuffer(data, dtype=np.uint8) for name, data in workspace.stills.items()})
    np.savez(stream, **arrays)  # type: ignore[arg-type]


def load_workspace(stream: BinaryIO, *, parts: frozenset[str] | None = None) -> Workspace:
    """Read a workspace, or of its optional parts only the named ones: "outside", "outside_mesh", "picture", "stills".

    Raises
    ------
    GeometryError
        When the file is damaged.
    """
    wanted = parts if parts is not None else frozenset({"outside", "outside_mesh", "picture", "stills"})
    try:
        with np.load(stream, allow_pickle=False) as data:
            names = set(data.files)
            optional: dict[str, object] = {}
            if "outside" in wanted and "outside_values" in names:
                optional["outside"] = _field(data, "outside")
            if "outside_mesh" in wanted:
                optional.update({name: data[name] for name in ("outside_vertices", "outside_faces", "outside_piece")})
            if "picture" in wanted and "picture_vertices" in names:
                layers = {name.removeprefix("layer_"): data[name] for name in names if name.startswith("layer_")}
                optional["picture"] = Picture(vertices=data["picture_vertices"], faces=data["picture_faces"], layers=layers)
            if "stills" in wanted:
                optional["stills"] = {
                    name.removeprefix("still_"): data[name].tobytes() for name in sorted(names) if name.startswith("still_")
                }
            return Workspace(
                vertices=data["vertices"], faces=data["faces"], chunks=data["chunks"], distance=_field(data, "distance"),
                **optional,  # type: ignore[arg-type]
            )  # fmt: skip
    except (KeyError, ValueError, OSError, EOFError) as error:
        raise GeometryError(_UNREADABLE) from error


def _field_arrays(name: str, kept: DistanceField) -> dict[str, NDArray[np.generic]]:
    grid = np.array([kept.step_mm, kept.low_mm, kept.high_mm])
    return dict(zip((f"{name}_{part}" for part in _FIELD_PARTS), (kept.values, kept.origin, grid), strict=True))


def _field(data: "np.lib.npyio.NpzFile", name: str) -> DistanceField:
    values, origin, grid = (data[f"{name}_{part}"] for part in _FIELD_PARTS)
    return DistanceField(values=values, origin=origin, step_mm=float(grid[0]), low_mm=float(grid[1]), high_mm=float(grid[2]))
