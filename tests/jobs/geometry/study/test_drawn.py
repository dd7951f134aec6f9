"""The pictures of a workspace: made, kept, and read back alone."""

import io

import numpy as np
import pytest
import trimesh

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.directions import direction
from jobs.geometry.study.directions_said import degrees_said, facing_said, pull_said
from jobs.geometry.study.drawn import with_pictures
from jobs.geometry.study.peek import read_picture, read_still
from jobs.geometry.study.workspace import Workspace, load_workspace, save_workspace
from tests.jobs.geometry.study.bodies import CUP, cup_distance, field_of


@pytest.fixture(scope="module")
def workspace() -> Workspace:
    cup = trimesh.creation.revolve(CUP, sections=24)
    bare = Workspace(
        vertices=cup.vertices.astype(np.float32), faces=cup.faces.astype(np.int32),
        distance=field_of(cup_distance, -80, 120, step=10, floor=0.0),
    )  # fmt: skip
    return with_pictures(bare, wall_mm=8.0, on_board=True, pulls=(direction(0, 90),))


def kept(workspace: Workspace) -> io.BytesIO:
    stream = io.BytesIO()
    save_workspace(stream, workspace)
    stream.seek(0)
    return stream


class TestWithPictures:
    def test_leaves_out_what_needs_a_shell(self, workspace: Workspace) -> None:
        assert workspace.picture is not None
        assert set(workspace.picture.layers) == {"depth", "slope"}
        assert set(workspace.stills) == {f"{name}-{view}" for name in ("plain", "depth", "slope") for view in ("front", "back")}

    def test_is_kept_whole(self, workspace: Workspace) -> None:
        back = load_workspace(kept(workspace))
        assert back.stills == workspace.stills
        assert (back.picture.faces == workspace.picture.faces).all()


class TestPeek:
    def test_reads_the_picture_alone(self, workspace: Workspace) -> None:
        picture = read_picture(kept(workspace))
        assert (picture.vertices == workspace.picture.vertices).all()
        assert (picture.layers["depth"] == workspace.picture.layers["depth"]).all()

    def test_reads_one_still(self, workspace: Workspace) -> None:
        assert read_still(kept(workspace), "depth-back") == workspace.stills["depth-back"]
        assert read_still(kept(workspace), "depth-below") is None

    def test_knows_of_no_picture(self, workspace: Workspace) -> None:
        bare = Workspace(vertices=workspace.vertices, faces=workspace.faces, distance=workspace.distance)
        assert read_picture(kept(bare)) is None

    @pytest.mark.parametrize("read", [read_picture, lambda stream: read_still(stream, "plain-front")])
    def test_refuses_a_damaged_file(self, read: object) -> None:
        with pytest.raises(GeometryError, match="studied again"):
            read(io.BytesIO(b"no archive at all"))


class TestDirectionsSaid:
    @pytest.mark.parametrize(
        ("azimuth", "lift", "pull", "facing"),
        [
            (0, 0, "to the right", "its right"),
            (270, 0, "to the front", "its front"),
            (90, 2, "to the back", "its back"),
            (225, 31, "to the front left, 30° up", "its front left, 30° up"),
            (0, 90, "straight up", "its top"),
            (10, -85, "straight down", "its underside"),
            (359, -20, "to the right, 20° down", "its right, 20° down"),
        ],
    )
    def test_name_the_side_and_the_slope(self, azimuth: float, lift: float, pull: str, facing: str) -> None:
        assert pull_said(direction(azimuth, lift)) == pull
        assert facing_said(direction(azimuth, lift)) == facing

    @pytest.mark.parametrize(
        ("azimuth", "lift", "said"), [(0, 0, "0°, 0°"), (359.7, 12.4, "0°, 12°"), (288, -20, "288°, −20°"), (77, 90, "0°, 90°")]
    )
    def test_degrees_as_they_are_typed(self, azimuth: float, lift: float, said: str) -> None:
        assert degrees_said(direction(azimuth, lift)) == said
