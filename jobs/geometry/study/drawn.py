"""The pictures of a study, added to its workspace: a light mesh with its layers, and stills of them."""

from collections.abc import Sequence
from dataclasses import replace

from jobs.geometry.study.directions import Direction
from jobs.geometry.study.layers import heat_layers
from jobs.geometry.study.picture import light_mesh
from jobs.geometry.study.stills import stills
from jobs.geometry.study.workspace import Picture, Workspace


def with_pictures(workspace: Workspace, *, wall_mm: float, on_board: bool, pulls: Sequence[Direction] = ()) -> Workspace:
    """Return a workspace with its picture and its stills.

    Parameters
    ----------
    workspace : Workspace
        With the filled outside, where one was found.
    wall_mm : float
        Wall of the blanket. [mm]
    on_board : bool
        Whether the piece stands on a board at z = 0.
    pulls : sequence of Direction
        Of shell pieces 1, 2, …, in the order of their numbers; drawn as arrows.
    """
    vertices, faces = light_mesh(workspace.vertices, workspace.faces)
    layers = heat_layers(
        vertices, faces, distance=workspace.distance, wall_mm=wall_mm, on_board=on_board, outside=workspace.outside,
        outside_vertices=workspace.outside_vertices, outside_faces=workspace.outside_faces,
        outside_piece=workspace.outside_piece,
    )  # fmt: skip
    if not layers["piece"].any():
        del layers["piece"], layers["fill"]
    picture = Picture(vertices=vertices, faces=faces, layers=layers)
    return replace(workspace, picture=picture, stills=stills(picture, pulls=pulls))
