"""Measures of whole and of damaged scans against independent libraries."""

from typing import Any

import numpy as np
import pytest
import trimesh

from jobs.geometry.engine.steps import COMPILED
from jobs.geometry.engine.tree import build_tree
from jobs.geometry.engine.volumes import Surface, blanket_volumes
from jobs.geometry.mesh_measure import measure_welded


def wavy_ball() -> Any:
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=60)
    x, y, z = (np.array(mesh.vertices) / 60).T
    mesh.vertices *= (1 + 0.08 * np.sin(6 * x) * np.sin(6 * y) * np.sin(6 * z))[:, None]
    return mesh


BODY = wavy_ball()


def measured(vertices: Any, faces: Any) -> Any:
    points, corners = np.array(vertices, dtype=float), np.array(faces, dtype=np.int64)
    return measure_welded(points, corners, stands_on_board=False, steps=COMPILED)


def damaged(faces: Any, rng: Any) -> Any:
    """Turn one face in nine over, leave out one in a hundred, and repeat one in fifty."""
    hurt = np.array(faces)
    hurt[::9] = hurt[::9, ::-1]
    kept = hurt[rng.random(len(hurt)) > 0.01]
    return np.vstack([kept, kept[::50]])


class TestScans:
    def test_area_volume_and_bend_are_those_of_trimesh(self) -> None:
        # second opinion: trimesh
        found = measured(BODY.vertices, BODY.faces)
        assert found.area_mm2 == pytest.approx(BODY.area)
        assert found.volume_mm3 == pytest.approx(BODY.volume)
        assert found.bend_mm == pytest.approx(BODY.integral_mean_curvature)

    def test_one_face_in_nine_turned_changes_nothing(self) -> None:
        faces = np.array(BODY.faces)
        faces[::9] = faces[::9, ::-1]
        found = measured(BODY.vertices, faces)
        # second opinion: trimesh's sums over the mesh before it was hurt
        assert found.volume_mm3 == pytest.approx(BODY.volume)
        assert found.bend_mm == pytest.approx(BODY.integral_mean_curvature)
        assert found.turned_faces == len(faces[::9])

    def test_a_dirty_scan_keeps_its_blanket(self) -> None:
        rng = np.random.default_rng(5)
        found = measured(BODY.vertices + rng.normal(0, 0.02, BODY.vertices.shape), damaged(BODY.faces, rng))
        (whole,) = blanket_volumes(
            Surface(vertices=BODY.vertices, faces=np.array(BODY.faces), volume_mm3=BODY.volume), (8.0,), on_board=False
        )
        (hurt,) = blanket_volumes(Surface(vertices=found.vertices, faces=found.exposed), (8.0,), on_board=False)
        assert hurt.volume_mm3 == pytest.approx(whole.volume_mm3, rel=5e-3)

    def test_sides_are_those_of_libigl_in_a_dirty_scan(self) -> None:
        # second opinion: libigl's winding number of the whole body
        import igl

        rng = np.random.default_rng(6)
        found = measured(BODY.vertices, damaged(BODY.faces, rng))
        points = rng.uniform(-75, 75, (3_000, 3))
        middle = found.vertices.mean(axis=0) - BODY.vertices.mean(axis=0)
        distance, _ = build_tree(found.vertices, found.exposed).distances(points + middle, signed=True)
        turns = igl.fast_winding_number(np.array(BODY.vertices), np.array(BODY.faces), points)
        clear = np.abs(distance) > 3.0
        assert ((distance < 0) == (turns > 0.5))[clear].all()
        assert clear.sum() > 2_000

    def test_blanket_of_a_ring_is_the_level_surface_of_manifold(self) -> None:
        # second opinion: manifold3d's level set of the exact distance to a round ring
        import manifold3d

        mesh = trimesh.creation.torus(40, 12, major_sections=256, minor_sections=96)
        surface = Surface(vertices=np.array(mesh.vertices), faces=np.array(mesh.faces), volume_mm3=mesh.volume)
        (found,) = blanket_volumes(surface, (6.0,), on_board=False)
        body = manifold3d.Manifold.level_set(
            lambda x, y, z: 18 - ((((x * x + y * y) ** 0.5 - 40) ** 2 + z * z) ** 0.5), [-60, -60, -20, 60, 60, 20], 2.5
        )
        assert found.volume_mm3 + mesh.volume == pytest.approx(body.volume(), rel=1e-2)
