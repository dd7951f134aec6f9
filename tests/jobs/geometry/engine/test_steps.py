"""The compiled steps of measuring a mesh beside the plain ones: every number the same."""

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.geometry.engine.steps import COMPILED
from jobs.geometry.mesh_measure import MeshMeasure, measure_welded
from jobs.geometry.mesh_steps import PLAIN

BALL = trimesh.creation.icosphere(subdivisions=3, radius=40)
RING = trimesh.creation.torus(40, 12, major_sections=48, minor_sections=24)
BOX = trimesh.creation.box((60, 50, 40))


def both(vertices: Any, faces: Any, *, stands_on_board: bool) -> tuple[MeshMeasure, MeshMeasure]:
    points, corners = np.array(vertices, dtype=float), np.array(faces, dtype=np.int64)
    compiled, plain = (
        measure_welded(points, corners, stands_on_board=stands_on_board, steps=steps) for steps in (COMPILED, PLAIN)
    )
    return compiled, plain


def assert_same(compiled: MeshMeasure, plain: MeshMeasure) -> None:
    for field in dataclasses.fields(MeshMeasure):
        here, there = getattr(compiled, field.name), getattr(plain, field.name)
        if field.name in {"vertices", "exposed"}:
            assert (here == there).all()
        elif isinstance(there, float):
            assert here == pytest.approx(there, rel=1e-9, abs=1e-7), field.name
        elif field.name == "parts":
            assert dataclasses.astuple(here) == pytest.approx(dataclasses.astuple(there))
        else:
            assert here == there, field.name


class TestCompiledSteps:
    @pytest.mark.parametrize("stands_on_board", [True, False])
    @pytest.mark.parametrize("mesh", [BALL, RING, BOX], ids=["ball", "ring", "box"])
    def test_measure_a_whole_mesh_as_the_plain_ones_do(self, mesh: Any, stands_on_board: bool) -> None:
        assert_same(*both(mesh.vertices, mesh.faces, stands_on_board=stands_on_board))

    @settings(max_examples=25, deadline=None)
    @given(st.integers(0, 2**32 - 1), st.floats(0, 0.45), st.floats(0, 0.2))
    def test_measure_a_hurt_mesh_as_the_plain_ones_do(self, seed: int, flipped: float, missing: float) -> None:
        rng = np.random.default_rng(seed)
        mesh = trimesh.util.concatenate([RING, BALL.copy().apply_translation((90, 0, 0))])
        faces = np.array(mesh.faces)
        turn = rng.random(len(faces)) < flipped
        faces[turn] = faces[turn, ::-1]
        faces = np.vstack([faces[rng.random(len(faces)) >= missing], faces[:3], faces[:2, [0, 0, 1]]])
        assert_same(*both(mesh.vertices, faces, stands_on_board=False))

    @settings(max_examples=15, deadline=None)
    @given(st.integers(0, 2**32 - 1), st.floats(0, 0.3))
    def test_turn_back_what_was_turned(self, seed: int, flipped: float) -> None:
        faces = np.array(RING.faces)
        turn = np.random.default_rng(seed).random(len(faces)) < flipped
        faces[turn] = faces[turn, ::-1]
        measure, _ = both(RING.vertices, faces, stands_on_board=False)
        assert measure.turned_faces == int(turn.sum())
        assert measure.flipped_edges == 0
        # second opinion: trimesh's sums over the mesh before it was hurt
        assert measure.volume_mm3 == pytest.approx(RING.volume)
        assert measure.bend_mm == pytest.approx(RING.integral_mean_curvature)
        assert math.isclose(measure.parts.cube, 0.0, abs_tol=1e-9)
