import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from costing.models import PriceTerms, Quote
from costing.services.quotes import freeze_quote
from jobs.models import Job, Plan
from studio.access import Role
from studio.models import Account, Document
from tests.costing.rows import make_job
from tests.factories import QuoteFactory

HTMX = {"HX-Request": "true"}
OFFER = {
    "scope": "Mold and castings.",
    "castings": "4",
    "valid_days": "21",
    "deposit_percent": "40",
    "exclusions": "Carriage.",
    "ownership": "Yours.",
    "terms": "Thirty days.",
    "working_days": "15",
}


def page_text(response: object) -> str:
    return re.sub(r"[ \n]+", " ", response.content.decode())  # type: ignore[attr-defined]


def hidden(html: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', html)
    assert found is not None
    return found.group(1)


@pytest.mark.django_db
class TestQuoteFreeze:
    def test_shows_the_offer_to_look_over(self, office: Client, job: Job) -> None:
        html = page_text(office.get(f"/jobs/{job.number}/quote/"))
        assert "Freeze and number quote" in html
        assert "In it we cast 6 hollow copies" in html
        assert not Quote.objects.exists()

    def test_freezes_what_was_looked_over(self, office: Client, job: Job) -> None:
        tried = page_text(office.post(f"/jobs/{job.number}/quote/try/", OFFER, headers=HTMX))
        data = {**OFFER, "seen_total": hidden(tried, "seen_total"), "after_version": hidden(tried, "after_version")}
        response = office.post(f"/jobs/{job.number}/quote/", data)
        assert response.status_code == 302
        assert response["Location"] == "/quotes/1001/1/"
        quote = Quote.objects.get()
        assert quote.lines.get(kind="casting").quantity == 4
        assert (quote.valid_until_on - quote.issued_on).days == 21
        assert quote.content["lead_time"].startswith("About 15 working days")
        assert quote.gross_total == Decimal(data["seen_total"])

    def test_asks_for_no_deposit_where_the_terms_hold_stages_and_prints_a_tax_to_its_last_digit(
        self, office: Client, job: Job
    ) -> None:
        stages = [["agreed", "20"], ["ready", "80"]]
        PriceTerms.objects.create(job=job, payment_stages=stages, tax_percent=Decimal("19.25"))
        page = page_text(office.get(f"/jobs/{job.number}/quote/"))
        assert 'name="deposit_percent"' not in page
        assert "in the stages kept on the" in page
        offer = {name: value for name, value in OFFER.items() if name != "deposit_percent"}
        tried = page_text(office.post(f"/jobs/{job.number}/quote/try/", offer, headers=HTMX))
        data = {**offer, "seen_total": hidden(tried, "seen_total"), "after_version": "0"}
        assert office.post(f"/jobs/{job.number}/quote/", data).status_code == 302
        assert [stage["moment"] for stage in Quote.objects.get().content["payments"]] == ["agreed", "ready"]
        assert "19.25 %" in page_text(office.get("/quotes/1001/1/"))

    def test_shows_the_new_lines_while_typing(self, office: Client, job: Job) -> None:
        html = page_text(office.post(f"/jobs/{job.number}/quote/try/", {**OFFER, "castings": "9"}, headers=HTMX))
        assert "<html" not in html
        assert 'data-label="Quantity">9<' in html
        assert not Quote.objects.exists()

    def test_asks_again_when_a_rate_has_moved_since(self, office: Client, job: Job) -> None:
        tried = page_text(office.post(f"/jobs/{job.number}/quote/try/", OFFER, headers=HTMX))
        PriceTerms.objects.create(job=job, labour_rate_per_h=Decimal(80))
        data = {**OFFER, "seen_total": hidden(tried, "seen_total"), "after_version": "0"}
        response = office.post(f"/jobs/{job.number}/quote/", data)
        html = page_text(response)
        assert response.status_code == 422
        assert "The total is not the one you were shown" in html
        assert "Thirty days." in html
        assert not Quote.objects.exists()
        again = {**data, "seen_total": hidden(html, "seen_total")}
        assert office.post(f"/jobs/{job.number}/quote/", again).status_code == 302

    @pytest.mark.parametrize(
        "wrong",
        [
            {"scope": ""},
            {"castings": "many"},
            {"castings": "10001"},
            {"castings": "-1"},
            {"valid_days": "0"},
            {"valid_days": "9" * 400},
            {"deposit_percent": "101"},
            {"working_days": "1.5"},
            {"terms": "x" * 4001},
            {"scope": "\x00"},
            {"seen_total": "NaN"},
            {"after_version": "-1"},
        ],
    )
    def test_keeps_what_was_typed_and_says_what_is_wrong(self, office: Client, job: Job, wrong: dict[str, str]) -> None:
        response = office.post(f"/jobs/{job.number}/quote/", {**OFFER, **wrong, "ownership": "Nobody’s but yours"})
        assert response.status_code == 422
        assert "Nobody’s but yours" in page_text(response)
        assert not Quote.objects.exists()

    def test_says_what_is_missing_without_a_plan(self, office: Client, job: Job) -> None:
        Plan.objects.filter(job=job).update(rubber=None)
        assert "No rubber is chosen yet" in page_text(office.get(f"/jobs/{job.number}/quote/"))
        for path in ("quote/", "quote/try/"):
            assert office.post(f"/jobs/{job.number}/{path}", OFFER).status_code == 422

    def test_is_for_those_who_write_quotes(self, signed_in: Callable[[Role], Client], job: Job) -> None:
        maker = signed_in(Role.MAKER)
        assert maker.get(f"/jobs/{job.number}/quote/").status_code == 403
        for path in ("quote/", "quote/try/"):
            assert maker.post(f"/jobs/{job.number}/{path}", OFFER).status_code == 403


@pytest.mark.django_db
class TestQuotesList:
    def test_says_what_will_stand_here(self, office: Client) -> None:
        assert "No quote has gone out yet" in page_text(office.get("/quotes/"))

    def test_shows_the_newest_version_of_each(self, office: Client, job: Job, account: Account) -> None:
        for _ in range(2):
            freeze_quote(job=job, by=account)
        html = page_text(office.get("/quotes/"))
        assert "Quote 1001, version 2" in html
        assert ">Quote 1001<" not in html
        assert ">Quote 1001<" in page_text(office.get("/quotes/?versions=every"))

    def test_filters_by_state_and_words(self, office: Client, job: Job) -> None:
        QuoteFactory(job=job, number=7, state="declined")
        QuoteFactory(job=make_job(title="Relief of a heron"), number=8)
        assert [name in page_text(office.get("/quotes/?which=declined")) for name in ("Quote 7", "Quote 8")] == [True, False]
        assert [name in page_text(office.get("/quotes/?words=heron")) for name in ("Quote 7", "Quote 8")] == [False, True]
        assert "No quote fits" in page_text(office.get("/quotes/?words=walrus"))

    def test_finds_offers_that_have_run_out(self, office: Client, job: Job) -> None:
        QuoteFactory(job=job, number=7)
        html = page_text(office.get("/quotes/?which=run+out"))
        assert "offered, run out" in html

    def test_answers_a_partial_to_htmx_alone(self, office: Client, job: Job) -> None:
        QuoteFactory(job=job)
        assert "<html" not in page_text(office.get("/quotes/?which=all", headers=HTMX))
        restored = office.get("/quotes/?which=all", headers={**HTMX, "HX-History-Restore-Request": "true"})
        assert "<html" in page_text(restored)

    @pytest.mark.parametrize("query", ["which=%00", "which=nonsense", "words=" + "x" * 300, "page=-1", "page=x", "versions=1"])
    def test_survives_nonsense(self, office: Client, query: str) -> None:
        assert office.get(f"/quotes/?{query}").status_code in {200, 422}

    def test_asks_the_database_as_often_for_forty_quotes_as_for_two(self, office: Client, job: Job) -> None:
        counts = []
        office.get("/quotes/")
        for many in (2, 38):
            QuoteFactory.create_batch(many, job=job, state="declined")
            with CaptureQueriesContext(connection) as found:
                office.get("/quotes/")
            counts.append(len(found))
        assert counts[0] == counts[1]


@pytest.mark.django_db
class TestQuoteShow:
    def test_shows_lines_states_versions_and_how_it_was_priced(self, office: Client, job: Job, account: Account) -> None:
        freeze_quote(job=job, by=account)
        PriceTerms.objects.create(job=job, margin_percent=Decimal(40))
        freeze_quote(job=job, by=account)
        html = page_text(office.get("/quotes/1001/"))
        for words in (
            "Quote 1001, version 2",
            "The client accepts",
            "more than the version before",
            "How it was priced",
            "waits for",
        ):
            assert words in html
        assert "This is not the newest version" in page_text(office.get("/quotes/1001/1/"))

    def test_shows_no_more_lines_than_a_page_holds(self, office: Client, job: Job) -> None:
        QuoteFactory(job=job, number=7, lines=300)
        html = page_text(office.get("/quotes/7/"))
        assert html.count("patched by hand") == 199
        assert "Only the first 200 lines" in html

    def test_asks_the_database_as_often_for_many_lines(self, office: Client, job: Job) -> None:
        QuoteFactory(job=job, number=7, lines=1)
        QuoteFactory(job=make_job(), number=8, lines=150)
        office.get("/quotes/7/")
        counts = []
        for number in (7, 8):
            with CaptureQueriesContext(connection) as found:
                office.get(f"/quotes/{number}/")
            counts.append(len(found))
        assert counts[0] == counts[1]

    @pytest.mark.parametrize("address", ["/quotes/5/", "/quotes/1001/9/", "/quotes/99999999999999999999/", "/quotes/0/0/"])
    def test_answers_404_to_unknown_quotes(self, office: Client, address: str) -> None:
        assert office.get(address).status_code == 404

    def test_escapes_what_people_typed(self, office: Client, job: Job) -> None:
        QuoteFactory(job=job, number=7, scope="<script>alert(1)</script>", terms="<img src=x>")
        html = page_text(office.get("/quotes/7/"))
        assert "<script>alert" not in html
        assert "<img src=x" not in html

    def test_survives_content_of_another_form(self, office: Client, job: Job) -> None:
        QuoteFactory(job=job, number=7, content={}, inner={"figures": [{"key": 1}, 7, None]})
        assert office.get("/quotes/7/").status_code == 200


@pytest.mark.django_db
class TestQuoteMove:
    def test_marks_and_undoes(self, office: Client, job: Job) -> None:
        quote = QuoteFactory(job=job, number=7)
        office.post("/quotes/7/1/move/", {"to": "accepted"})
        quote.refresh_from_db()
        assert quote.state == "accepted"
        assert "Marked accepted by" in page_text(office.get("/quotes/7/"))
        office.post("/quotes/7/1/move/", {"to": "offered"})
        quote.refresh_from_db()
        assert quote.state == "offered"

    @pytest.mark.parametrize("to", ["", "superseded", "nonsense", "\x00", "x" * 500])
    def test_says_no_to_other_moves(self, office: Client, job: Job, to: str) -> None:
        quote = QuoteFactory(job=job, number=7)
        html = page_text(office.post("/quotes/7/1/move/", {"to": to}, follow=True))
        assert "choose one of the moves shown" in html
        quote.refresh_from_db()
        assert quote.state == "offered"

    def test_is_for_those_who_write_quotes(self, signed_in: Callable[[Role], Client], job: Job) -> None:
        QuoteFactory(job=job, number=7)
        maker = signed_in(Role.MAKER)
        assert maker.post("/quotes/7/1/move/", {"to": "accepted"}).status_code == 403
        assert "The client accepts" not in page_text(maker.get("/quotes/7/"))


@pytest.mark.django_db
class TestQuotePrint:
    def test_asks_once_while_a_print_is_on_its_way(self, office: Client, job: Job) -> None:
        quote = QuoteFactory(job=job, number=7)
        for _ in range(2):
            assert office.post("/quotes/7/1/print/").status_code == 302
        assert Document.objects.filter(kind="quote", subject_id=quote.pk).count() == 1
        Document.objects.update(state="failed", reason="no paper")
        office.post("/quotes/7/1/print/")
        assert Document.objects.count() == 2
