import math
import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from django.test import Client as Browser

from jobs.geometry.study.store import study_to_json
from jobs.geometry.tape_mesh import difference_told
from jobs.models import Job, PieceStudy, Plan
from jobs.sections import studied as studied_sections
from jobs.services.plans import mold_plan, plan_of
from jobs.studies.files import path_of
from studio.models import StudioProfile
from tests.factories import JobFactory, planned_job
from tests.jobs.studied import HEIGHT_MM, RADIUS_MM, drum_workspace, study_of
from tests.jobs.studies.found import study

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_folder(settings: object, tmp_path: object) -> None:
    settings.MEDIA_ROOT = tmp_path
    studied_sections._open.clear()


@pytest.fixture
def job() -> Job:
    found = planned_job()
    study_of(found)
    return found


def page_of(browser: Browser, job: Job, query: str = "", **headers: str) -> str:
    answer = browser.get(f"/jobs/{job.number}/piece/sections/{query}", headers=headers)
    assert answer.status_code == 200
    return answer.content.decode()


def area_in(page: str, layer: str) -> float:
    """The area that the table gives for a layer, in m²."""
    row = re.search(rf'<th scope="row">{layer}</th>.*?Area in this section">(.*?)</td>', page, re.DOTALL)
    assert row is not None
    text = re.sub(r"<[^>]+>", "", row[1]).replace("\u00a0", " ")
    number, unit = text.split()
    return float(number) * {"m²": 1.0, "cm²": 1e-4}[unit]


class TestSectionsShow:
    def test_front_through_the_middle_is_where_it_begins(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job)
        assert "Facing the front, through the middle" in page
        # The drum's rectangle, 2 R H; shown to three digits.
        assert area_in(page, "Piece") == pytest.approx(2 * RADIUS_MM * HEIGHT_MM * 1e-6, rel=0.01)

    def test_every_coat_of_the_plan_has_its_area(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job, "?cut=level&height=150")
        inner = RADIUS_MM
        for coat in mold_plan(job).coats:
            outer = inner + coat.thickness.value
            ring = math.pi * (outer**2 - inner**2) * 1e-6
            assert area_in(page, f"{coat.number}. {coat.role.label}") == pytest.approx(ring, rel=0.02)
            inner = outer

    def test_an_offset_plane_cuts_a_chord(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job, "?cut=upright&facing=270&offset=6+cm")
        chord = 2 * math.sqrt(RADIUS_MM**2 - 60**2)
        assert area_in(page, "Piece") == pytest.approx(chord * HEIGHT_MM * 1e-6, rel=0.01)
        assert "60 mm before the middle" in page.replace("\u00a0", " ")

    @pytest.mark.parametrize(
        ("facing", "lift", "said"), [(270, 60, "facing the front, 60° up"), (0, -50, "facing the right, 50° down")]
    )
    def test_a_leaning_plane_cuts_an_ellipse(self, owner_client: Browser, job: Job, facing: int, lift: int, said: str) -> None:
        # Through the middle of a tall drum a plane that looks `lift` up cuts π a b with a = R / sin(lift), b = R
        # (published: the plane section of a circular cylinder).
        page = page_of(owner_client, job, f"?cut=leaning&facing={facing}&lift={lift}&offset=0")
        assert f"leaning, {said}, through the middle" in page.lower()
        ellipse = math.pi * RADIUS_MM * RADIUS_MM / abs(math.sin(math.radians(lift)))
        assert area_in(page, "Piece") == pytest.approx(ellipse * 1e-6, rel=0.01)
        # As high along the plane as the ellipse's long axis, as wide as the drum.
        wide, high = (2 * RADIUS_MM, 2 * RADIUS_MM / abs(math.sin(math.radians(lift))))
        assert f"{wide:.0f} mm wide and {high:.0f} mm along the plane, which leans" in page.replace("\u00a0", " ")

    def test_a_leaning_plane_shows_the_board_where_it_meets_it(self, owner_client: Browser, job: Job) -> None:
        assert "meets the board below" in page_of(owner_client, job, "?cut=leaning&facing=270&lift=30&offset=0")
        # Nearly level it meets the board far away: drawn there, the mold would be a dot.
        assert "meets the board" not in page_of(owner_client, job, "?cut=leaning&facing=270&lift=85&offset=0")

    def test_fill_scrap_and_shell_are_drawn(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job, "?facing=270")
        for word in ("scrap in the fill", "shell, glass laminate", "board", "coats, tints in turn", "of it scrap"):
            assert word in page

    def test_a_plane_beside_everything_says_so(self, owner_client: Browser, job: Job) -> None:
        assert "passes beside the piece" in page_of(owner_client, job, "?offset=900")

    def test_the_part_alone_comes_without_the_page(self, owner_client: Browser, job: Job) -> None:
        part = page_of(owner_client, job, "?cut=level&height=10", HX_Request="true", HX_Target="section")
        assert part.strip().startswith('<section id="section"')
        assert "<svg" in part
        assert "<form" not in part

    @pytest.mark.parametrize(
        ("query", "words"),
        [
            ("?facing=north", "Facing"), ("?offset=1e9", "Distance from the middle"), ("?cut=level&height=", "Height"),
            ("?cut=bent", "Cut"), ("?cut=leaning&lift=91", "Up"), ("?cut=leaning&lift=", "Up"),
        ],
    )  # fmt: skip
    def test_what_is_no_plane_is_refused_in_words(self, owner_client: Browser, job: Job, query: str, words: str) -> None:
        answer = owner_client.get(f"/jobs/{job.number}/piece/sections/{query}")
        assert answer.status_code == 422
        page = answer.content.decode()
        assert f"<b>{words}" in page
        assert "<svg" not in page.split('id="section"')[1]

    def test_the_other_kind_of_plane_is_not_checked(self, owner_client: Browser, job: Job) -> None:
        assert "Facing the front" in page_of(owner_client, job, "?cut=upright&height=nonsense")

        assert "Facing the front" in page_of(owner_client, job, "?cut=upright&lift=nonsense")
        assert "leaning, facing the front" in page_of(owner_client, job, "?cut=leaning&height=nonsense").lower()

    def test_inches_are_read_and_slid_in(self, owner_client: Browser, job: Job) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us")
        page = page_of(owner_client, job, "?cut=level&height=2")
        assert "level, at 2" in page.lower()
        assert 'step="0.05"' in page

    def test_queries_stay_as_many(self, owner_client: Browser, job: Job, count_queries: Callable[[str], int]) -> None:
        address = f"/jobs/{job.number}/piece/sections/"
        before = count_queries(address)
        for number in range(5):
            study = study_of(job, fingerprint=f"{number}")
            assert study.state == PieceStudy.State.READY
        assert count_queries(address) == before

    def test_the_file_is_read_once(self, owner_client: Browser, job: Job) -> None:
        page_of(owner_client, job)
        (kept,) = studied_sections._open.values()
        page_of(owner_client, job, "?facing=10")
        assert list(studied_sections._open.values()) == [kept]

    def test_no_more_than_two_files_stay_open(self, owner_client: Browser) -> None:
        for _ in range(3):
            another = planned_job()
            study_of(another)
            page_of(owner_client, another)
        assert len(studied_sections._open) == studied_sections.KEPT_OPEN == 2

    def test_those_without_a_right_to_jobs_are_kept_out(self, client: Browser, job: Job) -> None:
        assert client.get(f"/jobs/{job.number}/piece/sections/").status_code in {302, 403}


class TestEarlierStudy:
    def test_says_that_fill_and_shell_are_of_an_earlier_study(self, owner_client: Browser, job: Job) -> None:
        assert "earlier study" not in page_of(owner_client, job)
        Plan.objects.filter(job=job).update(wall_mm=plan_of(job).wall_mm + 2)
        assert "earlier study" in page_of(owner_client, job)

    @pytest.mark.parametrize("stage", ["mold", "coats"])
    def test_the_plan_s_pages_say_so_too(self, owner_client: Browser, job: Job, stage: str) -> None:
        address = f"/jobs/{job.number}/{stage}/"
        assert "earlier study" not in owner_client.get(address).content.decode()
        Plan.objects.filter(job=job).update(wall_mm=plan_of(job).wall_mm + 2)
        assert "earlier study, for a wall of" in owner_client.get(address).content.decode()

    def test_a_shape_that_is_not_as_the_tape_told_says_so(self, owner_client: Browser) -> None:
        job = planned_job()
        study_of(job, figures=study_to_json(study(taken=None), drawn=False))
        assert "than the readings tell" not in page_of(owner_client, job)
        found = replace(study(taken=None), remarks=tuple(difference_told(0.81, 0.73)))
        study_of(job, figures=study_to_json(found, drawn=False))
        assert "19 % less surface and 27 % less volume than the readings tell" in page_of(owner_client, job)

    def test_holes_of_a_scan_are_told(self, owner_client: Browser) -> None:
        job = planned_job()
        whole = drum_workspace()
        middles = whole.vertices[whole.faces].mean(axis=1)
        study_of(job, drum_workspace(), of=PieceStudy.Of.SCAN)
        holed = PieceStudy.objects.get(piece=job.piece)
        path_of(holed.stored_name).unlink()
        broken = type(whole)(vertices=whole.vertices, faces=whole.faces[middles[:, 2] < HEIGHT_MM - 1], distance=whole.distance)
        study_of(job, broken, of=PieceStudy.Of.SCAN)
        assert np.count_nonzero(middles[:, 2] >= HEIGHT_MM - 1) > 0
        assert "The scan has holes here" in page_of(owner_client, job)


class TestNoStudy:
    def test_not_measured(self, owner_client: Browser) -> None:
        job = JobFactory()
        page = page_of(owner_client, job)
        assert "will stand here" in page
        assert f'href="/jobs/{job.number}/piece/"' in page

    def test_being_studied_looks_again_by_itself(self, owner_client: Browser) -> None:
        job = planned_job()
        study_of(job, state=PieceStudy.State.WORKING)
        page = page_of(owner_client, job)
        assert "being studied" in page
        assert 'hx-trigger="every 2s"' in page

    def test_refused_says_why(self, owner_client: Browser) -> None:
        job = planned_job()
        study_of(job, state=PieceStudy.State.REFUSED, reason="The wall is thicker than the piece.")
        assert "The wall is thicker than the piece." in page_of(owner_client, job)

    def test_a_lost_file_is_no_server_fault(self, owner_client: Browser, job: Job) -> None:
        path_of(PieceStudy.objects.get(piece=job.piece).stored_name).unlink()
        assert "<svg" not in page_of(owner_client, job)


class TestElsewhere:
    @pytest.mark.parametrize("stage", ["mold", "coats"])
    def test_the_plan_s_pages_show_the_studied_section(self, owner_client: Browser, stage: str) -> None:
        job = planned_job()
        before = owner_client.get(f"/jobs/{job.number}/{stage}/").content.decode()
        assert "Section through the piece with its coats" in before
        assert "scrap in the fill" not in before
        study_of(job)
        page = owner_client.get(f"/jobs/{job.number}/{stage}/").content.decode()
        assert "Section through the piece with its coats" in page
        assert "scrap in the fill" in page

    def test_the_piece_leads_to_its_sections(self, owner_client: Browser, job: Job) -> None:
        page = owner_client.get(f"/jobs/{job.number}/piece/").content.decode()
        assert f'href="/jobs/{job.number}/piece/sections/"' in page
