"""The page of a job's alternatives: what it shows to whom, taking, copies, and the drawing."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from costing.alternatives_drawing import ways_drawing
from costing.inputs import planned
from costing.services.alternatives import ways_table
from costing.services.offer import suggested_scope
from jobs.models import Job, KeptPlan, Plan
from jobs.services.alternatives import ways_of
from jobs.services.copies import keep_copy
from jobs.services.plans import decisions_of, keep_plan, plan_of
from materials.properties import Chemistry
from studio.access import Role
from studio.models import StudioProfile
from tests.costing.rows import make_job
from tests.factories import ScrapBinFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(db: None) -> Job:
    """Return a job that can be priced, with a fill and scrap that bonds."""
    made = make_job(castings=40, fill_volume_l=Decimal(2))
    ScrapBinFactory(chemistry=Chemistry.TIN_SILICONE.value, holding=5000)
    return made


def text_of(response: Any) -> str:
    return re.sub(r"\s+", " ", response.content.decode())


def post(browser: Client, job: Job, to: str, **data: Any) -> Any:
    return browser.post(f"/jobs/{job.number}/alternatives/{to}/", data)


class TestAlternativesShow:
    def test_lists_every_way_with_its_figures_and_what_it_costs(self, office: Client, job: Job) -> None:
        html = text_of(office.get(f"/jobs/{job.number}/alternatives/"))
        for words in (
            "The plan in use", "in use", "Poured into the gap under a shell", "Poured as a block in a box",
            "Old rubber in the fill", "2 molds",
            "it pays once an hour costs more than", "Hours against spend on material", "Take this",
        ):  # fmt: skip
            assert words in html
        assert html.count("Take this<") == len(ways_of(plan_of(job)).ways) - 1
        assert html.count('<tr aria-current="true">') == 1

    def test_opens_each_figure_under_a_key_of_its_own(self, office: Client, job: Job) -> None:
        keys = re.findall(r'data-figure="([^"]+)"', text_of(office.get(f"/jobs/{job.number}/alternatives/")))
        table = [key for key in keys if not key.startswith("title_")]
        assert len(table) > 40
        assert len(table) == len(set(table))

    def test_shows_no_money_to_who_may_not_see_it(self, signed_in: Callable[[Role], Client], job: Job) -> None:
        StudioProfile.objects.update(money_hidden_from_makers=True)
        html = text_of(signed_in(Role.MAKER).get(f"/jobs/{job.number}/alternatives/"))
        assert "Hours against fresh rubber" in html
        assert "Take this" in html
        for words in ("Material</th>", "Cost</th>", "an hour costs", "dashed line", "€", "money"):
            assert words not in html

    def test_says_what_is_missing_and_where_to_enter_it(self, office: Client, job: Job) -> None:
        Plan.objects.filter(job=job).update(rubber=None)
        response = office.get(f"/jobs/{job.number}/alternatives/")
        assert response.status_code == 200
        assert "No rubber is chosen yet" in text_of(response)
        assert f'href="/jobs/{job.number}/mold/"' in text_of(response)

    def test_lists_what_is_not_possible_with_its_reason(self, office: Client, job: Job) -> None:
        Plan.objects.filter(job=job).update(shell_kind="none")
        html = text_of(office.get(f"/jobs/{job.number}/alternatives/"))
        assert "Not possible here" in html
        assert "A poured blanket gets its outside from the shell" in html

    def test_says_which_material_has_no_price(self, office: Client, job: Job) -> None:
        unpriced = make_job(resin_priced=False)
        assert "has no price" in text_of(office.get(f"/jobs/{unpriced.number}/alternatives/"))

    def test_asks_the_database_as_often_for_many_copies_as_for_one(self, office: Client, job: Job) -> None:
        office.get("/jobs/")
        counts = []
        for number in range(3):
            keep_copy(plan=plan_of(job), name=f"copy {number}", by=None)
            with CaptureQueriesContext(connection) as found:
                office.get(f"/jobs/{job.number}/alternatives/")
            counts.append(len(found))
        assert len(set(counts)) == 1
        assert counts[0] < 60


class TestAlternativeTake:
    def test_changes_the_plan_and_can_be_undone_here(self, office: Client, job: Job) -> None:
        before = decisions_of(plan_of(job))
        answer = post(office, job, "take", way="block", revision=plan_of(job).revision)
        assert answer.url == f"/jobs/{job.number}/alternatives/"
        assert plan_of(job).making == "block"
        page = text_of(office.get(answer.url))
        assert "“Poured as a block in a box” is the plan in use now" in page
        assert "Undo the last change" in page
        post(office, job, "back")
        assert decisions_of(plan_of(job)) == before

    def test_is_refused_over_a_newer_plan_and_says_whose(self, office: Client, job: Job) -> None:
        opened = plan_of(job).revision
        keep_plan(plan=plan_of(job), values={"wall_mm": Decimal(12)}, revision=opened, by=None)
        answer = post(office, job, "take", way="block", revision=opened)
        assert answer.status_code == 409
        assert "Somebody kept this plan" in text_of(answer)
        assert "look at the table again" in text_of(answer)
        assert plan_of(job).making == "brushed"

    @pytest.mark.parametrize("data", [{"way": "in_use"}, {"way": "block"}, {"way": "warm", "revision": "9" * 40}, {"copy": "x"}])
    def test_changes_nothing_when_asked_for_what_no_page_asks(self, office: Client, job: Job, data: dict[str, str]) -> None:
        before = plan_of(job).revision
        assert post(office, job, "take", **data).status_code == 409
        assert plan_of(job).revision == before

    def test_sends_back_where_nothing_can_be_planned(self, office: Client, job: Job) -> None:
        Plan.objects.filter(job=job).update(rubber=None)
        assert post(office, job, "take", way="block", revision=1).status_code == 302


class TestCopyKeep:
    def test_puts_the_copy_into_the_table(self, office: Client, job: Job) -> None:
        post(office, job, "copies/keep", name="Thick wall")
        plan = plan_of(job)
        keep_plan(plan=plan, values={"wall_mm": Decimal(6)}, revision=plan.revision, by=None)
        html = text_of(office.get(f"/jobs/{job.number}/alternatives/"))
        assert "Thick wall <span" in html
        assert "Differs from the plan in use in: rubber wall." in html
        post(office, job, "take", copy=KeptPlan.objects.get().pk, revision=plan_of(job).revision)
        assert plan_of(job).wall_mm == Decimal("9.5")

    def test_says_what_is_wrong_with_a_name_and_keeps_it_in_the_form(self, office: Client, job: Job) -> None:
        keep_copy(plan=plan_of(job), name="Thick wall", by=None)
        answer = post(office, job, "copies/keep", name="thick WALL")
        assert answer.status_code == 422
        assert "choose another name" in text_of(answer)
        assert 'value="thick WALL"' in text_of(answer)
        assert post(office, job, "copies/keep", name=" ").status_code == 422


class TestCopyRemove:
    def test_offers_to_bring_it_back(self, office: Client, job: Job) -> None:
        row = keep_copy(plan=plan_of(job), name="Thick wall", by=None)
        post(office, job, "copies/remove", copy=row.pk)
        assert not KeptPlan.objects.exists()
        assert "The copy “Thick wall” is removed." in text_of(office.get(f"/jobs/{job.number}/alternatives/"))
        post(office, job, "copies/back")
        assert KeptPlan.objects.get().decisions == row.decisions
        assert "is removed" not in text_of(office.get(f"/jobs/{job.number}/alternatives/"))

    def test_says_so_where_nothing_is_to_be_brought_back(self, office: Client, job: Job) -> None:
        post(office, job, "copies/back")
        assert "no removed copy" in text_of(office.get(f"/jobs/{job.number}/alternatives/"))

    def test_of_a_copy_that_is_gone_says_so(self, office: Client, job: Job) -> None:
        post(office, job, "copies/remove", copy=12345)
        assert "somebody removed it already" in text_of(office.get(f"/jobs/{job.number}/alternatives/"))


class TestDrawing:
    def test_marks_every_way_once_and_covers_none(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        table = ways_table(plan_of(job), ways_of(plan_of(job)), profile, money=True)
        svg = str(ways_drawing(table, profile))
        rings = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="11"', svg)
        spots = [(float(x), float(y)) for x, y in rings]
        assert len(spots) == len(table.rows)
        gaps = [(ax - bx) ** 2 + (ay - by) ** 2 for i, (ax, ay) in enumerate(spots) for bx, by in spots[:i]]
        assert min(gaps) > 22**2
        assert svg.count('r="15"') == 1
        for row in table.rows:
            assert f"{row.number} {row.label}" in svg

    def test_line_of_equal_cost_parts_the_cheaper_from_the_dearer(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        table = ways_table(plan_of(job), ways_of(plan_of(job)), profile, money=True)
        used, rate = table.used, table.rate
        assert used is not None
        assert rate is not None
        for row in table.rows:
            assert row.material is not None
            assert row.cost is not None
            assert used.material is not None
            assert used.cost is not None
            below = row.material.value + rate.value * row.hours.value < used.material.value + rate.value * used.hours.value
            assert below is (row.cost.value < used.cost.value) or row.cost.value == pytest.approx(used.cost.value)

    def test_draws_nothing_for_one_way_alone(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        table = ways_table(plan_of(job), ways_of(plan_of(job)), profile, money=False)
        assert ways_drawing(type(table)(rows=table.rows[:1], refused=(), remarks=(), rate=None), profile) == ""


class TestScopeOfAQuote:
    @pytest.mark.parametrize(
        ("making", "words"),
        [("brushed", "by hand, coat over coat, backed by"), ("poured", "We pour a mold"), ("block", "as a block")],
    )
    def test_says_how_the_mold_is_made(self, job: Job, making: str, words: str) -> None:
        Plan.objects.filter(job=job).update(making=making)
        scope = suggested_scope(planned(job))
        assert words in scope
        assert ("coat over coat" in scope) is (making == "brushed")
        assert ("shell" in scope) is (making != "block")
