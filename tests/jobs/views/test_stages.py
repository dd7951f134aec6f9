import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client as Browser

from jobs.models import Job, OwnMinutes, Plan
from jobs.services.plans import mold_plan
from jobs.views.stage_pages import STAGE_PAGES
from studio.access import Role
from tests.factories import JobFactory, planned_job

pytestmark = pytest.mark.django_db
STAGES = list(STAGE_PAGES)
FIRST_FIELD = {"mold": "wall_mm", "coats": "temperature_c", "shell": "shell_pieces", "castings": "castings"}


def typed(browser: Browser, job: Job, stage: str, **changes: str) -> dict[str, str]:
    """Return what a browser would send back from the page as it was opened."""
    page = browser.get(f"/jobs/{job.number}/{stage}/")
    form = page.context["form"]
    found = {bound.html_name: bound.value() for bound in form}
    sent = {name: "on" if value is True else str(value) for name, value in found.items() if value not in (None, False, "")}
    return {**sent, "baseline": page.context["baseline"], **changes}


@pytest.mark.parametrize("stage", STAGES)
class TestStage:
    def test_stands_without_a_measured_piece(self, owner_client: Browser, stage: str) -> None:
        page = owner_client.get(f"/jobs/{JobFactory().number}/{stage}/")
        assert page.status_code == 200
        assert "not measured yet" in page.content.decode()

    def test_lets_the_keyboard_past_its_figures_to_the_form(self, owner_client: Browser, stage: str) -> None:
        page = owner_client.get(f"/jobs/{planned_job().number}/{stage}/").content.decode()
        assert page.index('<a class="skip" href="#plan-form">') < page.index('id="figures"') < page.index('id="plan-form"')

    def test_shows_new_figures_beside_the_old_ones_struck_through(self, owner_client: Browser, stage: str) -> None:
        job = planned_job()
        field, other = FIRST_FIELD[stage], {"mold": "14", "coats": "28", "shell": "4", "castings": "12"}[stage]
        sent = typed(owner_client, job, stage, **{field: other})
        answer = owner_client.post(f"/jobs/{job.number}/{stage}/", sent, headers={"HX-Request": "true"})
        page = answer.content.decode()
        assert "<html" not in page
        assert '<s class="was">' in page
        assert "Not kept yet" in page
        assert Plan.objects.get(job=job).revision == 1

    def test_strikes_nothing_through_that_did_not_change(self, owner_client: Browser, stage: str) -> None:
        job = planned_job()
        sent = typed(owner_client, job, stage)
        answer = owner_client.post(f"/jobs/{job.number}/{stage}/", sent, headers={"HX-Request": "true"})
        assert '<s class="was">' not in answer.content.decode()
        assert "Not kept yet" not in answer.content.decode()

    def test_keeps_the_plan_and_undoes_it(self, owner_client: Browser, stage: str) -> None:
        job = planned_job()
        field = FIRST_FIELD[stage]
        before = getattr(Plan.objects.get(job=job), field)
        sent = typed(owner_client, job, stage, **{field: "13", "action": "keep"})
        answer = owner_client.post(f"/jobs/{job.number}/{stage}/", sent)
        assert answer["Location"] == f"/jobs/{job.number}/{stage}/"
        assert getattr(Plan.objects.get(job=job), field) == 13
        assert "Undo the last change" in owner_client.get(answer["Location"]).content.decode()
        owner_client.post(f"/jobs/{job.number}/undo/", {"stage": stage})
        assert getattr(Plan.objects.get(job=job), field) == before

    def test_lets_the_second_writer_lose_nothing(self, owner_client: Browser, stage: str) -> None:
        job = planned_job()
        field, address = FIRST_FIELD[stage], f"/jobs/{job.number}/{stage}/"
        sent = typed(owner_client, job, stage, **{field: "13", "action": "keep"})
        owner_client.post(address, {**sent, field: "11"})
        answer = owner_client.post(address, sent)
        assert answer.status_code == 409
        assert "kept this plan at" in answer.content.decode()
        assert answer.context["form"][field].value() == "13"
        assert getattr(Plan.objects.get(job=job), field) == 11
        owner_client.post(address, {**sent, "revision": answer.context["form"]["revision"].value()})
        assert getattr(Plan.objects.get(job=job), field) == 13

    def test_answers_nonsense_with_a_sentence(self, owner_client: Browser, stage: str) -> None:
        job = planned_job()
        sent = typed(owner_client, job, stage, action="keep")
        field = FIRST_FIELD[stage]
        for nonsense in ("NaN", "1e400", "-inf", "x" * 1_000_000, "", "\0", "9" * 20, "drop table"):
            answer = owner_client.post(f"/jobs/{job.number}/{stage}/", {**sent, field: nonsense}, headers={"HX-Request": "true"})
            assert answer.status_code == 422, nonsense[:20]
            assert answer.context["form"].errors[field], nonsense[:20]
        assert Plan.objects.get(job=job).revision == 1

    def test_escapes_a_baseline_that_is_not_ours(self, owner_client: Browser, stage: str) -> None:
        job = planned_job()
        sent = typed(owner_client, job, stage)
        evil = '{"rubber_fresh": "<script>alert(1)</script>", "shell_mass": "<img>", "casting_mass": "<img>"}'
        for baseline in (evil, "[" * 100_000, "null", '{"a": 1}'):
            page = owner_client.post(f"/jobs/{job.number}/{stage}/", {**sent, "baseline": baseline}).content.decode()
            assert "<script>alert" not in page
            assert "<img>" not in page

    def test_asks_the_same_number_of_questions_for_many_coats(
        self, owner_client: Browser, stage: str, count_queries: Callable[[str], int]
    ) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(build_coats=2)
        few = count_queries(f"/jobs/{job.number}/{stage}/")
        Plan.objects.filter(job=job).update(build_coats=20, positions=6)
        assert count_queries(f"/jobs/{job.number}/{stage}/") == few


class TestMoldShow:
    def test_says_when_the_rubber_does_not_cure_against_the_surface(self, owner_client: Browser) -> None:
        job = planned_job()
        sent = typed(owner_client, job, "mold", surface="latex")
        page = owner_client.post(f"/jobs/{job.number}/mold/", sent).content.decode()
        assert "Not kept yet" in page
        assert "data-tone=" in page

    def test_lists_rubbers_with_the_judgement_in_words(self, owner_client: Browser) -> None:
        page = owner_client.get(f"/jobs/{planned_job().number}/mold/").content.decode()
        assert "Which rubber suits" in page
        assert "cures against it" in page

    def test_points_from_what_is_missing_to_the_field_and_the_advice(self, owner_client: Browser) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(rubber=None)
        page = owner_client.get(f"/jobs/{job.number}/mold/").content.decode()
        assert '<a href="#id_rubber">Choose a rubber</a>' in page
        assert 'id="id_rubber"' in page
        assert 'id="part-rubbers"' in page

    def test_counts_against_a_rubber_what_is_listed_under_it(self, owner_client: Browser) -> None:
        lines = owner_client.get(f"/jobs/{planned_job().number}/mold/").context["rubbers"]
        assert any(line.against for line in lines)
        assert [line.against for line in lines] == [sum(item.tone != "good" for item in line.reasons) for line in lines]

    def test_leads_to_the_shell_that_a_poured_blanket_wants_once_nothing_typed_can_be_lost(self, owner_client: Browser) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(shell_kind=Plan.ShellKind.NONE)
        link = f'<a href="/jobs/{job.number}/shell/">Shell page</a>'
        sent = typed(owner_client, job, "mold", making="poured")
        assert link not in owner_client.post(f"/jobs/{job.number}/mold/", sent).content.decode()
        owner_client.post(f"/jobs/{job.number}/mold/", {**sent, "action": "keep"})
        assert link in owner_client.get(f"/jobs/{job.number}/mold/").content.decode()

    def test_keeps_an_unfinished_plan(self, owner_client: Browser) -> None:
        job = JobFactory()
        sent = typed(owner_client, job, "mold", wall_mm="8", action="keep")
        owner_client.post(f"/jobs/{job.number}/mold/", sent)
        assert Plan.objects.get(job=job).wall_mm == 8

    def test_sets_no_keys_where_their_distance_is_nought(self, owner_client: Browser) -> None:
        job = planned_job()
        before = mold_plan(job).stand
        owner_client.post(f"/jobs/{job.number}/mold/", typed(owner_client, job, "mold", key_spacing_mm="0", action="keep"))
        after = mold_plan(Job.objects.get(pk=job.pk)).stand
        assert before is not None
        assert after is not None
        assert (before.keys.value > 0, after.keys.value) == (True, 0)

    def test_reads_inches(self, owner_client: Browser) -> None:
        job = planned_job()
        owner_client.post(f"/jobs/{job.number}/mold/", typed(owner_client, job, "mold", wall_mm="1/2 in", action="keep"))
        # exact: NIST SP 811, 1 in = 25.4 mm.
        assert float(Plan.objects.get(job=job).wall_mm) == 12.7


class TestTasksShow:
    def test_comes_back_here_after_an_undo(self, owner_client: Browser) -> None:
        job = planned_job()
        owner_client.post(f"/jobs/{job.number}/mold/", typed(owner_client, job, "mold", wall_mm="8", action="keep"))
        address = f"/jobs/{job.number}/tasks/"
        assert '<input type="hidden" name="stage" value="tasks">' in owner_client.get(address).content.decode()
        answer = owner_client.post(f"/jobs/{job.number}/undo/", {"stage": "tasks"})
        assert (answer.status_code, answer["Location"]) == (302, address)

    def test_stands_on_the_line_of_stages_with_the_alternatives(self, owner_client: Browser) -> None:
        job = planned_job()
        page = owner_client.get(f"/jobs/{job.number}/tasks/").content.decode()
        assert f'<a href="/jobs/{job.number}/tasks/" aria-current="page">Tasks</a>' in page
        assert f'<a href="/jobs/{job.number}/alternatives/">Alternatives</a>' in page

    def test_keeps_own_minutes_and_puts_them_back(self, owner_client: Browser) -> None:
        job = planned_job()
        address = f"/jobs/{job.number}/tasks/"
        owner_client.post(address, {"task-open": "1 h 20"})
        assert OwnMinutes.objects.get().minutes == 80
        owner_client.post(address, {"task-open": ""})
        assert not OwnMinutes.objects.exists()

    def test_divides_minutes_typed_before_the_piece_was_turned(self, owner_client: Browser) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(positions=1)
        owner_client.post(f"/jobs/{job.number}/tasks/", {"task-board": "90"})
        Plan.objects.filter(job=job).update(positions=2)
        page = owner_client.get(f"/jobs/{job.number}/tasks/").content.decode()
        assert page.count('value="45"') == 2

    def test_keeps_what_was_typed(self, owner_client: Browser) -> None:
        job = planned_job()
        answer = owner_client.post(f"/jobs/{job.number}/tasks/", {"task-open": "NaN", "task-prepare": "45"})
        assert answer.status_code == 422
        assert 'value="45"' in answer.content.decode()
        assert not OwnMinutes.objects.exists()


class TestRights:
    @pytest.mark.parametrize("role", list(Role))
    def test_hide_the_price_from_makers_when_the_owner_says_so(self, signed_in: Callable[[Role], Browser], role: Role) -> None:
        from studio.models import StudioProfile

        job = planned_job()
        StudioProfile.objects.current()
        StudioProfile.objects.update(money_hidden_from_makers=True)
        answer: Any = signed_in(role).get(f"/jobs/{job.number}/")
        assert (f"/jobs/{job.number}/price/" in answer.content.decode()) is (role is not Role.MAKER)


class TestShellShow:
    def test_says_that_the_shell_is_still_open(self, owner_client: Browser) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(shell_matrix=None)
        page = owner_client.get(f"/jobs/{job.number}/shell/").content.decode()
        assert "The shell is not planned yet" in page
        assert "must hold its shape by itself" not in page
        Plan.objects.filter(job=job).update(shell_kind=Plan.ShellKind.NONE)
        assert "must hold its shape by itself" in owner_client.get(f"/jobs/{job.number}/shell/").content.decode()


class TestFormsOfTheStages:
    def test_fold_what_is_rarely_needed_and_name_the_makings_that_a_field_counts_for(self, owner_client: Browser) -> None:
        job = planned_job()
        page = owner_client.get(f"/jobs/{job.number}/mold/").content.decode()
        assert '<div data-makings="block">' in page
        keys = re.compile(r'<details class="fold" data-makings="brushed poured"( open)?>\s*<summary>Keys</summary>')
        folded = keys.search(page)
        assert folded
        assert not folded[1]
        Plan.objects.filter(job=job).update(key_spacing_mm=80)
        opened = keys.search(owner_client.get(f"/jobs/{job.number}/mold/").content.decode())
        assert opened
        assert opened[1]
