"""Measured walls: between the rungs, through the store, in the figures, and what happens without them."""

import itertools
import math
from dataclasses import replace
from pathlib import Path

import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from jobs.geometry import mesh_child, walls_try
from jobs.geometry.coats import casting_volume, coat_volume, outer_area
from jobs.geometry.engine.ladder import measured_walls
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_measure import MeshMeasure, measure_mesh
from jobs.geometry.mesh_takeoff import takeoff_from_mesh
from jobs.geometry.raw_mesh import RawMesh
from jobs.geometry.takeoff import takeoff_from_json, takeoff_to_json
from jobs.geometry.walls import MeasuredWalls, Rung, growing, wall_between
from tests.jobs.geometry.builders import binary_stl, box_mesh

BRIEF = MeshBrief(stands_on_board=False)
RADIUS = 50.0


def ball_rung(t: float) -> Rung:
    return Rung(
        thickness_mm=t, volume_mm3=4 / 3 * math.pi * ((RADIUS + t) ** 3 - RADIUS**3), bound_mm3=0.0,
        area_mm2=4 * math.pi * (RADIUS + t) ** 2,
    )  # fmt: skip


def box_raw() -> RawMesh:
    vertices, faces = box_mesh()
    return RawMesh(vertices=vertices, faces=faces)


LADDER = tuple(ball_rung(t) for t in (1.0, 2.0, 4.0, 8.0, 16.0, 40.0))
AREA = 4 * math.pi * RADIUS**2


class TestWallBetween:
    @given(st.floats(0, 40))
    def test_is_exact_for_a_ball_whose_walls_are_cubic(self, t: float) -> None:
        # exact: 4/3 π ((R+t)³ − R³), and its derivative
        found = wall_between(LADDER, t, area_mm2=AREA)
        assert found is not None
        assert found.volume_mm3 == pytest.approx(ball_rung(t).volume_mm3, rel=1e-9, abs=1e-6)
        assert found.area_mm2 == pytest.approx(ball_rung(t).area_mm2, rel=1e-9)

    @given(st.lists(st.floats(0.01, 1e3), min_size=6, max_size=6), st.lists(st.floats(0, 1e4), min_size=6, max_size=6))
    def test_never_falls_whatever_the_slopes(self, rises: list[float], slopes: list[float]) -> None:
        total, ladder = 0.0, []
        for number, (rise, slope) in enumerate(zip(rises, slopes, strict=True)):
            total += rise
            ladder.append(Rung(thickness_mm=number + 1.0, volume_mm3=total, bound_mm3=0.0, area_mm2=slope))
        read = [wall_between(ladder, step / 20, area_mm2=100.0) for step in range(121)]
        volumes = [rung.volume_mm3 for rung in read if rung is not None]
        assert len(volumes) == 121
        assert all(later >= earlier - 1e-9 for earlier, later in itertools.pairwise(volumes))

    def test_is_the_rung_itself_where_there_is_one(self) -> None:
        found = wall_between(LADDER, 8.0, area_mm2=AREA)
        assert found is not None
        assert (found.volume_mm3, found.bound_mm3) == (LADDER[3].volume_mm3, 0.0)

    def test_is_nothing_beyond_the_last_rung(self) -> None:
        assert wall_between(LADDER, 40.1, area_mm2=AREA) is None


class TestMeasuredWalls:
    def test_refuse_rungs_out_of_order(self) -> None:
        with pytest.raises(GeometryError, match="out of order"):
            MeasuredWalls(blanket=LADDER[::-1])

    def test_refuse_what_is_no_number(self) -> None:
        with pytest.raises(GeometryError, match="not a number"):
            MeasuredWalls(blanket=(replace(LADDER[0], volume_mm3=math.nan),))

    def test_growing_leaves_out_a_rung_that_falls_back(self) -> None:
        low = replace(LADDER[2], volume_mm3=LADDER[1].volume_mm3 - 1)
        assert growing((*LADDER[:2], low, *LADDER[3:])) == (*LADDER[:2], *LADDER[3:])


class TestTakeoffWithWalls:
    def test_box_follows_the_exact_formulas(self) -> None:
        # exact: Steiner outside, abc − (a−2w)(b−2w)(c−2w) inside
        takeoff = takeoff_from_mesh(box_raw(), BRIEF, walls_of=measured_walls)
        assert takeoff.walls is not None
        assert [remark.key for remark in takeoff.remarks] == []
        for t in (0.7, 2.0, 7.0, 10.0, 33.0):
            truth = 37_600 * t + math.pi * 240 * t**2 + 4 / 3 * math.pi * t**3
            coat = coat_volume(takeoff, t)
            # A coat thinner than the cells is known less well, and says so by its bound.
            assert coat.value * 1e9 == pytest.approx(truth, rel=1e-3 if t >= 2 else 3e-3)
            assert coat.low is not None
            assert coat.high is not None
            assert coat.low < truth * 1e-9 < coat.high
            area = 37_600 + 2 * math.pi * 240 * t + 4 * math.pi * t**2
            assert outer_area(takeoff, t).value * 1e6 == pytest.approx(area, rel=5e-3)
        for w in (2.0, 5.0, 7.0):
            truth = 480_000 - (100 - 2 * w) * (80 - 2 * w) * (60 - 2 * w)
            assert casting_volume(takeoff, w).value * 1e9 == pytest.approx(truth, rel=3e-3)
        assert "measured" in coat_volume(takeoff, 10.0).formula
        with pytest.raises(GeometryError, match="no hollow"):
            casting_volume(takeoff, 45.0)

    def test_cleft_takes_less_than_the_polynomial_says(self) -> None:
        # common sense: what both coats of a cleft claim is laid once
        first, second = trimesh.creation.box((40, 50, 30)), trimesh.creation.box((40, 50, 30))
        second.apply_translation((46, 0, 0))
        both = trimesh.util.concatenate([first, second])
        measured = takeoff_from_mesh(RawMesh(vertices=both.vertices, faces=both.faces), BRIEF, walls_of=measured_walls)
        formula = replace(measured, walls=None)
        assert coat_volume(measured, 2.0).value == pytest.approx(coat_volume(formula, 2.0).value, rel=5e-3)
        assert coat_volume(measured, 8.0).value < 0.93 * coat_volume(formula, 8.0).value

    def test_walls_survive_the_store(self) -> None:
        takeoff = takeoff_from_mesh(box_raw(), BRIEF, walls_of=measured_walls)
        assert takeoff_from_json(takeoff_to_json(takeoff)) == takeoff

    def test_an_older_stored_takeoff_still_loads(self) -> None:
        stored = takeoff_to_json(takeoff_from_mesh(box_raw(), BRIEF))
        del stored["walls"]
        assert takeoff_from_json(stored).walls is None

    def test_area_arrives_with_a_remark_when_walls_cannot_be_measured(self, monkeypatch: pytest.MonkeyPatch) -> None:
        from jobs.geometry.engine import ladder

        def breaks(*_: object) -> None:
            raise MemoryError

        monkeypatch.setattr(ladder, "measured_walls", breaks)

        def walls_of(measure: MeshMeasure) -> MeasuredWalls | None:
            return walls_try.walls_if_possible(measure, processor_s=math.inf)

        takeoff = takeoff_from_mesh(box_raw(), BRIEF, walls_of=walls_of)
        assert takeoff.area.value == pytest.approx(0.0376)
        assert [remark.key for remark in takeoff.remarks] == ["walls_by_formula"]

    def test_little_time_gives_wider_bounds_and_what_is_told_stays_true(self) -> None:
        ball = trimesh.creation.icosphere(subdivisions=4, radius=50)
        measure = measure_mesh(ball.vertices, ball.faces, stands_on_board=False)
        whole = walls_try.walls_if_possible(measure, processor_s=math.inf)
        hasty = walls_try.walls_if_possible(measure, processor_s=0.0)
        assert whole is not None
        rungs = {rung.thickness_mm: rung for rung in whole.blanket}
        short = hasty.blanket if hasty else ()
        widest = max((rung.bound_mm3 / rung.volume_mm3 for rung in short), default=math.inf)
        assert widest > 3 * max(rung.bound_mm3 / rung.volume_mm3 for rung in whole.blanket)
        for rung in short:
            assert abs(rung.volume_mm3 - rungs[rung.thickness_mm].volume_mm3) <= 2 * rung.bound_mm3


class TestMeasureInChild:
    def test_brings_walls_from_the_limited_process(self, tmp_path: Path) -> None:
        path = tmp_path / "piece.stl"
        path.write_bytes(binary_stl(*box_mesh()))
        takeoff = mesh_child.measure_in_child(path, BRIEF)
        assert takeoff.walls is not None
        assert coat_volume(takeoff, 10.0).value * 1e9 == pytest.approx(455_587.0, rel=1e-3)

    def test_goes_without_walls_where_no_kernel_can_be_kept(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        path = tmp_path / "piece.stl"
        path.write_bytes(binary_stl(*box_mesh()))
        (tmp_path / "file").write_text("in the way")
        monkeypatch.setattr(mesh_child, "_kernel_base", lambda: tmp_path / "file" / "kernels")
        takeoff = mesh_child.measure_in_child(path, BRIEF)
        assert takeoff.walls is None
        assert takeoff.area.value == pytest.approx(0.0376)
        assert [remark.key for remark in takeoff.remarks] == ["walls_by_formula"]
