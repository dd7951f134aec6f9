"""Who covers what: only who sees it, in regions that hang together."""

import numpy as np
import pytest
import trimesh

from jobs.geometry.study.diffusion import Diffusion
from jobs.geometry.study.face_graph import FaceGraph, face_graph
from jobs.geometry.study.regions import regions_by_plane, regions_by_view

PULLS = np.array([(1.0, 0, 0), (-1.0, 0, 0)])


def ball(subdivisions: int = 5) -> FaceGraph:
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions, radius=60)
    return face_graph(mesh.vertices, mesh.faces)


class TestByView:
    def test_nobody_gets_what_they_do_not_see(self) -> None:
        graph = ball()
        seen = graph.normals @ PULLS.T > -0.3
        # a patch on the first piece's side that only the second sees, and one that nobody sees
        patch = (graph.middles[:, 0] > 40) & (graph.middles[:, 1] > 20)
        seen[patch] = (False, True)
        dark = graph.middles[:, 2] > 55
        seen[dark] = False
        found = regions_by_view(graph, seen, PULLS)
        covered = seen[np.arange(len(seen)), found.piece]
        assert covered[~dark].all()

    def test_an_island_that_others_see_goes_to_them(self) -> None:
        graph = ball()
        seen = graph.normals @ PULLS.T > 0.0
        island = np.linalg.norm(graph.middles - (-60, 0, 0), axis=1) < 15
        seen[island] = True
        found = regions_by_view(graph, seen, PULLS)
        assert found.parts == (1, 1)
        assert (found.piece[island] == 1).all()

    def test_an_island_that_only_its_own_piece_sees_stays_and_is_counted(self) -> None:
        graph = ball()
        seen = graph.normals @ PULLS.T > 0.0
        island = np.linalg.norm(graph.middles - (-60, 0, 0), axis=1) < 15
        seen[island] = (True, False)
        found = regions_by_view(graph, seen, PULLS)
        assert found.parts == (2, 1)
        assert (found.piece[island] == 0).all()

    def test_what_all_see_is_parted_in_the_middle(self) -> None:
        mesh = trimesh.creation.box((120, 60, 60))
        vertices, faces = trimesh.remesh.subdivide_to_size(mesh.vertices, mesh.faces, 3.0)
        whole = trimesh.Trimesh(vertices, faces)
        graph = face_graph(whole.vertices, whole.faces)
        seen = graph.normals @ PULLS.T > -0.1
        found = regions_by_view(graph, seen, PULLS)
        near = np.abs(graph.middles[:, 0]) > 4.0
        assert (found.piece[near] == (graph.middles[near, 0] < 0)).all()

    def test_one_pull_covers_all(self) -> None:
        graph = ball(3)
        found = regions_by_view(graph, np.ones((len(graph.faces), 1), bool), PULLS[:1])
        assert found.parts == (1,)
        assert not found.piece.any()


class TestByPlane:
    def test_the_side_decides_and_on_the_plane_where_it_faces(self) -> None:
        mesh = trimesh.creation.box((60, 60, 60))
        vertices, faces = trimesh.remesh.subdivide_to_size(mesh.vertices, mesh.faces, 6.0)
        whole = trimesh.Trimesh(vertices, faces)
        graph = face_graph(whole.vertices, whole.faces)
        found = regions_by_plane(graph, PULLS, normal=np.array([1.0, 0, 0]), offset_mm=30.0, slack_mm=1.0)
        assert (found.piece[graph.normals[:, 0] > 0.9] == 0).all()
        assert (found.piece[graph.middles[:, 0] < 28] == 1).all()


class TestDiffusion:
    @pytest.mark.parametrize("reach_mm", [5.0, 20.0])
    def test_the_whole_keeps_its_sum_and_a_wave_fades_as_it_must(self, reach_mm: float) -> None:
        graph = ball()
        heat = Diffusion(graph, reach_mm)
        # exact: z is an eigenfunction of the sphere's Laplacian with 2/R², so it fades to 1 / (1 + 2 reach²/R²)
        given = np.stack([graph.middles[:, 2], np.ones(len(graph.areas))], axis=1)
        found = heat.even_out(given)
        assert found[:, 1] == pytest.approx(np.ones(len(graph.areas)), abs=0.02)
        fade = float((found[:, 0] * given[:, 0]).sum() / (given[:, 0] ** 2).sum())
        assert fade == pytest.approx(1 / (1 + 2 * reach_mm**2 / 60**2), rel=0.05)
