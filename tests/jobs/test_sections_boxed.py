"""A block in section: the piece, rubber out to its box, and the boards."""

import math
from dataclasses import replace

import pytest

from jobs.drawings import coats_drawing
from jobs.geometry.section_places import FRONT, LEANING, LEVEL, SIDE, SectionPlace
from jobs.inputs import takeoff_of
from jobs.models import Job, Plan
from jobs.sections import studied as studied_sections
from jobs.sections.boxed import BOARD_MM
from jobs.sections.studied import StudiedPiece, studied_piece
from jobs.services.plans import compute_so_far, plan_of
from jobs.views.sections import rows
from tests.factories import planned_job
from tests.jobs.studied import HEIGHT_MM, RADIUS_MM, study_of

pytestmark = pytest.mark.django_db
MARGIN = 15.0


@pytest.fixture(autouse=True)
def _own_folder(settings: object, tmp_path: object) -> None:
    settings.MEDIA_ROOT = tmp_path
    studied_sections._open.clear()


@pytest.fixture
def job() -> Job:
    made = planned_job()
    study_of(made)
    Plan.objects.filter(job=made).update(making="block", box_margin_mm=MARGIN)
    return made


def studied(job: Job) -> StudiedPiece:
    plan = plan_of(job)
    found = studied_piece(plan, compute_so_far(plan))
    assert found is not None
    return found


@pytest.mark.parametrize("place", [FRONT, SIDE])
def test_rubber_reaches_from_the_drum_to_the_box_and_the_box_is_open_above(job: Job, place: SectionPlace) -> None:
    layers = studied(job).layers(place)
    assert layers.coats == ()
    wide, high = 2 * RADIUS_MM + 2 * MARGIN, HEIGHT_MM + MARGIN
    assert layers.filled is not None
    assert layers.filled.area_mm2 == pytest.approx(wide * high, rel=2e-3)
    assert layers.fill_mm2 == pytest.approx(wide * high - 2 * RADIUS_MM * HEIGHT_MM, rel=2e-2)
    assert layers.shell_mm2 == pytest.approx(2 * BOARD_MM * high, rel=1e-6)


def test_a_level_section_is_a_square_round_the_drum(job: Job) -> None:
    layers = studied(job).layers(SectionPlace(kind=LEVEL, height_mm=100.0))
    assert layers.filled is not None
    assert layers.filled.area_mm2 == pytest.approx((2 * RADIUS_MM + 2 * MARGIN) ** 2, rel=2e-3)
    assert layers.fill_mm2 == pytest.approx((2 * RADIUS_MM + 2 * MARGIN) ** 2 - math.pi * RADIUS_MM**2, rel=1e-2)


def test_a_leaning_plane_cuts_no_less_than_its_shadow(job: Job) -> None:
    found = studied(job)
    lean = SectionPlace(kind=LEANING, facing_deg=30.0, lift_deg=60.0, middle_mm=HEIGHT_MM / 2)
    layers = found.layers(lean)
    assert layers.filled is not None
    # Calculated: through all four sides, the cut is the level square ÷ cos of the lean.
    assert layers.filled.area_mm2 == pytest.approx((2 * RADIUS_MM + 2 * MARGIN) ** 2 / math.sin(math.radians(60)), rel=2e-3)


def test_beside_the_box_nothing_is_cut(job: Job) -> None:
    layers = studied(job).layers(replace(FRONT, offset_mm=500.0))
    assert not layers.filled
    assert layers.box is None


def test_drawing_and_table_speak_of_a_box(job: Job) -> None:
    plan = plan_of(job)
    made, takeoff = compute_so_far(plan), takeoff_of(job.piece)
    assert takeoff is not None
    svg = str(coats_drawing(plan, takeoff, made).svg)
    for words in ("rubber of the block", "boards of the box"):
        assert words in svg
    assert "shell" not in svg
    found = studied(job)
    assert [row.label for row in rows(found, found.layers(FRONT))] == ["Piece", "Rubber", "Box"]


def test_without_a_study_no_even_band_is_drawn_round_a_block() -> None:
    job = planned_job()
    Plan.objects.filter(job=job).update(making="block")
    plan, takeoff = plan_of(job), takeoff_of(job.piece)
    assert takeoff is not None
    svg = str(coats_drawing(plan, takeoff, compute_so_far(plan)).svg)
    assert "Pour" not in svg
    assert "<svg" in svg
