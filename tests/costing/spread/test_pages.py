"""The page of how sure an estimate is, and the contingency that is kept there."""

from decimal import Decimal

import pytest
from django.test import Client as Browser
from django.urls import reverse

from costing.inputs import planned
from costing.models import PriceTerms
from costing.services.offer import estimate_of
from costing.services.quotes import freeze_quote
from costing.services.spread import spread_of_job, spread_values
from jobs.models import Job
from studio.access import Role
from studio.models import StudioProfile
from tests.costing.rows import make_job


@pytest.fixture
def profile(db: None) -> StudioProfile:
    return StudioProfile.objects.current()


class TestPage:
    def test_tells_ranges_drivers_shares_and_what_to_measure(self, office: Browser, job: Job) -> None:
        answer = office.get(reverse("costing:spread_show", args=[job.number]))
        text = answer.content.decode()
        assert answer.status_code == 200
        for words in (
            "In eight of ten cases", "P90", "Temperature of the room", "Wall laid, against the wall planned", "Next:",
            "Surface of the piece, measured with a tape", "Nothing put aside", "<title id=", "class 3",
        ):  # fmt: skip
            assert words in text, words
        spread = answer.context["spread"]
        for found in spread.ranges:
            assert found.p10 <= found.p50 <= found.p90
        measures = answer.context["measures"]
        assert measures
        assert all(row.measure.price.width < spread.of("price").width for row in measures)
        assert measures == sorted(measures, key=lambda row: row.measure.price.width)

    def test_is_not_shown_where_money_may_not_be_seen(self, signed_in, job: Job) -> None:
        StudioProfile.objects.update(money_hidden_from_makers=True)
        assert signed_in(Role.MAKER).get(reverse("costing:spread_show", args=[job.number])).status_code == 403

    def test_says_what_is_missing_of_a_job_that_is_not_measured(self, office: Browser, job: Job) -> None:
        job.piece.takeoffs.all().delete()
        text = office.get(reverse("costing:spread_show", args=[job.number])).content.decode()
        assert "not measured yet" in text


class TestContingency:
    def test_is_kept_from_a_row_and_stands_in_the_price_and_in_the_quote(
        self, office: Browser, job: Job, profile: StudioProfile
    ) -> None:
        before = estimate_of(planned(job), profile)
        spread = spread_of_job(planned(job), profile).spread
        address = reverse("costing:spread_keep", args=[job.number])
        assert office.post(address, {"cases": "80", "revision": "0"}).status_code == 302
        assert PriceTerms.objects.get(job=job).contingency_percentile == 80
        after = estimate_of(planned(job), profile)
        aside = after.makeup.contingency
        assert aside is not None
        assert aside.value == pytest.approx(spread.cost_at(80) - before.makeup.cost.value)
        assert after.makeup.cost.value == pytest.approx(spread.cost_at(80))
        assert after.totals.exact.net > before.totals.exact.net
        assert "Contingency" in office.get(reverse("costing:price_show", args=[job.number])).content.decode()
        quote = freeze_quote(job=job, by=None)
        assert quote.net_total == after.totals.exact.net
        assert sum((line.net for line in quote.lines.all()), Decimal(0)) == quote.net_total
        kept = quote.inner["spread"]
        # The spread that is frozen is of the work itself: what is put aside is no part of it.
        assert kept["cost"]["planned"] == pytest.approx(before.makeup.cost.value, abs=1e-3)
        assert kept["cost"]["p10"] < kept["cost"]["p50"] < kept["cost"]["p90"]
        assert set(kept) >= {"hours", "rubber", "cost", "days"}

    def test_refuses_what_no_row_offers_and_keeps_nothing(self, office: Browser, job: Job) -> None:
        answer = office.post(reverse("costing:spread_keep", args=[job.number]), {"cases": "99", "revision": "0"})
        assert answer.status_code == 422
        assert "50 to 95 of 100 cases" in answer.content.decode()
        assert not PriceTerms.objects.filter(job=job, contingency_percentile__isnull=False).exists()

    def test_does_not_overwrite_newer_terms_and_leaves_the_choice_marked(self, office: Browser, job: Job) -> None:
        PriceTerms.objects.create(job=job, revision=4)
        answer = office.post(reverse("costing:spread_keep", args=[job.number]), {"cases": "70", "revision": "3"})
        assert answer.status_code == 409
        assert 'value="70" checked' in answer.content.decode()
        assert PriceTerms.objects.get(job=job).contingency_percentile is None


def test_the_same_job_gives_the_same_figures_and_another_number_of_castings_other_ones(job: Job, profile: StudioProfile) -> None:
    first, again = spread_values(planned(job), profile), spread_values(planned(job), profile)
    assert first == again
    assert spread_values(planned(job), profile, castings=12)["cost"]["planned"] > first["cost"]["planned"]


def test_a_job_of_the_same_kind_that_was_delivered_makes_it_class_2(job: Job, profile: StudioProfile) -> None:
    assert estimate_of(planned(job), profile).estimate_class.number == 3
    other = make_job(title="Another")
    Job.objects.filter(pk=other.pk).update(state=Job.State.DELIVERED)
    found = estimate_of(planned(job), profile)
    assert found.estimate_class.number == 2
    assert found.likely.high == pytest.approx(1.2 * found.likely.value)


def test_queries_do_not_grow_with_girths_or_materials(job: Job, profile: StudioProfile, django_assert_max_num_queries) -> None:
    spread_of_job(planned(job), profile)
    with django_assert_max_num_queries(40):
        spread_of_job(planned(job), profile)
