"""Shell pieces against exact areas, volumes and lengths, and against independent libraries."""

import math
from typing import Any

import pytest
from scipy.spatial.transform import Rotation

from jobs.geometry.study.brief import PartingPlane
from jobs.geometry.study.divide import Divided
from tests.jobs.geometry.study import pieces_bodies as bodies
from tests.jobs.geometry.study.pieces_bodies import DOWN, EAST, NORTH, SOUTH, THREE, UP, WEST, ball, coated, cup, divided


def filled_in(found: Divided, coat_mm3: float) -> float:
    return found.solid.volume_mm3 - coat_mm3


class TestFill:
    """The solid that is filled, less the coat, is the fill: every answer is exact by integration."""

    @pytest.mark.parametrize("pulls", [(EAST, WEST), (NORTH, SOUTH)])
    def test_cup_from_its_side(self, pulls: Any) -> None:
        # exact: π(Ri−t)²(H−f−t) + π(Ri²t − πRit²/2 + 2t³/3) for 60/45/100, floor 20, t = 8
        coat_of = coated(cup(), 8.0, step_mm=2.0)
        found = divided(coat_of, pulls)
        assert filled_in(found, coat_of.volume_mm3) == pytest.approx(347_414, rel=2e-3)
        assert sum(found.parts) == 2

    def test_cup_along_its_axis(self) -> None:
        coat_of = coated(cup(), 8.0, step_mm=2.0)
        assert filled_in(divided(coat_of, (UP, DOWN)), coat_of.volume_mm3) == pytest.approx(0.0, abs=1e-4 * coat_of.volume_mm3)

    def test_spool(self) -> None:
        # known answer: groove to radius 30 between z 45 and 75, t = 8, along the axis 151 292, from the side 0
        coat_of = coated(bodies.spool(), 8.0, step_mm=2.0)
        assert filled_in(divided(coat_of, (UP, DOWN)), coat_of.volume_mm3) == pytest.approx(151_292, rel=2e-3)
        assert filled_in(divided(coat_of, (EAST, WEST)), coat_of.volume_mm3) == pytest.approx(0.0, abs=20.0)

    def test_two_balls(self) -> None:
        # exact: πρ²c − (4/3)πρ³ with ρ = 38, c = 100, less the balls' facets
        coat_of = coated(bodies.two_balls(), 8.0, step_mm=2.0)
        assert filled_in(divided(coat_of, (UP, DOWN)), coat_of.volume_mm3) == pytest.approx(223_799, rel=3e-3)

    def test_ball_over_a_plane_beside_its_middle(self) -> None:
        # exact: between x = 0 and 30 the far piece must pass a cylinder: π ∫ x² dx
        coat_of = coated(ball(), 10.0, step_mm=2.0)
        found = divided(coat_of, (EAST, WEST), parting=PartingPlane(azimuth_deg=0, offset_mm=30))
        assert filled_in(found, coat_of.volume_mm3) == pytest.approx(math.pi * 30**3 / 3, rel=0.02)


class TestBall:
    def test_area_halves_and_equator(self) -> None:
        found = divided(coated(ball(), 10.0, step_mm=2.0), (UP, DOWN))
        # exact: 4π(R + t)²; half each; 2π(R + t)
        assert found.division.outside_mm2 == pytest.approx(4 * math.pi * 60**2, rel=2e-3)
        for piece in found.division.pieces:
            assert piece.area_mm2 == pytest.approx(2 * math.pi * 60**2, rel=0.02)
            assert piece.reach_mm == pytest.approx(60, abs=2.0)
        (line,) = found.division.partings
        assert line.closed
        assert line.length_mm == pytest.approx(2 * math.pi * 60, rel=0.01)
        assert len(line.points) <= 400

    def test_three_pieces_meet_at_the_poles(self) -> None:
        found = divided(coated(ball(), 10.0, step_mm=2.0), THREE)
        # exact by symmetry: a third each; each line half a great circle
        assert len(found.division.partings) == 3
        for piece, line in zip(found.division.pieces, found.division.partings, strict=True):
            assert piece.area_mm2 == pytest.approx(4 / 3 * math.pi * 60**2, rel=0.03)
            assert line.length_mm == pytest.approx(math.pi * 60, rel=0.02)

    @pytest.mark.parametrize("seed", range(3))
    def test_a_turned_cup_has_the_same_figures(self, seed: int) -> None:
        turn = Rotation.random(random_state=seed).as_matrix()
        mesh = cup()
        straight = divided(coated(mesh, 8.0, step_mm=2.5), (UP, DOWN)).division
        mesh.vertices = mesh.vertices @ turn.T
        way = turn @ (0.0, 0.0, 1.0)
        pulls = tuple(type(UP)(x=float(s * way[0]), y=float(s * way[1]), z=float(s * way[2])) for s in (1, -1))
        turned = divided(coated(mesh, 8.0, step_mm=2.5), pulls).division
        assert turned.outside_mm2 == pytest.approx(straight.outside_mm2, rel=3e-3)
        assert turned.parting_mm == pytest.approx(straight.parting_mm, rel=0.02)
