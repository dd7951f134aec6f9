import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils.html import escape

from jobs.mixing_table import coats_table
from jobs.models import Job, Piece, Plan
from jobs.parts.run import castings_parts, in_percent
from jobs.parts.troubles import trouble_lines, worst_of
from jobs.planning.results import MoldPlan
from jobs.services.plans import mold_plan
from jobs.task_table import task_table
from jobs.tones import cure_said
from jobs.views import loading
from jobs.views.stage_pages import STAGE_PAGES
from materials.science.compatibility import Surface
from studio.figures import Remark
from tests.factories import JobFactory, planned_job
from tests.jobs.views.made_plans import fig, full_plan, trouble

pytestmark = pytest.mark.django_db
FIGURE = re.compile(r'<details class="figure" data-figure="([^"]+)"')


@pytest.fixture
def job(monkeypatch: pytest.MonkeyPatch) -> Job:
    """Return a job whose pages show a plan with everything in it."""
    compute = loading.compute_so_far

    def full(plan: Plan) -> MoldPlan:
        return full_plan(compute(plan))

    job = planned_job()
    Plan.objects.filter(job=job).update(positions=2, build_coats=2)
    monkeypatch.setattr(loading, "compute_so_far", full)
    return job


def seen(browser: Browser, job: Job, page: str) -> Any:
    return browser.get(f"/jobs/{job.number}/{page}/")


class TestPlanParts:
    @pytest.mark.parametrize("stage", STAGE_PAGES)
    def test_pair_every_figure_that_the_page_prints_with_what_it_was(self, owner_client: Browser, job: Job, stage: str) -> None:
        page = seen(owner_client, job, stage)
        printed = FIGURE.findall(page.content.decode())
        paired = {figure.key for figure in STAGE_PAGES[stage].figures(page.context["made"])}
        about = {key for key in printed if key.startswith("title_")}
        remarked = {one.key for remark in page.context["remarks"] for one in remark.figures}
        advised = {one.key for line in page.context.get("rubbers", ()) for reason in line.reasons for one in reason.figures}
        assert set(printed) - paired - about - remarked - advised == set()

    @pytest.mark.parametrize(
        ("stage", "words"),
        [
            ("mold", ("Thicker at edges", "Suggested: vacuum", "Keys", "Strip cure", "4 on crowns", "Stretch", "Thin spots")),
            ("coats", ("Position 2", "Trapped air", "position 2")),
            ("shell", ("Closed mold", "2 people", "Bolts", "Peroxide", "Imbalance")),
            ("castings", ("Skin by skin", "Film at gel", "Turns before gel", "Heat", "Oversize", "Molds wanted")),
        ],
    )  # fmt: skip
    def test_show_all_that_is_known(self, owner_client: Browser, job: Job, stage: str, words: tuple[str, ...]) -> None:
        page = seen(owner_client, job, stage).content.decode()
        assert [word for word in words if word not in page] == []

    def test_say_nothing_of_what_is_not_known(self) -> None:
        made = mold_plan(planned_job())
        bare = replace(made, fill=None, strip=None, gauges=None, stand=None, air=None, wall_advice=None, frame=None, stretch=None)
        assert STAGE_PAGES["mold"].parts(bare) == ()
        assert castings_parts(replace(bare, casting=None)) == ()

    def test_put_what_spoils_the_mold_first(self, owner_client: Browser, job: Job) -> None:
        page = seen(owner_client, job, "mold").content.decode()
        assert page.index("It is thin for a frame.") < page.index("Thicker at edges.") < page.index("The size asks for it.")

    def test_say_a_chance_of_a_hundred(self) -> None:
        assert in_percent(replace(fig("dies", 0.125, "1"), low=0.1, high=0.2)) == replace(
            fig("dies", 12.5, "%"), low=10.0, high=20.0
        )
        assert in_percent(fig("dies", 12.0, "%")).value == 12.0
        small = in_percent(fig("dies", 4e-13, "1"))
        assert (small.value, small.label) == (0.1, "Dies, at most")


class TestMixes:
    def test_count_equal_cups_in_one_line(self) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(positions=2)
        made = mold_plan(job)
        lines = coats_table(made).lines
        assert sum(line.cups for line in lines) == sum(len(coat.mixes) for coat in made.coats)
        assert sum(line.cups * line.whole.value for line in lines) == pytest.approx(
            sum(coat.mixed_mass.value for coat in made.coats)
        )
        assert [line.place for line in lines[:2]] == ["position 1", "position 2"]
        assert [line.first for line in lines[:2]] == [True, False]


class TestNothingTwice:
    def test_is_said_of_the_cure(self, owner_client: Browser) -> None:
        job = planned_job()
        Piece.objects.filter(job=job).update(surface=Surface.STONE.value)
        page = seen(owner_client, job, "mold")
        said = cure_said(page.context["made"].verdict)
        assert page.content.decode().count(escape(said)) == 1


class TestTroubles:
    def test_stand_on_a_page_of_their_own_the_worst_first(self, owner_client: Browser, job: Job) -> None:
        page = seen(owner_client, job, "troubles")
        assert [line.word for line in page.context["troubles"]] == ["stop", "look", "good"]
        text = page.content.decode()
        assert text.index("Thin spots") < text.index("Trapped air") < text.index("Worn mold")
        assert "Light shows." in text
        assert "hand_thin_spots_number" in FIGURE.findall(text)

    def test_say_where_nothing_is_judged_yet(self, owner_client: Browser) -> None:
        page = owner_client.get(f"/jobs/{JobFactory().number}/troubles/")
        assert "not measured yet" in page.content.decode()
        assert trouble_lines(()) == ()

    def test_stand_where_they_are_decided_unless_they_are_good(self) -> None:
        unknown = replace(trouble("locked_casting", "look"), figures=())
        troubles = (trouble("worn_mold", "good"), trouble("thin_spots", "stop"), unknown)
        made = replace(mold_plan(planned_job()), troubles=troubles)
        assert [line.trouble.key for line in worst_of(made, "mold")] == ["thin_spots"]
        assert worst_of(made, "mold", [Remark(key="wall_thin", text="It is thin.")]) == ()
        assert worst_of(made, "castings") == ()
        assert worst_of(None, "mold") == ()


class TestTasks:
    @pytest.mark.parametrize("name", ["tasks", "mold"])
    def test_show_people_hours_and_folded_cautions(self, owner_client: Browser, job: Job, name: str) -> None:
        text = seen(owner_client, job, name).content.decode()
        assert "<summary>1 caution" in text
        assert "2 people" in text
        assert '<th scope="col" class="num">Latest</th>' in text

    def test_name_what_a_task_waits_for_unless_it_is_the_one_above(self) -> None:
        made = mold_plan(planned_job())
        first, second, third = made.tasks[:3]
        tasks = (first, replace(second, waits_for=(first.key,)), replace(third, waits_for=(first.key, second.key)))
        lines = task_table(replace(made, tasks=tasks)).lines
        assert [line.after for line in lines] == [(), (), (first.label, second.label)]

    def test_say_where_work_goes_on_at_once(self) -> None:
        made = mold_plan(planned_job())
        first, second = made.tasks[:2]
        tasks = (replace(first, earliest_h=0.0, latest_h=-1e-14), replace(second, earliest_h=1.0, latest_h=5.0))
        lines = task_table(replace(made, tasks=tasks)).lines
        assert [(line.at_once, line.latest_h) for line in lines] == [(True, None), (False, 5.0)]

    def test_leave_out_hours_that_nobody_worked_out(self) -> None:
        made = mold_plan(planned_job())
        untimed = replace(made, tasks=tuple(replace(task, earliest_h=0.0, latest_h=None) for task in made.tasks))
        assert not task_table(untimed).timed
        assert task_table(full_plan(made)).timed


class TestQueries:
    @pytest.mark.parametrize("name", ["troubles", "tasks"])
    def test_stay_few(self, owner_client: Browser, job: Job, name: str, count_queries: Callable[[str], int]) -> None:
        few = count_queries(f"/jobs/{job.number}/{name}/")
        Plan.objects.filter(job=job).update(build_coats=12, positions=6)
        assert count_queries(f"/jobs/{job.number}/{name}/") == few


class TestMakings:
    @pytest.mark.parametrize("making", Plan.Making)
    @pytest.mark.parametrize("name", [*STAGE_PAGES, "troubles", "tasks"])
    def test_have_every_page(self, owner_client: Browser, making: Plan.Making, name: str) -> None:
        job = planned_job()
        Plan.objects.filter(job=job).update(making=making, night_temperature_c=12)
        page = seen(owner_client, job, name)
        assert page.status_code == 200
        assert page.context["problem"] is None

    def test_divide_no_shell_of_a_block(self, owner_client: Browser) -> None:
        job = planned_job()
        assert "Pulls and pieces" in seen(owner_client, job, "shell").content.decode()
        Plan.objects.filter(job=job).update(making=Plan.Making.BLOCK)
        page = seen(owner_client, job, "shell").content.decode()
        assert "Pulls and pieces" not in page
        assert "must hold its shape by itself" not in page
