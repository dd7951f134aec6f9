import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from costing.models import PriceTerms
from jobs.models import Job
from studio.access import Role
from studio.models import StudioProfile
from tests.costing.rows import make_job

HTMX = {"HX-Request": "true"}


def page_text(response: object) -> str:
    return re.sub(r"[ \n]+", " ", response.content.decode())  # type: ignore[attr-defined]


def baseline_of(html: str) -> str:
    found = re.search(r'name="baseline" value="([^"]*)"', html)
    assert found is not None
    return found.group(1).replace("&quot;", '"').replace("&#x27;", "'").replace("&amp;", "&")


@pytest.mark.django_db
class TestPriceShow:
    def test_shows_price_spend_hours_and_their_workings(self, office: Client, job: Job) -> None:
        html = page_text(office.get(f"/jobs/{job.number}/price/"))
        for words in ("What to ask", "Spend by line", "Hours by task", "Markup on the cost", "cost ÷ (1 − margin)", "18R-97"):
            assert words in html

    def test_says_what_is_missing_before_there_is_a_plan(self, office: Client, job: Job) -> None:
        job.plan.rubber = None
        job.plan.save()
        response = office.get(f"/jobs/{job.number}/price/")
        assert response.status_code == 200
        assert "No rubber is chosen yet" in page_text(response)

    def test_names_the_material_without_a_price(self, office: Client, db: None) -> None:
        job = make_job(resin_priced=False)
        html = page_text(office.get(f"/jobs/{job.number}/price/"))
        assert "has no price" in html
        assert "under Stock, Materials" in html

    def test_offers_the_studios_values_as_placeholders(self, office: Client, job: Job) -> None:
        assert "the studio&#x27;s 20" in page_text(office.get(f"/jobs/{job.number}/price/"))

    def test_asks_the_database_as_often_for_many_castings_as_for_one(self, office: Client, db: None) -> None:
        office.get("/jobs/")
        counts = []
        for castings in (1, 40):
            job = make_job(castings=castings)
            with CaptureQueriesContext(connection) as found:
                office.get(f"/jobs/{job.number}/price/")
            counts.append(len(found))
        assert counts[0] == counts[1]
        assert counts[0] < 40

    def test_is_closed_to_makers_when_the_owner_hides_money(self, signed_in: Callable[[Role], Client], job: Job) -> None:
        maker = signed_in(Role.MAKER)
        assert maker.get(f"/jobs/{job.number}/price/").status_code == 200
        StudioProfile.objects.update(money_hidden_from_makers=True)
        for address in (f"/jobs/{job.number}/price/", "/quotes/"):
            assert maker.get(address).status_code == 403

    def test_sends_strangers_to_sign_in(self, client: Client, job: Job) -> None:
        assert client.get(f"/jobs/{job.number}/price/").status_code == 302

    @pytest.mark.parametrize("number", ["0", "99999999999999999999", "123456"])
    def test_answers_404_to_unknown_jobs(self, office: Client, number: str, db: None) -> None:
        assert office.get(f"/jobs/{number}/price/").status_code == 404


@pytest.mark.django_db
class TestPriceTry:
    def test_shows_the_new_price_and_strikes_the_old_one(self, office: Client, job: Job) -> None:
        whole = page_text(office.get(f"/jobs/{job.number}/price/"))
        data = {"labour_rate_per_h": "45", "quantity_breaks": "1, 5", "baseline": baseline_of(whole)}
        response = office.post(f"/jobs/{job.number}/price/try/", data, headers=HTMX)
        html = page_text(response)
        assert response.status_code == 200
        assert "<html" not in html
        assert html.count('<s class="was">') > 5
        assert "HX-Request" in response["Vary"]
        assert not PriceTerms.objects.exists()

    def test_strikes_nothing_when_nothing_changes(self, office: Client, job: Job) -> None:
        whole = page_text(office.get(f"/jobs/{job.number}/price/"))
        data = {"quantity_breaks": "1, 5, 10, 25", "baseline": baseline_of(whole)}
        assert '<s class="was">' not in page_text(office.post(f"/jobs/{job.number}/price/try/", data, headers=HTMX))

    def test_works_without_scripts(self, office: Client, job: Job) -> None:
        whole = page_text(office.get(f"/jobs/{job.number}/price/"))
        response = office.post(f"/jobs/{job.number}/price/try/", {"margin_percent": "35", "baseline": baseline_of(whole)})
        html = page_text(response)
        assert "<html" in html
        assert '<s class="was">' in html
        assert 'value="35"' in html
        assert "Nothing is kept yet" in html

    def test_keeps_bad_input_and_says_what_to_change(self, office: Client, job: Job) -> None:
        data = {"margin_percent": "about a third", "labour_rate_per_h": "30"}
        for headers in ({}, HTMX):
            response = office.post(f"/jobs/{job.number}/price/try/", data, headers=headers)
            assert response.status_code == 422
            assert "Margin in the price" in page_text(response)
        assert "about a third" in page_text(office.post(f"/jobs/{job.number}/price/try/", data))

    @pytest.mark.parametrize(
        "data",
        [
            {"quantity_breaks": "1, two"},
            {"quantity_breaks": "0"},
            {"quantity_breaks": "1,2,3,4,5,6,7,8,9"},
            {"quantity_breaks": "9" * 5000},
            {"margin_percent": "100"},
            {"margin_percent": "-5"},
            {"tax_percent": "101"},
            {"labour_rate_per_h": "1e99"},
            {"labour_rate_per_h": "NaN"},
            {"overhead_per_h": "\x00"},
            {"extra_cost": "40"},
            {"extra_label": "Crate"},
            {"extra_label": "x" * 400, "extra_cost": "1"},
            {"revision": "9" * 400},
        ],
    )
    def test_refuses_hostile_input_with_422(self, office: Client, job: Job, data: dict[str, str]) -> None:
        for path in ("try", "keep"):
            assert office.post(f"/jobs/{job.number}/price/{path}/", data).status_code == 422

    def test_survives_a_forged_baseline(self, office: Client, job: Job) -> None:
        data = {"baseline": '{"total-gross": "<script>alert(1)</script>"}'}
        html = page_text(office.post(f"/jobs/{job.number}/price/try/", data, headers=HTMX))
        assert "<script>alert" not in html
        assert office.post(f"/jobs/{job.number}/price/try/", {"baseline": "[" * 90_000}).status_code == 200


@pytest.mark.django_db
class TestPriceKeep:
    def test_keeps_the_terms_and_puts_them_back(self, office: Client, job: Job) -> None:
        address = f"/jobs/{job.number}/price/"
        assert office.post(address + "keep/", {"labour_rate_per_h": "45", "revision": "0"}).status_code == 302
        assert self._rate(job) == Decimal(45)
        assert PriceTerms.objects.get(job=job).margin_percent is None
        office.post(address + "back/")
        assert self._rate(job) is None
        office.post(address + "back/")
        assert self._rate(job) == Decimal(45)

    def _rate(self, job: Job) -> Decimal | None:
        return PriceTerms.objects.get(job=job).labour_rate_per_h

    def test_loses_nothing_when_somebody_else_was_first(self, office: Client, job: Job) -> None:
        address = f"/jobs/{job.number}/price/keep/"
        office.post(address, {"margin_percent": "30", "revision": "0"})
        response = office.post(address, {"margin_percent": "40", "revision": "0"})
        html = page_text(response)
        assert response.status_code == 422
        assert "kept other terms" in html
        assert 'value="40"' in html
        assert PriceTerms.objects.get(job=job).margin_percent == Decimal(30)
        revision = re.search(r'name="revision"[^>]*value="(\d+)"', html) or re.search(r'value="(\d+)"[^>]*name="revision"', html)
        assert revision is not None
        assert office.post(address, {"margin_percent": "40", "revision": revision.group(1)}).status_code == 302
        assert PriceTerms.objects.get(job=job).margin_percent == Decimal(40)

    def test_has_nothing_to_put_back_at_first(self, office: Client, job: Job) -> None:
        response = office.post(f"/jobs/{job.number}/price/back/", follow=True)
        assert "nothing to put back" in page_text(response)

    def test_is_for_those_who_write_quotes(self, signed_in: Callable[[Role], Client], job: Job) -> None:
        maker = signed_in(Role.MAKER)
        for path in ("keep", "back"):
            assert maker.post(f"/jobs/{job.number}/price/{path}/", {"margin_percent": "1"}).status_code == 403
        assert maker.post(f"/jobs/{job.number}/price/try/", {"margin_percent": "1"}).status_code == 200

    def test_moves_the_price_in_the_title_block(self, office: Client, job: Job) -> None:
        address = f"/jobs/{job.number}/price/"
        before = office.get(address).context["about"].figures[-1]
        office.post(address + "keep/", {"margin_percent": "50", "revision": "0"})
        after = office.get(address).context["about"].figures[-1]
        assert after.value > before.value
        assert after.low < after.value < after.high
