"""The page of a job's alternatives: what it shows to whom, taking, copies, and the drawing."""

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from costing.alternatives_drawing import ways_drawing
from costing.inputs import planned, terms_of
from costing.models import PriceTerms
from costing.services.alternatives import plan_ways, ways_table
from costing.services.offer import estimate_of, suggested_scope
from costing.services.planned_before import forget
from jobs.models import Job, KeptPlan, Plan
from jobs.services.alternatives import ways_of
from jobs.services.copies import keep_copy
from jobs.services.plans import decisions_of, keep_plan, plan_of
from materials.properties import Chemistry
from studio.access import Role
from studio.models import StudioProfile
from tests.costing.rows import make_job
from tests.factories import PersonFactory, ScrapBinFactory
from tests.jobs.views.timetable_rows import entry, timetable

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
            "worth it above", "Both cost the same when", "Hours against spend on material", "Take this",
            "the cheapest first", "fewest hours, a block instead of brushed", "Beaten by", "For a client who pays for both",
            "Nobody named yet", "Rotating frame", "worth", "not charged",
        ):  # fmt: skip
            assert words in html
        assert html.count("Take this<") == len(ways_of(plan_of(job)).ways) - 1
        assert html.count('<tr aria-current="true"') == 1

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
        assert "of rubber and costs" in html
        assert "least rubber" in html
        for words in (
            "Material</th>",
            "Cost</th>",
            "an hour",
            "chain line",
            "€",
            "money",
            "Keep this rate",
            "cheapest",
            "your rate",
            "labour rate",
        ):
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


class TestMoving:
    """Whose hour it is, what it counts and what the rubber costs, tried without keeping anything."""

    @staticmethod
    def part(browser: Client, job: Job, query: str, status: int = 200) -> str:
        answer = browser.get(f"/jobs/{job.number}/alternatives/?{query}", headers={"HX-Request": "true"})
        assert answer.status_code == status
        return text_of(answer)

    def test_another_hour_ranks_anew_beside_what_counts_now_and_keeps_nothing(self, office: Client, job: Job) -> None:
        now = self.part(office, job, "whose=employed")
        dear = self.part(office, job, "whose=employed&employed_hour=4000")
        for html in (now, dear):
            assert "<html" not in html
            assert "Keep a copy" not in html
        assert "struck through is what counts now" in dear
        assert '<s class="was">' in dear
        assert "equal cost at €4,000.00/h" in dear
        assert '<s class="was">' not in now
        first = [re.search(r'<tbody> <tr[^>]*> <th scope="row"><span class="aside">(\d)', html) for html in (now, dear)]
        assert first[1] is not None
        # At a rate beyond every crossing the way of fewest hours comes first: the block.
        assert re.search(rf'aside">{first[1][1]}</span> Poured as a block in a box', dear)
        assert PriceTerms.objects.count() == 0

    def test_dearer_rubber_moves_what_it_costs_and_the_prices_where_ways_meet(self, office: Client, job: Job) -> None:
        html = self.part(office, job, "whose=employed&rubber_price=44")
        assert re.search(r'data-figure="in_use-rubber"><summary><s class="was">', html)
        assert not re.search(r'data-figure="in_use-resin"><summary><s class="was">', html)
        free = self.part(office, job, "whose=employed&rubber_price=0&employed_hour=0")
        assert "equal cost at €0.00/h" in free

    def test_each_reader_gets_words_of_their_own(self, office: Client, job: Job) -> None:
        own = self.part(office, job, "whose=own")
        assert "Nobody has said yet what an hour of your own is worth" in own
        assert "equal cost" not in own
        StudioProfile.objects.update(own_hour_value=Decimal(18))
        own = self.part(office, job, "whose=own")
        assert "equal cost at €18.00/h" in own
        assert "With your hours" in own
        client = self.part(office, job, "whose=client")
        for words in ("Price before tax", "Material with markup", "equal cost at €56.25/h", "cheapest for the client"):
            assert words in client

    def test_what_cannot_be_read_is_said_and_counts_as_now(self, office: Client, job: Job) -> None:
        html = self.part(office, job, "whose=employed&employed_hour=lots", status=422)
        assert "Until then it counts as it does now" in html
        assert "equal cost at €45.00/h" in html
        whole = office.get(f"/jobs/{job.number}/alternatives/?whose=nobody&employed_hour=lots")
        assert whole.status_code == 422
        assert 'value="lots"' in text_of(whole)

    def test_speaks_us_units(self, office: Client, job: Job) -> None:
        StudioProfile.objects.update(units="us", currency="USD", locale="en_US")
        html = self.part(office, job, "whose=employed&rubber_price=12")
        assert "/lb" in html
        assert "/kg" not in html
        whole = text_of(office.get(f"/jobs/{job.number}/alternatives/?whose=own&own_hour=20"))
        # What the address leaves out stands as it counts now: 22 a kilogram are 9.98 a pound.
        assert re.search(r'name="rubber_price" value="9\.97', whole)

    def test_keeps_a_rate_for_the_job_and_puts_it_back(self, office: Client, job: Job) -> None:
        answer = post(office, job, "hour/keep", whose="client", hour="62.50", revision=0)
        assert answer.url.endswith(f"/jobs/{job.number}/alternatives/?whose=client")
        # Worked by hand: 62.50 less the margin of 20 % is 50, less 20 of overhead 30.
        assert terms_of(job).labour_rate_per_h == 30
        assert "equal cost at €62.50/h" in text_of(office.get(answer.url))
        late = post(office, job, "hour/keep", whose="employed", hour="70", revision=0)
        assert late.status_code == 409
        assert "kept other terms" in text_of(late)
        assert 'value="70"' in text_of(late)
        low = post(office, job, "hour/keep", whose="employed", hour="3", revision=1)
        assert low.status_code == 422
        assert "Overhead alone is more" in text_of(low)
        assert post(office, job, "hour/keep", whose="x", hour="3", revision=1).status_code == 422
        post(office, job, "hour/back")
        assert terms_of(job).labour_rate_per_h is None


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
        used, rate, estimate = table.used, table.rate, estimate_of(planned(job), profile)
        assert used is not None
        assert used.cost is not None
        assert rate is not None
        # The plan in use costs here what the Price page says.
        assert used.cost.value == pytest.approx(estimate.makeup.cost.value)
        assert rate.value == pytest.approx(estimate.full_rate.value)
        for row in table.rows:
            assert row.material is not None
            assert row.cost is not None
            assert row.cost.value == pytest.approx(row.material.value + rate.value * row.hours.value)
            assert row.material.value == pytest.approx(sum(figure.value for figure in row.takes.money))
        costs = [row.cost.value for row in table.rows if row.cost]
        assert costs == sorted(costs)
        assert table.cheapest is table.rows[0]

    def test_names_who_does_what_as_the_days_in_use_say(self, job: Job) -> None:
        ida = PersonFactory(name="Ida", rate_per_h=Decimal(31))
        entry(timetable(used_at=timezone.now()), job, ida, key="coat_1#1", plan_key="coat_1")
        table = ways_table(plan_of(job), ways_of(plan_of(job)), StudioProfile.objects.current(), money=True)
        used = table.used
        assert used is not None
        hand = used.takes.hands[0]
        assert (hand.name, hand.rate and hand.rate.value) == ("Ida", 31)
        coat = next(task for task in planned(job).mold.tasks if task.key == "coat_1")
        assert hand.hours.value == pytest.approx(coat.minutes.value / 60)

    def test_plans_are_taken_again_only_for_an_equal_brief(self, job: Job) -> None:
        forget()
        profile, plan = StudioProfile.objects.current(), plan_of(job)
        first = plan_ways(plan, ways_of(plan), profile).ways
        again = plan_ways(plan, ways_of(plan), profile).ways
        assert all(one.mold is other.mold for one, other in zip(first, again, strict=True))
        keep_plan(plan=plan, values={"wall_mm": Decimal(12)}, revision=plan.revision, by=None)
        other = plan_ways(plan_of(job), ways_of(plan_of(job)), profile).ways
        assert other[0].mold.rubber_fresh.value > first[0].mold.rubber_fresh.value

    def test_draws_nothing_for_one_way_alone(self, job: Job) -> None:
        profile = StudioProfile.objects.current()
        table = ways_table(plan_of(job), ways_of(plan_of(job)), profile, money=False)
        assert ways_drawing(replace(table, rows=table.rows[:1]), profile) == ""


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
