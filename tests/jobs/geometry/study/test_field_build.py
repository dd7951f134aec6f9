"""Grids of distances: exact in the band, right in sign and never nearer beyond it."""

from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.field_build import build_field


def tree_of(mesh: Any) -> Any:
    return build_tree(np.array(mesh.vertices), np.array(mesh.faces))


def nodes_of(field: Any) -> Any:
    axes = [np.arange(count) * field.step_mm for count in field.values.shape]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3) + field.origin


class TestBuildField:
    @pytest.mark.parametrize(("low", "high"), [(0.0, 6.0), (-4.0, 9.0), (-30.0, 3.0)])
    def test_ball(self, low: float, high: float) -> None:
        tree = tree_of(trimesh.creation.icosphere(subdivisions=5, radius=20))
        field = build_field(tree, low_mm=low, high_mm=high, on_board=False, step_mm=1.1)
        # exact: |p| − R; facets of the ball lie within 5e-4 R of it
        truth = np.linalg.norm(nodes_of(field), axis=1) - 20.0
        values = field.values.reshape(-1)
        within = (truth >= low) & (truth <= high)
        assert np.abs(values - truth)[within].max() < 0.01
        assert np.all((values > 0) == (truth > 0), where=np.abs(truth) > 0.02)
        assert np.all(np.abs(values) >= np.abs(truth) - 0.02)
        assert np.abs(truth[~within]).max() > 8.0

    def test_same_as_the_tree_says(self) -> None:
        mesh = trimesh.creation.torus(major_radius=20, minor_radius=6)
        tree = tree_of(mesh)
        field = build_field(tree, low_mm=-10.0, high_mm=30.0, on_board=False, step_mm=3.0)
        exact, _ = tree.distances(nodes_of(field), signed=True)
        within = exact <= 30.0
        assert field.values.reshape(-1)[within] == pytest.approx(exact[within], abs=1e-4)

    def test_first_layer_lies_on_the_board(self) -> None:
        mesh = trimesh.creation.box((30.0, 20.0, 10.0))
        mesh.apply_translation((0, 0, 5.0))
        exposed = mesh.faces[~(mesh.vertices[mesh.faces][:, :, 2] < 1e-9).all(axis=1)]
        tree = build_tree(np.array(mesh.vertices), exposed)
        field = build_field(tree, low_mm=-20.0, high_mm=5.0, on_board=True)
        assert field.origin[2] == 0.0
        # on the board, in the piece's middle, the nearest surface is its top or its long side, both 10 mm away
        assert field.at(np.array([(0.0, 0.0, 0.0)]))[0] == pytest.approx(-10.0, abs=field.step_mm)
        assert field.at(np.array([(18.0, 0.0, 0.0)]))[0] == pytest.approx(3.0, abs=1e-3)

    def test_nodes_are_as_many_as_afforded(self) -> None:
        tree = tree_of(trimesh.creation.box((300.0, 20.0, 10.0)))
        field = build_field(tree, low_mm=0.0, high_mm=5.0, on_board=False, most_nodes=30_000)
        assert 20_000 < field.values.size <= 30_000
        with pytest.raises(GeometryError, match="too fine"):
            build_field(tree, low_mm=0.0, high_mm=5.0, on_board=False, step_mm=0.5, most_nodes=30_000)

    def test_a_hole_does_not_flood_the_piece(self) -> None:
        mesh = trimesh.creation.icosphere(subdivisions=4, radius=20)
        middles = mesh.triangles_center
        tree = build_tree(np.array(mesh.vertices), mesh.faces[middles[:, 2] < 19.7])
        field = build_field(tree, low_mm=-30.0, high_mm=5.0, on_board=False, step_mm=1.0)
        inside = np.linalg.norm(nodes_of(field), axis=1) < 16.0
        assert field.values.reshape(-1)[inside].max() < 0

    @pytest.mark.parametrize("how", [{"low_mm": 5.0, "high_mm": 1.0}, {"low_mm": 0.0, "high_mm": float("nan")},
                                     {"low_mm": 0.0, "high_mm": 5.0, "step_mm": 0.0}])  # fmt: skip
    def test_what_is_no_band_is_refused(self, how: Any) -> None:
        with pytest.raises(GeometryError, match="above 0 mm"):
            build_field(tree_of(trimesh.creation.box()), on_board=False, **how)
