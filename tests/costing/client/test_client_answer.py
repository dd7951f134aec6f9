import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils import timezone

from costing.client import limits
from costing.errors import AnswerRefused
from costing.models import PaymentRequest, Quote, QuoteAnswer, QuoteLink
from costing.services.agreement import Said
from costing.services.answers import answer_by_link
from costing.services.links import make_link
from costing.services.quote_moves import move_quote
from jobs.models import Job, Plan, Timetable
from materials.errors import Busy
from materials.models import Lot
from studio.models import Account, Document
from tests.factories import LotFactory, QuoteFactory

pytestmark = pytest.mark.django_db


def text_of(answer: object) -> str:
    return re.sub(r"[\s\u00a0]+", " ", answer.content.decode())


@pytest.fixture
def path(quote: Quote) -> str:
    return f"/q/{make_link(quote=quote, by=None)}/"


ACCEPT = {"to": "accepted", "name": "Ada Willow", "words": "Gladly.", "agreed": "on", "option": ["2"], "total": "132.00"}


class TestAccepting:
    def test_is_confirmed_on_a_page_of_its_own_and_then_stands(self, client: Client, quote: Quote, path: str) -> None:
        asked = client.get(f"{path}answer/", {"to": "accepted", "option": "2"})
        words = text_of(asked)
        assert asked["Referrer-Policy"] == "same-origin"
        assert "Option no. 2" in words
        assert "Option no. 1" not in words
        assert "total €132.00" in words
        total = re.search(r'name="total" value="([^"]*)"', words)
        assert total is not None
        answer = client.post(f"{path}answer/", {**ACCEPT, "total": total.group(1)})
        assert answer.status_code == 302
        assert answer["Location"] == path
        kept = QuoteAnswer.objects.get()
        assert (kept.kind, kept.name, kept.words, kept.option_positions) == ("accepted", "Ada Willow", "Gladly.", [2])
        assert kept.gross == Decimal("132.00")
        assert kept.link == QuoteLink.objects.get()
        quote.refresh_from_db()
        assert quote.state == "accepted"
        assert (quote.agreed_net, quote.agreed_tax, quote.agreed_gross) == (110, 22, 132)
        assert list(quote.options.filter(chosen=True).values_list("position", flat=True)) == [2]
        after = text_of(client.get(path))
        assert "Accepted by Ada Willow" in after
        assert 'Agreed in all: <b><span class="number">€132.00' in after
        assert "“Gladly.”" in after
        assert "answer/" not in after
        assert "answer/" not in text_of(client.get(f"{path}answer/"))

    def test_reserves_stock_proposes_days_and_asks_for_the_first_payment(
        self, client: Client, quote: Quote, path: str, account: Account
    ) -> None:
        lot = LotFactory(material=Plan.objects.get(job=quote.job_id).rubber, component="whole", holding=90_000)
        client.post(f"{path}answer/", ACCEPT)
        assert Job.objects.get(pk=quote.job_id).state == "agreed"
        lot.refresh_from_db()
        assert lot.reserved_g > 1000
        assert f"Job {quote.job.number} is agreed" in Timetable.objects.get().news[0]
        assert Timetable.objects.get().used_at is None
        first, second = PaymentRequest.objects.all()
        today = timezone.localdate()
        assert (first.amount, first.asked_on, first.due_on) == (66, today, today + timedelta(days=14))
        assert (second.amount, second.asked_on) == (66, None)
        assert Document.objects.get(kind="payment_request").subject_id == first.pk
        move_quote(quote=quote, to="offered", by=account)
        assert Lot.objects.get().reserved_g == 0
        assert "not agreed any more" in Timetable.objects.get().news[-1]
        assert PaymentRequest.objects.filter(cancelled_at=None).count() == 0
        assert QuoteAnswer.objects.get().taken_back_at is not None
        assert Quote.objects.get().agreed_gross is None
        assert not quote.options.filter(chosen=True).exists()
        assert "Accept this quote" in text_of(client.get(path))
        assert client.post(f"{path}answer/", {**ACCEPT, "option": [], "total": "120"}).status_code == 302
        assert QuoteAnswer.objects.count() == 2

    @pytest.mark.parametrize(
        ("wrong", "words"),
        [
            ({"name": "  "}, "Write your name"),
            ({"name": "x" * 121}, "at most 120"),
            ({"name": "\x00"}, "Null characters"),
            ({"words": "x" * 2001}, "at most 2000"),
            ({"agreed": ""}, "Tick this box"),
        ],
    )
    def test_says_what_is_missing_and_keeps_what_was_typed(
        self, client: Client, path: str, wrong: dict[str, str], words: str
    ) -> None:
        answer = client.post(f"{path}answer/", {**ACCEPT, **wrong})
        assert answer.status_code == 422
        assert words in text_of(answer)
        assert 'name="option" value="2"' in text_of(answer)
        assert not QuoteAnswer.objects.exists()

    @pytest.mark.parametrize("total", ["120.00", "132.01", "-132", "", "NaN", "1e3", "0"])
    def test_is_refused_for_another_total_than_was_shown(self, client: Client, path: str, total: str) -> None:
        answer = client.post(f"{path}answer/", {**ACCEPT, "total": total})
        assert answer.status_code in {409, 422}
        assert "agreed_gross" not in text_of(answer)
        assert 'value="132.0' in text_of(answer)
        assert "checked" not in text_of(answer) or answer.status_code == 422
        assert not QuoteAnswer.objects.exists()

    def test_shows_hostile_words_as_words(self, client: Client, office: Client, quote: Quote, path: str) -> None:
        payload = "<img src=x onerror=alert(1)>'; DROP TABLE costing_quote; -- {{7*7}}"
        client.post(f"{path}answer/", {**ACCEPT, "name": payload[:120], "words": payload})
        for page in (client.get(path), office.get(f"/quotes/{quote.number}/1/"), office.get("/quotes/")):
            assert "<img src=x" not in text_of(page)
            assert "&lt;img src=x" in text_of(page)
            assert "{{7*7}}" in text_of(page)
        assert QuoteAnswer.objects.get().words == payload
        assert Quote.objects.count() == 1


class TestDeclining:
    def test_wants_a_name_and_no_box(self, client: Client, quote: Quote, path: str) -> None:
        assert "Decline this quote" in text_of(client.get(f"{path}answer/", {"to": "declined"}))
        assert client.post(f"{path}answer/", {"to": "declined", "name": ""}).status_code == 422
        assert client.post(f"{path}answer/", {"to": "declined", "name": "Ada", "words": "Too dear."}).status_code == 302
        quote.refresh_from_db()
        assert (quote.state, quote.agreed_gross) == ("declined", None)
        assert Job.objects.get(pk=quote.job_id).state == "declined"
        assert not PaymentRequest.objects.exists()
        assert "Declined by Ada" in text_of(client.get(path))


class TestAnsweringOnce:
    def test_a_second_answer_is_refused(self, client: Client, path: str) -> None:
        client.post(f"{path}answer/", ACCEPT)
        again = client.post(f"{path}answer/", {**ACCEPT, "name": "Somebody else"})
        assert again.status_code == 409
        assert "already" in text_of(again)
        assert "Accepted by Ada Willow" in text_of(again)
        assert client.post(f"{path}answer/", {"to": "declined", "name": "Ada"}).status_code == 409
        assert QuoteAnswer.objects.count() == 1
        assert PaymentRequest.objects.count() == 2

    def test_the_database_holds_it_as_well(self, client: Client, quote: Quote, path: str) -> None:
        client.post(f"{path}answer/", ACCEPT)
        with pytest.raises(IntegrityError), transaction.atomic():
            QuoteAnswer.objects.create(quote=quote, kind="declined", name="Other", gross=1)

    def test_not_after_the_validity_has_ended(self, client: Client, quote: Quote, path: str) -> None:
        Quote.objects.update(valid_until_on=timezone.localdate() - timedelta(days=1))
        page = text_of(client.get(path))
        assert "was valid until" in page
        assert "Accept this quote" not in page
        refused = client.post(f"{path}answer/", ACCEPT)
        assert refused.status_code == 409
        assert "validity of this quote has ended" in text_of(refused)
        Quote.objects.update(valid_until_on=timezone.localdate())
        assert client.post(f"{path}answer/", ACCEPT).status_code == 302

    @pytest.mark.parametrize(("state", "words"), [("superseded", "later version"), ("withdrawn", "withdrawn")])
    def test_not_when_it_does_not_stand(self, client: Client, path: str, state: str, words: str) -> None:
        Quote.objects.update(state=state)
        refused = client.post(f"{path}answer/", ACCEPT)
        assert refused.status_code == 410
        assert words in text_of(refused)
        # What changes between the look at the link and the lock is seen under the lock.
        with pytest.raises(AnswerRefused, match="does not stand"):
            answer_by_link(link=QuoteLink.objects.get(), kind="accepted", said=Said(name="Ada"), shown_gross=Decimal(120))

    def test_not_through_a_link_that_ended_meanwhile(self, quote: Quote, path: str) -> None:
        link = QuoteLink.objects.get()
        make_link(quote=quote, by=None)
        with pytest.raises(AnswerRefused, match="opens nothing"):
            answer_by_link(link=link, kind="accepted", said=Said(name="Ada"), shown_gross=Decimal(120))

    def test_not_with_an_option_of_another_quote(self, quote: Quote, path: str) -> None:
        said = Said(name="Ada", positions=(1, 7))
        with pytest.raises(AnswerRefused, match="not in this quote"):
            answer_by_link(link=QuoteLink.objects.get(), kind="accepted", said=said, shown_gross=Decimal(180))

    def test_trouble_in_the_studio_is_no_concern_of_the_client(
        self, client: Client, quote: Quote, path: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def trouble(**_: object) -> None:
            raise Busy("Lot 7 of the secret rubber is held by another hand.")

        monkeypatch.setattr("costing.services.quote_moves.bring_job", trouble)
        answer = client.post(f"{path}answer/", ACCEPT)
        assert answer.status_code == 409
        assert "secret rubber" not in text_of(answer)
        assert "once more in a minute" in text_of(answer)
        quote.refresh_from_db()
        assert quote.state == "offered"
        assert not QuoteAnswer.objects.exists()

    def test_too_many_answers_rest(self, client: Client, path: str, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(limits, "MOST_ANSWERS", 2)
        assert [client.post(f"{path}answer/", {}).status_code for _ in range(3)] == [422, 422, 429]
        assert client.get(path).status_code == 200

    def test_wants_the_forgery_token(self, path: str) -> None:
        strict = Client(enforce_csrf_checks=True)
        assert strict.post(f"{path}answer/", ACCEPT).status_code == 403


class TestMarkOfTheStudio:
    def test_keeps_who_it_was_and_what_they_chose(self, office: Client, quote: Quote) -> None:
        place = f"/quotes/{quote.number}/1/"
        assert "Options they chose" in text_of(office.get(place))
        office.post(f"{place}move/", {"to": "accepted", "name": "Ada by telephone", "words": "Yes.", "option": ["1", "88", "x"]})
        kept = QuoteAnswer.objects.get()
        assert (kept.name, kept.option_positions, kept.gross, kept.link) == ("Ada by telephone", [1], 180, None)
        page = text_of(office.get(place))
        assert "Accepted by Ada by telephone" in page
        assert "Days are proposed" in page or "days are being planned" in page
        block = page.partition('<dl class="titleblock-figures">')[2].partition("</dl>")[0]
        for label, amount in (("Agreed, with tax", "180.00"), ("Paid", "0.00"), ("Not paid yet", "180.00")):
            assert re.search(rf"<dt>{label}</dt><dd>.*?{amount}", block), label
        # 120 offered, and 50 of the option with a fifth of tax.
        assert re.search(r"Option no\. 1, with tax</span> <span class=\"value\"><span class=\"number\">€60\.00", block)
        assert "Ada by telephone" in text_of(office.get("/quotes/"))
        assert office.post(f"{place}move/", {"to": "offered"}).status_code == 302
        assert "Marks taken back" in text_of(office.get(place))

    def test_refuses_too_many_words_and_keeps_them(self, office: Client, quote: Quote) -> None:
        sent = {"to": "accepted", "name": "Ada", "words": "y" * 2001, "option": ["2"]}
        answer = office.post(f"/quotes/{quote.number}/1/move/", sent)
        assert answer.status_code == 422
        assert "y" * 2001 in text_of(answer)
        assert 'value="2" checked' in text_of(answer)
        assert not QuoteAnswer.objects.exists()

    def test_takes_the_client_for_who_answered_where_nobody_is_named(self, quote: Quote, account: Account) -> None:
        move_quote(quote=quote, to="declined", by=account)
        assert QuoteAnswer.objects.get().name == "Orchard House"

    def test_a_quote_marked_before_answers_were_kept_still_reads(self, client: Client, job: Job) -> None:
        quote = QuoteFactory(job=job, state="accepted")
        page = text_of(client.get(f"/q/{make_link(quote=quote, by=None)}/"))
        assert '<b id="answered">Accepted</b>' in page
