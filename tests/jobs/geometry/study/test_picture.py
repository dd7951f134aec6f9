"""Light meshes: as few triangles as wanted, and still the same body."""

import igl
import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from jobs.geometry.study.picture import light_mesh, vertex_normals
from tests.jobs.geometry.study.bodies import CUP


@pytest.fixture(scope="module")
def knobbly() -> trimesh.Trimesh:
    ball = trimesh.creation.icosphere(subdivisions=6, radius=100)
    waves = 1 + 0.05 * np.sin(ball.vertices[:, [0]] / 9) * np.cos(ball.vertices[:, [2]] / 11)
    return trimesh.Trimesh(ball.vertices * waves, ball.faces, process=False)


class TestReducing:
    def test_keeps_to_the_limit_and_to_the_surface(self, knobbly: trimesh.Trimesh) -> None:
        vertices, faces = light_mesh(knobbly.vertices, knobbly.faces, most_faces=20_000)
        assert 12_000 < len(faces) <= 20_000
        # Second opinion: libigl measures how far points lie from the mesh.
        squared, _, _ = igl.point_mesh_squared_distance(vertices.astype(float), knobbly.vertices, knobbly.faces)
        assert np.sqrt(squared.max()) < 200 / 500

    def test_keeps_volume_area_and_silhouette(self, knobbly: trimesh.Trimesh) -> None:
        # Second opinion: trimesh measures both.
        vertices, faces = light_mesh(knobbly.vertices, knobbly.faces, most_faces=20_000)
        light = trimesh.Trimesh(vertices, faces)
        assert light.volume == pytest.approx(knobbly.volume, rel=2e-3)
        assert light.area == pytest.approx(knobbly.area, rel=5e-3)
        for way in np.eye(3):
            assert (vertices @ way).max() == pytest.approx((knobbly.vertices @ way).max(), abs=200 / 500)

    def test_leaves_no_part_out(self, knobbly: trimesh.Trimesh) -> None:
        vertices, _ = light_mesh(knobbly.vertices, knobbly.faces, most_faces=20_000)
        away, _ = cKDTree(vertices).query(knobbly.vertices)
        assert away.max() < 200 / 40

    def test_keeps_an_edge_sharp(self) -> None:
        box = trimesh.creation.box((100, 80, 60)).subdivide_to_size(3.0)
        vertices, faces = light_mesh(box.vertices, box.faces, most_faces=4_000)
        assert len(faces) <= 4_000
        # Least squares to the planes of its faces puts a corner's point onto the corner.
        away, _ = cKDTree(vertices).query(trimesh.creation.box((100, 80, 60)).vertices)
        assert away.max() < 0.5

    def test_never_returns_nothing(self) -> None:
        # Far more triangles than wanted, all crowded into one cell of the grid beside one far away.
        dust = trimesh.creation.icosphere(subdivisions=3, radius=1e-6)
        vertices = np.concatenate([dust.vertices, [(1000, 0, 0), (1000, 1e-6, 0), (1000, 0, 1e-6)]])
        faces = np.concatenate([dust.faces, [[len(dust.vertices) + i for i in range(3)]]])
        _, light = light_mesh(vertices, faces, most_faces=600)
        assert 0 < len(light) <= 600


class TestRefining:
    def test_splits_a_cube_evenly_and_keeps_it_closed(self) -> None:
        box = trimesh.creation.box((100, 80, 60))
        vertices, faces = light_mesh(box.vertices, box.faces)
        light = trimesh.Trimesh(vertices, faces, process=True)
        assert 5_000 < len(faces) <= 60_000
        assert light.is_watertight
        assert light.volume == pytest.approx(box.volume, rel=1e-6)
        assert light.edges_unique_length.max() < 3

    def test_keeps_normals_of_both_sides_of_an_edge(self) -> None:
        box = trimesh.creation.box((100, 80, 60))
        vertices, faces = light_mesh(box.vertices, box.faces)
        normals = np.abs(vertex_normals(vertices, faces))
        assert np.sort(normals, axis=1)[:, 2] == pytest.approx(1.0, abs=1e-6)

    def test_smooths_a_cylinder_around_but_not_over_its_rim(self) -> None:
        rod = trimesh.creation.cylinder(50, 120, sections=96)
        vertices, faces = light_mesh(rod.vertices, rod.faces)
        normals = vertex_normals(vertices, faces)
        side = np.abs(normals[:, 2]) < 0.5
        radial = vertices[side, :2] / np.linalg.norm(vertices[side, :2], axis=1)[:, None]
        assert np.abs(normals[side, 2]).max() < 1e-4
        assert np.einsum("ij,ij->i", radial, normals[side, :2]).min() > np.cos(np.radians(360 / 96))
        assert np.abs(normals[~side, 2]).min() > 0.999999

    def test_stays_closed_on_long_thin_triangles(self) -> None:
        cup = trimesh.creation.revolve(CUP, sections=96)
        light = trimesh.Trimesh(*light_mesh(cup.vertices, cup.faces), process=True)
        assert light.is_watertight
        assert light.volume == pytest.approx(cup.volume, rel=1e-6)
