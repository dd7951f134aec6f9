"""The mesh made of tape readings holds what the readings tell; closedness and volume are read by trimesh."""

import math
from itertools import pairwise

import numpy as np
import pytest
import trimesh
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jobs.geometry.errors import GeometryError
from jobs.geometry.extras import Solid
from jobs.geometry.solids import SolidKind
from jobs.geometry.stack import Girth
from jobs.geometry.tape import TapeBrief, takeoff_from_tape
from jobs.geometry.tape_mesh import TapeMesh, mesh_from_tape, tape_mesh

WITHIN = 0.015
VASE = tuple(
    Girth(girth_mm=girth, along_mm=along)
    for girth, along in ((500, 100), (620, 110), (700, 100), (660, 140), (400, 0))
)  # fmt: skip
# Each kind at a size that finds room on the vase's side; where one has no flat face, what it touches by.
ON_THE_SIDE = [
    Solid(kind=SolidKind.SPHERE, dimensions_mm=(60.0,), count=3, contact_area_mm2=900.0),
    Solid(kind=SolidKind.HEMISPHERE, dimensions_mm=(50.0,), count=4),
    Solid(kind=SolidKind.BOX, dimensions_mm=(60.0, 40.0, 30.0), count=4),
    Solid(kind=SolidKind.CYLINDER, dimensions_mm=(40.0, 120.0), count=2),
    Solid(kind=SolidKind.CONE, dimensions_mm=(30.0, 50.0), count=8),
    Solid(kind=SolidKind.FRUSTUM, dimensions_mm=(30.0, 50.0, 30.0), count=5),
    Solid(kind=SolidKind.TORUS, dimensions_mm=(60.0, 15.0), count=2, contact_area_mm2=200.0),
    Solid(kind=SolidKind.ELLIPSOID, dimensions_mm=(60.0, 40.0, 50.0), count=2, contact_area_mm2=500.0),
    Solid(kind=SolidKind.CYLINDER, dimensions_mm=(30.0, 40.0), count=3, taken_away=True),
    Solid(kind=SolidKind.SPHERE, dimensions_mm=(60.0,), count=2, contact_area_mm2=1200.0, taken_away=True),
    Solid(kind=SolidKind.CYLINDER, dimensions_mm=(30.0, 200.0), count=2, taken_away=True, through=True),
    Solid(kind=SolidKind.BOX, dimensions_mm=(30.0, 20.0, 180.0), taken_away=True, through=True),
]


def read(made: TapeMesh) -> trimesh.Trimesh:
    mesh = trimesh.Trimesh(made.vertices, made.faces, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert made.vertices.dtype == np.float64
    assert made.faces.dtype == np.int64
    assert mesh.bounds[0][2] == pytest.approx(0.0, abs=1e-9)
    return mesh


def exposed_mm2(mesh: trimesh.Trimesh, *, on_board: bool) -> float:
    at_the_foot = (np.abs(mesh.triangles[:, :, 2]) < 1e-6).all(axis=1)
    return float(mesh.area - (mesh.area_faces[at_the_foot].sum() if on_board else 0.0))


def assert_as_told(brief: TapeBrief, *, at_most: float = WITHIN) -> TapeMesh:
    """Hold area and volume within `at_most` of the readings, and that more than the usual share is said in a remark."""
    made, takeoff = tape_mesh(brief), takeoff_from_tape(brief)
    mesh = read(made)
    area = exposed_mm2(mesh, on_board=brief.stands_on_board)
    off = max(abs(area / (takeoff.area.value * 1e6) - 1), abs(float(mesh.volume) / (takeoff.volume.value * 1e9) - 1))
    assert off <= at_most
    assert ("tape_mesh_differs" in {remark.key for remark in made.remarks}) is (off > WITHIN)
    return made


@st.composite
def stacks(draw: st.DrawFn) -> tuple[Girth, ...]:
    girths = draw(st.lists(st.floats(60, 2000), min_size=2, max_size=8))
    if draw(st.booleans()):
        girths.append(0.0)
    heights = draw(st.lists(st.floats(20, 400), min_size=len(girths), max_size=len(girths)))
    steps = [abs(b - a) / (2 * math.pi) for a, b in pairwise(girths)]
    along = [math.hypot(step, height) for step, height in zip(steps, heights, strict=False)]
    return tuple(Girth(girth_mm=girth, along_mm=way) for girth, way in zip(girths, [*along, 0.0], strict=True))


@settings(max_examples=60, deadline=None)
@given(girths=stacks(), on_board=st.booleans())
def test_a_stack_of_girths_keeps_its_area_and_volume(girths: tuple[Girth, ...], on_board: bool) -> None:
    made = assert_as_told(TapeBrief(girths=girths, stands_on_board=on_board))
    assert made.remarks == ()


@settings(max_examples=12, deadline=None)
@example(
    girths=(Girth(girth_mm=199.0, along_mm=23.373228043630082), Girth(girth_mm=275.0, along_mm=0.0)),
    kind=SolidKind.CYLINDER,
    size=0.25,
    count=1,
    taken_away=False,
    on_board=True,
)
@given(
    girths=stacks(), kind=st.sampled_from([SolidKind.CYLINDER, SolidKind.BOX, SolidKind.CONE, SolidKind.HEMISPHERE]),
    size=st.floats(0.1, 0.3), count=st.integers(1, 4), taken_away=st.booleans(), on_board=st.booleans(),
)  # fmt: skip
def test_solids_and_hollows_smaller_than_the_body_keep_area_and_volume(
    girths: tuple[Girth, ...], kind: SolidKind, size: float, count: int, taken_away: bool, on_board: bool
) -> None:
    narrow = min(girth.girth_mm for girth in girths if girth.girth_mm) / math.pi
    number = {SolidKind.BOX: 3, SolidKind.HEMISPHERE: 1}.get(kind, 2)
    solid = Solid(kind=kind, dimensions_mm=(size * narrow,) * number, count=count, taken_away=taken_away)
    brief = TapeBrief(girths=girths, solids=(solid,), stands_on_board=on_board)
    # On a body hardly taller than the solid is wide, edges cut into what is set on its side.
    made = assert_as_told(brief, at_most=2 * WITHIN)
    assert [remark.key for remark in made.remarks if remark.key != "tape_mesh_differs"] == ["tape_set_around"]


@pytest.mark.parametrize("solid", ON_THE_SIDE, ids=lambda s: f"{s.kind.name}{'-taken' if s.taken_away else ''}{s.through:d}")
def test_every_kind_of_solid_and_hollow_on_a_vase(solid: Solid) -> None:
    made = assert_as_told(TapeBrief(girths=VASE, solids=(solid,)))
    assert trimesh.Trimesh(made.vertices, made.faces, process=False).body_count == 1


@pytest.mark.parametrize(
    ("kind", "lengths"),
    [
        (SolidKind.SPHERE, (200.0,)), (SolidKind.HEMISPHERE, (200.0,)), (SolidKind.BOX, (200.0, 150.0, 100.0)),
        (SolidKind.CYLINDER, (150.0, 200.0)), (SolidKind.CONE, (150.0, 200.0)), (SolidKind.FRUSTUM, (150.0, 90.0, 200.0)),
        (SolidKind.TORUS, (200.0, 60.0)), (SolidKind.ELLIPSOID, (200.0, 150.0, 120.0)),
    ],
)  # fmt: skip
def test_a_solid_alone_is_a_body(kind: SolidKind, lengths: tuple[float, ...]) -> None:
    on_board = kind not in {SolidKind.TORUS, SolidKind.ELLIPSOID}
    assert_as_told(TapeBrief(solids=(Solid(kind=kind, dimensions_mm=lengths),), stands_on_board=on_board))


def test_solids_on_a_box_sit_on_its_sides() -> None:
    body = Solid(kind=SolidKind.BOX, dimensions_mm=(200.0, 150.0, 100.0))
    knobs = Solid(kind=SolidKind.CYLINDER, dimensions_mm=(30.0, 20.0), count=2)
    made = assert_as_told(TapeBrief(solids=(body, knobs)))
    assert made.vertices[:, 0].max() == pytest.approx(120.0, abs=0.5)


def test_a_part_touches_by_the_contact_that_was_measured() -> None:
    # The surface that both lose is twice the contact: what remains of both, against the two alone (trimesh).
    contact = 1500.0
    ball = Solid(kind=SolidKind.SPHERE, dimensions_mm=(80.0,), contact_area_mm2=contact)
    alone, both = (read(tape_mesh(TapeBrief(girths=VASE, solids=solids))) for solids in ((), (ball,)))
    assert (alone.area + 4 * math.pi * 40**2 - both.area) / 2 == pytest.approx(contact, rel=0.05)


def test_hundreds_of_small_solids_are_set_in_rows() -> None:
    made = assert_as_told(
        TapeBrief(girths=VASE, solids=(Solid(kind=SolidKind.SPHERE, dimensions_mm=(6.0,), count=200, contact_area_mm2=8.0),))
    )
    assert trimesh.Trimesh(made.vertices, made.faces, process=False).body_count == 1


def test_solids_that_run_into_each_other_are_remarked() -> None:
    brief = TapeBrief(girths=VASE, solids=(Solid(kind=SolidKind.CYLINDER, dimensions_mm=(150.0, 100.0), count=6),))
    made = tape_mesh(brief)
    mesh = read(made)
    assert float(mesh.volume) * 1e-9 < takeoff_from_tape(brief).volume.value * (1 - WITHIN)
    assert "run into each other" in {remark.key: remark.text for remark in made.remarks}["tape_mesh_differs"]


def test_a_tape_that_bulges_between_girths_is_remarked() -> None:
    girths = (Girth(girth_mm=600, along_mm=130, height_mm=100), Girth(girth_mm=600))
    made = tape_mesh(TapeBrief(girths=girths))
    read(made)
    assert "tape_straightened" in {remark.key for remark in made.remarks}


def test_hollows_that_eat_the_body_leave_it_alone_with_a_word() -> None:
    # The readings hold (area and volume stay above nought), but no place for such a hole is left in the body.
    pole = (Girth(girth_mm=100, along_mm=400), Girth(girth_mm=100))
    hole = Solid(kind=SolidKind.CYLINDER, dimensions_mm=(60.0, 100.0), taken_away=True, through=True)
    made = tape_mesh(TapeBrief(girths=pole, solids=(hole,)))
    read(made)
    assert made.remarks


def test_a_flat_body_with_a_block_on_it() -> None:
    disc = (Girth(girth_mm=600, along_mm=30, height_mm=0), Girth(girth_mm=500))
    brief = TapeBrief(girths=disc, solids=(Solid(kind=SolidKind.BOX, dimensions_mm=(100.0, 100.0, 100.0)),))
    made = tape_mesh(brief)
    assert float(trimesh.Trimesh(made.vertices, made.faces, process=False).volume) == pytest.approx(1e6)
    said = {remark.key: remark.text for remark in made.remarks}
    assert "side by side" in said["tape_side_by_side"]
    # The disc's ring is missing: that, and no running into each other, is why the surface is less.
    assert "flat body" in said["tape_mesh_differs"]
    assert "run into" not in said["tape_mesh_differs"]


def test_a_part_as_tall_as_the_piece_ends_at_the_board() -> None:
    # A disc of 300 mm on the side of a piece 100 mm high would reach below the board; the piece stays on it.
    low = (Girth(girth_mm=900, along_mm=100), Girth(girth_mm=900))
    made = tape_mesh(TapeBrief(girths=low, solids=(Solid(kind=SolidKind.CYLINDER, dimensions_mm=(300.0, 40.0)),)))
    read(made)
    foot = made.vertices[np.abs(made.vertices[:, 2]) < 1e-9]
    assert float(np.hypot(*foot[:, :2].T).max()) >= 900 / (2 * math.pi)
    assert float(made.vertices[:, 2].max()) > 100


def test_what_the_takeoff_refuses_is_refused() -> None:
    with pytest.raises(GeometryError, match="at least two girths"):
        mesh_from_tape(TapeBrief())
