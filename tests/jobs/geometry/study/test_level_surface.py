"""Level surfaces: closed, outward, and as large as Steiner's formula says."""

import math
from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.engine.tree import build_tree
from jobs.geometry.errors import GeometryError
from jobs.geometry.study.field import DistanceField
from jobs.geometry.study.field_build import build_field
from jobs.geometry.study.fill import coat, enclosed_mm3
from jobs.geometry.study.level_surface import level_surface
from jobs.geometry.study.level_table import level_table


def field_of(mesh: Any, *, high: float, step: float | None = None, on_board: bool = False, low: float = 0.0) -> DistanceField:
    tree = build_tree(np.array(mesh.vertices), np.array(mesh.faces))
    return build_field(tree, low_mm=low, high_mm=high, on_board=on_board, step_mm=step)


def as_mesh(vertices: Any, faces: Any) -> Any:
    return trimesh.Trimesh(vertices, faces, process=False)


def standing_box() -> Any:
    mesh = trimesh.creation.box((40.0, 30.0, 20.0))
    mesh.apply_translation((0, 0, 10.0))
    return mesh


class TestLevelTable:
    def test_every_edge_of_a_loop_meets_the_neighbour(self) -> None:
        # Any field at all must give a surface whose every edge has two triangles: noise meets all 256 cases.
        values = np.random.default_rng(3).normal(size=(24, 23, 22)).astype(np.float32)
        values[[0, -1]] = values[:, [0, -1]] = values[:, :, [0, -1]] = 5.0
        field = DistanceField(values=values, origin=np.zeros(3), step_mm=1.0, low_mm=-9.0, high_mm=9.0)
        vertices, faces = level_surface(field, 0.0)
        mesh = as_mesh(vertices, faces)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert len(np.unique(faces)) == len(vertices)
        assert mesh.area_faces.min() > 0
        below = np.count_nonzero(values < 0)
        assert 0.3 * below < enclosed_mm3(vertices, faces) < below

    def test_a_case_and_its_opposite(self) -> None:
        sizes, _ = level_table()
        assert sizes[0] == sizes[255] == 0
        assert sizes.max() <= 5


class TestLevelSurface:
    @pytest.mark.parametrize("step", [2.0, 1.0])
    def test_box_against_steiner(self, step: float) -> None:
        # published: Steiner 1840; V + S t + π (a + b + c) t² + 4π t³ / 3, and its derivative
        mesh, t = trimesh.creation.box((40.0, 30.0, 20.0)), 8.0
        vertices, faces = level_surface(field_of(mesh, high=10.0, step=step), t)
        found = as_mesh(vertices, faces)
        volume = 24_000 + 5_200 * t + math.pi * 90 * t**2 + 4 / 3 * math.pi * t**3
        area = 5_200 + 2 * math.pi * 90 * t + 4 * math.pi * t**2
        assert found.is_watertight
        assert found.is_winding_consistent
        assert found.area_faces.min() > 0
        assert found.volume == pytest.approx(volume, rel=5e-3 * (step / 2) ** 2)
        assert found.area == pytest.approx(area, rel=5e-3 * (step / 2) ** 2)
        assert enclosed_mm3(vertices, faces) == pytest.approx(found.volume, rel=1e-6)

    def test_on_a_board_it_is_open_at_the_board_alone(self) -> None:
        # exact: abt + 2(a+b)ct + (π/2)t²(a+b) + πt²c + (2/3)πt³, and the box
        field = field_of(standing_box(), high=10.0, step=1.0, on_board=True)
        coated = coat(field, 8.0, on_board=True)
        t, a, b, c = 8.0, 40.0, 30.0, 20.0
        wall = a * b * t + 2 * (a + b) * c * t + math.pi / 2 * t**2 * (a + b) + math.pi * t**2 * c + 2 / 3 * math.pi * t**3
        assert coated.volume_mm3 == pytest.approx(wall + a * b * c, rel=1.2e-3)
        mesh = as_mesh(coated.vertices, coated.faces)
        edges = mesh.edges_sorted
        _, first, count = np.unique(edges, axis=0, return_index=True, return_counts=True)
        rim = edges[first[count == 1]]
        assert set(count) == {1, 2}
        assert np.all(coated.vertices[rim, 2] == 0.0)
        assert coated.vertices[:, 2].min() == 0.0

    def test_second_opinion_of_another_library(self) -> None:
        import manifold3d

        mesh = trimesh.creation.torus(major_radius=30, minor_radius=10)
        vertices, faces = level_surface(field_of(mesh, high=8.0, step=1.0), 6.0)

        def nearness(x: float, y: float, z: float) -> float:
            return 16.0 - math.hypot(math.hypot(x, y) - 30.0, z)

        other = manifold3d.Manifold.level_set(nearness, [-50, -50, -20, 50, 50, 20], 2.0)
        assert enclosed_mm3(vertices, faces) == pytest.approx(other.volume(), rel=1e-2)
        assert enclosed_mm3(vertices, faces) == pytest.approx(2 * math.pi**2 * 30 * 16**2, rel=1e-2)

    def test_a_level_out_of_the_band_is_refused(self) -> None:
        field = field_of(standing_box(), high=10.0)
        with pytest.raises(GeometryError, match="0 to 10 mm"):
            level_surface(field, 11.0)
        with pytest.raises(GeometryError, match="begin at the board"):
            coat(field, 8.0, on_board=True)
