from typing import Any

import pytest
from django.apps import apps
from django.test import Client as Browser

from jobs.models import Job, PieceStudy, Plan
from jobs.services.plans import plan_of
from jobs.studies import queueing
from jobs.studies.asking import ask_study
from studio.access import Role
from tests.factories import JobFactory, planned_job
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
        assert "to the right (0° around, 0° up)" in text

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
            ({"around_1": "30", "lift_1": "-10"}, "between 0 and 90"),
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


class TestStudyShow:
    def test_tells_each_step_while_it_is_busy_and_changes_nothing(self, owner_client: Browser) -> None:
        job = planned_job()
        PieceStudy.objects.update(
            state="working", steps=[{"step": "measured", "triangles": 12, "area_m2": 0.5}, {"step": "positions", "positions": 5}]
        )
        before = rows()
        for page in ("piece/study/", "shell/", "mold/"):
            html = owner_client.get(at(job, page)).content.decode()
            assert "Distances around it are being measured." in html
            assert f'hx-get="/jobs/{job.number}/piece/study/"' in html
            assert "Look again" in html
        part = owner_client.get(at(job, "piece/study/"), headers={"HX-Request": "true"})
        assert "HX-Trigger" not in part
        assert "</html>" not in part.content.decode()
        assert rows() == before

    def test_says_when_it_is_done(self, owner_client: Browser, job: Job) -> None:
        part = owner_client.get(at(job, "piece/study/"), headers={"HX-Request": "true"})
        assert part["HX-Trigger"] == "study-done"
        text = Page(owner_client.get(at(job, "piece/study/")).content.decode()).text
        assert "Positions" in text
        assert "its right" in text

    def test_says_why_it_was_refused_and_tries_again(self, owner_client: Browser, job: Job) -> None:
        PieceStudy.objects.update(state="refused", reason="Turn one of them.", stored_name="", figures=None, result=None)
        assert "Turn one of them." in Page(owner_client.get(at(job, "shell/")).content.decode()).text
        assert press(owner_client, at(job, "shell/"), "Try again", {}).status_code == 302
        assert PieceStudy.objects.get().state == "queued"

    def test_says_so_when_nothing_is_measured(self, owner_client: Browser) -> None:
        assert "not measured yet" in Page(owner_client.get(at(JobFactory(), "piece/study/")).content.decode()).text

    def test_lets_the_office_look(self, signed_in: Any, job: Job) -> None:
        assert signed_in(Role.OFFICE).get(at(job)).status_code == 200


class TestAsking:
    def test_is_not_done_by_looking(self, owner_client: Browser) -> None:
        job = planned_job()
        PieceStudy.objects.all().delete()
        for page in ("shell/", "shell/pulls/", "mold/", "piece/study/", "piece/"):
            assert owner_client.get(at(job, page)).status_code == 200
        assert not PieceStudy.objects.exists()
        assert ask_study(plan_of(job)) is not None
