import re
from typing import Any

import pytest
from django.apps import apps
from django.test import Client as Browser

from jobs.geometry.study.store import study_to_json
from jobs.models import Job, Piece, PieceStudy, Plan
from jobs.services.plans import plan_of
from jobs.studies import queueing
from jobs.studies.asking import ask_study
from studio.access import Role
from tests.factories import planned_job
from tests.jobs.studies.found import division, have_studied, study
from tests.studio.paper_forms import Page, press

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _unpushed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queueing, "push", lambda study_id: True)


@pytest.fixture
def job() -> Job:
    made = planned_job()
    have_studied(made, study(taken=division(2)), steps=[])
    return made


def at(job: Job, page: str = "shell/pulls/") -> str:
    return f"/jobs/{job.number}/{page}"


def rows() -> dict[str, list[Any]]:
    return {
        model._meta.label: list(model._base_manager.order_by("pk").values())
        for model in apps.get_models()
        if model._meta.app_label in {"jobs", "costing", "materials"}
    }


class TestWays:
    @pytest.mark.parametrize("page", ["shell/", "shell/pulls/"])
    def test_are_told_with_the_taken_one_marked(self, owner_client: Browser, job: Job, page: str) -> None:
        text = Page(owner_client.get(at(job, page)).content.decode()).text
        assert "2 pieces, the way of least fill" in text
        assert "4 pieces, the next best way" in text
        assert text.count("Take this way: ") == 5
        assert "to the right (0°, 0°):" in text

    def test_is_taken_and_can_be_undone(self, owner_client: Browser, job: Job) -> None:
        page = owner_client.get(at(job, "shell/"))
        answer = press(owner_client, at(job, "shell/"), "Take this way: 3 pieces, the next best way", {}, page=page)
        assert answer.status_code == 302
        plan = plan_of(job)
        assert (plan.shell_pieces, plan.division_rank) == (3, 1)
        assert PieceStudy.objects.filter(state="queued", brief__pieces=3, brief__rank=1).exists()
        press(owner_client, at(job, "shell/"), "Undo the last change", {})
        plan = plan_of(job)
        assert (plan.shell_pieces, plan.division_rank) == (2, 0)

    @pytest.mark.parametrize("way", ["", "9-0", "3-10", "x", "3-1\n"])
    def test_refuses_what_is_none(self, owner_client: Browser, job: Job, way: str) -> None:
        answer = owner_client.post(at(job), {"action": "take", "way": way, "revision": "1"}, follow=True)
        assert "not one of those found" in answer.content.decode()
        assert plan_of(job).shell_pieces == 2


class TestFixedPulls:
    def test_are_kept_and_released(self, owner_client: Browser, job: Job) -> None:
        typed = {"around_1": "-30", "lift_1": "12,5".replace(",", "."), "parting_around": "60", "parting_offset": "-2 cm"}
        assert press(owner_client, at(job), "Keep these", typed).status_code == 302
        plan = plan_of(job)
        assert plan.pinned_pulls == [{"azimuth_deg": 330.0, "lift_deg": 12.5}]
        assert plan.parting == {"azimuth_deg": 60.0, "offset_mm": -20.0}
        asked = PieceStudy.objects.get(state="queued")
        assert len(asked.brief["pulls"]) == 1
        assert asked.brief["parting"] == [60.0, -20.0]
        assert press(owner_client, at(job), "Release all", {}).status_code == 302
        plan = plan_of(job)
        assert (plan.pinned_pulls, plan.parting) == ([], None)

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"around_1": "30"}, "wants both angles"),
            ({"around_1": "30", "lift_1": "-10"}, "between 0° and 90°"),
            ({"around_1": "30", "lift_1": "5", "around_2": "390", "lift_2": "5"}, "must lie between"),
            ({"around_1": "30", "lift_1": "5", "around_2": "-330", "lift_2": "5"}, "Two pulls are the same"),
            ({"parting_offset": "3"}, "which way the parting is crossed"),
            ({"around_1": "north", "lift_1": "1"}, ""),
        ],
    )
    def test_keep_what_was_typed_when_refused(self, owner_client: Browser, job: Job, typed: dict, sentence: str) -> None:
        answer = press(owner_client, at(job), "Keep these", typed)
        assert answer.status_code == 422
        html = answer.content.decode()
        assert sentence in Page(html).text
        for value in typed.values():
            assert f'value="{value}"' in html
        assert plan_of(job).pinned_pulls == []

    def test_are_refused_when_somebody_else_kept_the_plan(self, owner_client: Browser, job: Job) -> None:
        page = owner_client.get(at(job))
        Plan.objects.filter(job=job).update(revision=7)
        answer = press(owner_client, at(job), "Keep these", {"around_1": "30", "lift_1": "0"}, page=page)
        assert answer.status_code == 409
        assert 'value="30"' in answer.content.decode()
        assert plan_of(job).pinned_pulls == []

    def test_are_not_offered_for_other_counts(self, owner_client: Browser, job: Job) -> None:
        Plan.objects.filter(job=job).update(shell_pieces=7)
        assert "Pulls can be fixed for a shell of 2, 3 or 4 pieces" in Page(owner_client.get(at(job)).content.decode()).text

    def test_says_once_that_all_may_stay_empty(self, owner_client: Browser, job: Job) -> None:
        assert Page(owner_client.get(at(job)).content.decode()).text.count("may stay empty") == 1

    def test_lets_the_office_look(self, signed_in: Any, job: Job) -> None:
        assert signed_in(Role.OFFICE).get(at(job)).status_code == 200


class TestTheWayILook:
    def test_stands_in_the_first_free_pull_and_nothing_is_kept(self, owner_client: Browser, job: Job) -> None:
        before = rows()
        page = owner_client.get(at(job, "shell/pulls/?around=300&lift=24"))
        html = page.content.decode()
        assert "stands in pull 1: to the front right, 25° up." in Page(html).text
        assert rows() == before
        assert press(owner_client, at(job), "Keep these", {}, page=page).status_code == 302
        assert plan_of(job).pinned_pulls == [{"azimuth_deg": 300.0, "lift_deg": 24.0}]
        html = owner_client.get(at(job, "shell/pulls/?around=120&lift=0")).content.decode()
        assert "stands in pull 2: to the back left." in Page(html).text
        for name, value in (("around_1", "300"), ("around_2", "120"), ("lift_2", "0")):
            assert f'name="{name}" value="{value}"' in html

    def test_is_not_below_the_level_on_a_board(self, owner_client: Browser, job: Job) -> None:
        html = owner_client.get(at(job, "shell/pulls/?around=-60&lift=-30")).content.decode()
        assert "looked from below" in html
        assert 'name="lift_1" value="0"' in html
        assert 'name="around_1" value="300"' in html
        Piece.objects.filter(job=job).update(stands_on_board=False)
        html = owner_client.get(at(job, "shell/pulls/?around=-60&lift=-30")).content.decode()
        assert "looked from below" not in html
        assert 'name="lift_1" value="-30"' in html

    def test_says_so_when_every_pull_is_fixed(self, owner_client: Browser, job: Job) -> None:
        fixed = [{"azimuth_deg": 10.0, "lift_deg": 0.0}, {"azimuth_deg": 190.0, "lift_deg": 0.0}]
        Plan.objects.filter(job=job).update(pinned_pulls=fixed)
        html = owner_client.get(at(job, "shell/pulls/?around=300&lift=24")).content.decode()
        assert "All pulls are fixed already" in html
        assert 'value="300"' not in html

    @pytest.mark.parametrize(
        "query", ["around=x&lift=1", "around=nan&lift=1", "around=1&lift=120", "around=1e400&lift=0", "lift=3"]
    )
    def test_is_none_that_cannot_be_read(self, owner_client: Browser, job: Job, query: str) -> None:
        answer = owner_client.get(at(job, f"shell/pulls/?{query}"))
        assert answer.status_code == 200
        assert "The way you looked" not in answer.content.decode()


class TestFollowing:
    def test_the_shell_says_at_once_that_the_study_runs(self, owner_client: Browser, job: Job) -> None:
        answer = press(owner_client, at(job), "Keep these", {"around_1": "30", "lift_1": "0"})
        page = owner_client.get(answer["Location"]).content.decode()
        assert page.index('id="study-state"') < page.index('id="figures"')
        assert page.count('id="study-state"') == 1
        assert 'hx-trigger="study-done from:body"' in page

    def test_the_title_block_follows_with_the_old_figure_struck_through(self, owner_client: Browser, job: Job) -> None:
        page = Page(owner_client.get(at(job, "shell/")).content.decode())
        sent = page.form(having="baseline").values.dict()
        quiet = owner_client.post(at(job, "shell/"), sent, headers={"HX-Request": "true"}).content.decode()
        assert 'id="about"' not in quiet
        # More fill wants more rubber.
        more = study_to_json(study(taken=division(2, fill_l=6.0)), drawn=False)
        PieceStudy.objects.update(figures=more, result=more)
        part = owner_client.post(at(job, "shell/"), sent, headers={"HX-Request": "true"}).content.decode()
        assert '<div id="about" hx-swap-oob="true">' in part
        title = part.split('id="about"')[1]
        assert re.search(r"<dt>Rubber</dt><dd>.*?<s class=\"was\">[\d.]+", title)


class TestAsking:
    def test_is_not_done_by_looking(self, owner_client: Browser) -> None:
        job = planned_job()
        PieceStudy.objects.all().delete()
        for page in ("shell/", "shell/pulls/", "mold/", "piece/shape/", "piece/"):
            assert owner_client.get(at(job, page)).status_code == 200
        assert not PieceStudy.objects.exists()
        assert ask_study(plan_of(job)) is not None
