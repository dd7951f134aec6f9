import json
import re
from dataclasses import replace

import pytest
from django.test import Client as Browser

from jobs.geometry.study.results import ScrapRoom
from jobs.geometry.study.store import study_to_json
from jobs.models import Job, PieceStudy, Plan
from jobs.studies import files, queueing
from studio.figures import Remark
from studio.models import StudioProfile
from tests.factories import JobFactory, planned_job
from tests.jobs.geometry.study.test_packed import unpack
from tests.jobs.shown_drum import studied, study_of_drum
from tests.studio.paper_forms import Page, press

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _unpushed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queueing, "push", lambda study_id: True)


@pytest.fixture
def job() -> Job:
    found = planned_job()
    studied(found)
    return found


def page_of(client: Browser, job: Job, part: str = "shape/") -> str:
    answer = client.get(f"/jobs/{job.number}/piece/{part}")
    assert answer.status_code == 200
    return answer.content.decode()


class TestShapeShow:
    def test_gives_the_script_all_it_draws_with(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job)
        facts = json.loads(re.search(r'<script id="shape-facts" type="application/json">(.*?)</script>', page).group(1))
        assert facts["mesh"] == f"/jobs/{job.number}/piece/shape/mesh/"
        assert [pull["way"] for pull in facts["pulls"]] == [[1, 0, 0], [-1, pytest.approx(0), 0]]
        assert facts["partings"][0][0] == [100, 0, 300]
        assert facts["length"] == {"unit": "mm", "mm": 1.0, "places": 0, "point": "."}
        assert page.count("shape-scene") == 1

    def test_writes_legends_in_the_studio_s_units(self, owner_client: Browser, job: Job) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us")
        page = page_of(owner_client, job)
        assert '"unit": "in", "mm": 25.4, "places": 2' in page
        # The fill reaches 300 / 30 = 10 mm.
        assert "<span>0.394\u00a0in</span>" in page

    def test_shows_stills_without_scripts(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job)
        shown = re.findall(r'<img src="([^"]+)"[^>]* alt="([^"]+)"', page)
        assert len(shown) == 10
        for address, words in shown:
            assert words
            assert owner_client.get(address).content.startswith(b"\x89PNG")

    def test_tells_pieces_positions_and_gauge_blocks(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job)
        assert "to the right" in page
        assert "to the left, fixed" in page
        assert "they come off 1, then 2" in page
        assert "its top" in page
        assert "It is the top." in page

    def test_places_of_gauge_blocks_stand_in_whole_millimetres(self, owner_client: Browser) -> None:
        job = planned_job()
        study = studied(job)
        study.result["gauges"][0][1] = [-0.0643, 12.51, 299.7]
        study.save()
        text = Page(page_of(owner_client, job)).text
        assert "crownits top0 mm13 mm300 mmIt is the top." in text.replace("\u00a0", " ")

    def test_tells_what_to_look_at_and_scrap(self, owner_client: Browser) -> None:
        job = planned_job()
        kept = studied(job)
        assert "Scrap in the fill" not in page_of(owner_client, job)
        found = replace(
            study_of_drum(), remarks=(Remark(key="tape_set_around", text="Set around."),),
            scrap=ScrapRoom(chunk_edge_mm=20, cover_mm=5, room_mm3=2e6, room_bound_mm3=1e5, places=(), laid=7),
        )  # fmt: skip
        kept.result = study_to_json(found)
        kept.save()
        text = Page(page_of(owner_client, job)).text.replace("\u00a0", " ")
        assert "Set around." in text
        assert "Room for them2 L" in text
        assert "Laid one by one7" in text

    def test_leads_to_sections_and_pulls(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job)
        for part in ("piece/sections/", "shell/pulls/"):
            assert f'href="/jobs/{job.number}/{part}"' in page

    def test_offers_no_pull_where_none_can_be_fixed(self, owner_client: Browser, job: Job) -> None:
        assert "Pull a shell piece the way I look" in page_of(owner_client, job)
        Plan.objects.filter(job=job).update(shell_kind=Plan.ShellKind.NONE)
        assert "Pull a shell piece" not in page_of(owner_client, job)

    def test_says_when_the_plan_has_changed_since(self, owner_client: Browser, job: Job) -> None:
        assert "the plan has changed since" not in page_of(owner_client, job)
        Plan.objects.filter(job=job).update(wall_mm=13)
        assert "the plan has changed since" in page_of(owner_client, job)

    def test_offers_to_measure_what_is_not_measured(self, owner_client: Browser) -> None:
        job = JobFactory()
        page = page_of(owner_client, job)
        assert f"/jobs/{job.number}/piece/tape/" in page
        assert "shape-facts" not in page

    def test_waits_for_a_study(self, owner_client: Browser) -> None:
        page = page_of(owner_client, planned_job())
        assert 'id="study-state"' in page
        assert "shape-facts" not in page

    def test_says_when_the_drawings_are_gone(self, owner_client: Browser) -> None:
        job = planned_job()
        files.path_of(studied(job).stored_name).unlink()
        page = page_of(owner_client, job)
        assert "let the shape be studied again" in page
        assert "shape-facts" not in page
        press(owner_client, f"/jobs/{job.number}/piece/shape/", "Study it again", {})
        assert PieceStudy.objects.get(piece=job.piece).state == "queued"


class TestStudyState:
    def at(self, job: Job, query: str = "") -> str:
        return f"/jobs/{job.number}/piece/shape/{query}"

    def test_tells_each_step_while_it_is_busy_and_changes_nothing(self, owner_client: Browser) -> None:
        job = planned_job()
        PieceStudy.objects.update(
            state="working", steps=[{"step": "measured", "triangles": 12, "area_m2": 0.5}, {"step": "positions", "positions": 5}]
        )
        before = list(PieceStudy.objects.values())
        for address, asked in ((self.at(job), "?whole"), (f"/jobs/{job.number}/shell/", ""), (f"/jobs/{job.number}/mold/", "")):
            html = owner_client.get(address).content.decode()
            assert "Distances around it are being measured." in html
            assert f'hx-get="{self.at(job, asked)}"' in html
            assert "Look again" in html
            assert html.count('id="study-state"') == 1
        part = owner_client.get(self.at(job), headers={"HX-Request": "true"})
        assert "HX-Trigger" not in part
        assert part.content.decode().strip().startswith('<div id="study-state"')
        assert list(PieceStudy.objects.values()) == before

    def test_says_when_it_is_done(self, owner_client: Browser, job: Job) -> None:
        part = owner_client.get(self.at(job), headers={"HX-Request": "true"})
        assert part["HX-Trigger"] == "study-done"
        # A page that shows nothing of the shape yet is loaded anew.
        part = owner_client.get(self.at(job, "?whole"), headers={"HX-Request": "true"})
        assert part["HX-Refresh"] == "true"
        assert "HX-Trigger" not in part

    def test_says_why_it_was_refused_and_tries_again(self, owner_client: Browser, job: Job) -> None:
        PieceStudy.objects.update(state="refused", reason="Turn one of them.", stored_name="", figures=None, result=None)
        for page in (self.at(job), f"/jobs/{job.number}/shell/"):
            assert "Turn one of them." in Page(owner_client.get(page).content.decode()).text
        answer = press(owner_client, self.at(job), "Try again", {})
        assert answer["Location"] == self.at(job)
        assert PieceStudy.objects.get().state == "queued"


class TestShapeMesh:
    def test_is_the_packed_picture(self, owner_client: Browser, job: Job) -> None:
        answer = owner_client.get(f"/jobs/{job.number}/piece/shape/mesh/")
        assert answer["Content-Type"] == "application/octet-stream"
        read = unpack(answer.content)
        assert read["vertices"][:, 2].max() == pytest.approx(300, abs=0.01)
        assert set(read["piece"]) == {1, 2}

    def test_is_sent_once(self, owner_client: Browser, job: Job) -> None:
        address = f"/jobs/{job.number}/piece/shape/mesh/"
        first = owner_client.get(address)
        assert first["Cache-Control"] == "private, no-cache"
        again = owner_client.get(address, headers={"If-None-Match": first["ETag"]})
        assert again.status_code == 304
        assert not again.content

    def test_is_another_after_another_study(self, owner_client: Browser, job: Job) -> None:
        address = f"/jobs/{job.number}/piece/shape/mesh/"
        tag = owner_client.get(address)["ETag"]
        Plan.objects.filter(job=job).update(wall_mm=13)
        studied(job)
        assert owner_client.get(address, headers={"If-None-Match": tag}).status_code == 200

    def test_is_for_those_who_see_jobs_alone(self, client: Browser, job: Job) -> None:
        for part in ("", "mesh/", "stills/plain-front.png"):
            assert client.get(f"/jobs/{job.number}/piece/shape/{part}").status_code == 302

    def test_is_not_there_before_a_study(self, owner_client: Browser) -> None:
        number = planned_job().number
        for part in ("mesh/", "stills/plain-front.png"):
            assert owner_client.get(f"/jobs/{number}/piece/shape/{part}").status_code == 404


class TestShapeStill:
    def test_is_a_png_that_is_asked_for_once(self, owner_client: Browser, job: Job) -> None:
        address = f"/jobs/{job.number}/piece/shape/stills/piece-back.png"
        answer = owner_client.get(address)
        assert answer["Content-Type"] == "image/png"
        assert answer.content.startswith(b"\x89PNG")
        assert owner_client.get(address, headers={"If-None-Match": answer["ETag"]}).status_code == 304

    @pytest.mark.parametrize("name", ["plain-below", "..", "vertices"])
    def test_is_none_of_another_name(self, owner_client: Browser, job: Job, name: str) -> None:
        assert owner_client.get(f"/jobs/{job.number}/piece/shape/stills/{name}.png").status_code == 404


class TestPiecePage:
    def test_shows_a_still_with_the_way_to_turn_it(self, owner_client: Browser, job: Job) -> None:
        page = page_of(owner_client, job, "")
        assert f"/jobs/{job.number}/piece/shape/stills/depth-front.png" in page
        assert "Turn it" in page

    def test_shows_none_before_a_study(self, owner_client: Browser) -> None:
        assert "Turn it" not in page_of(owner_client, planned_job(), "")


def test_the_drum_s_study_is_whole() -> None:
    assert study_of_drum().taken in study_of_drum().divisions
