from dataclasses import replace
from decimal import Decimal

import pytest
import time_machine
from django.db import IntegrityError, transaction

from costing.errors import PriceHasMoved, QuoteIsAgreed, VersionTaken
from costing.inputs import planned
from costing.models import PriceTerms, Quote, QuoteSequence
from costing.services.offer import suggested_offer
from costing.services.quote_moves import move_quote
from costing.services.quotes import freeze_quote, latest_quote
from jobs.models import Job, Plan
from studio.models import Account, Document, StudioProfile
from tests.costing.rows import make_job


@pytest.mark.django_db
class TestFreezeQuote:
    def test_numbers_dates_and_adds_up(self, job: Job, account: Account) -> None:
        StudioProfile.objects.current()
        with time_machine.travel("2026-03-02 09:00", tick=False):
            quote = freeze_quote(job=job, by=account)
        assert (quote.number, quote.version, quote.state) == (1001, 1, "offered")
        assert (quote.valid_until_on - quote.issued_on).days == 30
        lines = list(quote.lines.all())
        assert [line.kind for line in lines] == ["mold", "casting"]
        assert sum(line.net for line in lines) == quote.net_total
        assert sum(line.tax for line in lines) == quote.tax_total
        assert quote.net_total + quote.tax_total == quote.gross_total
        assert quote.deposit + quote.balance == quote.gross_total
        for line in lines:
            assert line.quantity * line.unit_price == line.net

    def test_asks_for_its_print(self, job: Job, account: Account) -> None:
        quote = freeze_quote(job=job, by=account)
        document = Document.objects.get(kind="quote", subject_id=quote.pk)
        assert document.state == "queued"
        assert document.title == "Quote 1001"

    def test_brings_the_job_to_quoted(self, job: Job, account: Account) -> None:
        freeze_quote(job=job, by=account)
        job.refresh_from_db()
        assert job.state == Job.State.QUOTED

    def test_leaves_a_job_in_the_making_as_it_is(self, job: Job, account: Account) -> None:
        Job.objects.filter(pk=job.pk).update(state=Job.State.WORKING)
        job.refresh_from_db()
        freeze_quote(job=job, by=account)
        job.refresh_from_db()
        assert job.state == Job.State.WORKING

    def test_again_makes_the_next_version_and_replaces_the_offer(self, job: Job, account: Account) -> None:
        first, second = freeze_quote(job=job, by=account), freeze_quote(job=job, by=account)
        first.refresh_from_db()
        assert (second.number, second.version) == (first.number, 2)
        assert (first.state, second.state) == ("superseded", "offered")
        assert latest_quote(job) == second

    def test_of_another_job_takes_the_next_number(self, job: Job, account: Account) -> None:
        assert [freeze_quote(job=one, by=account).number for one in (job, make_job(title="Relief"))] == [1001, 1002]

    def test_goes_on_from_the_highest_number_there_is(self, job: Job, account: Account) -> None:
        QuoteSequence.objects.create(pk=1, last_number=2400)
        assert freeze_quote(job=job, by=account).number == 2401

    def test_does_not_change_when_the_plan_or_the_rates_do(self, job: Job, account: Account) -> None:
        quote = freeze_quote(job=job, by=account)
        kept = (quote.gross_total, quote.content, quote.inner)
        Plan.objects.filter(job=job).update(wall_mm=20, castings=50)
        StudioProfile.objects.update(labour_rate_per_h=90, currency="USD", name="Another name")
        quote = Quote.objects.get(pk=quote.pk)
        assert (quote.gross_total, quote.content, quote.inner) == kept
        assert quote.content["studio"]["name"] == "Our studio"

    def test_takes_the_castings_and_the_deposit_of_the_offer(self, job: Job, account: Account) -> None:
        StudioProfile.objects.update(deposit_covers_special=False)
        offer = replace(suggested_offer(planned(job), StudioProfile.objects.current()), castings=2, deposit_percent=Decimal(25))
        quote = freeze_quote(job=job, offer=offer, by=account)
        casting = quote.lines.get(kind="casting")
        assert casting.quantity == 2
        assert quote.deposit == (quote.gross_total / 4).quantize(Decimal("0.01"), rounding="ROUND_HALF_UP")

    def test_gives_the_other_expense_a_line(self, job: Job, account: Account) -> None:
        PriceTerms.objects.create(job=job, extra_label="Crate", extra_cost=Decimal(40), margin_percent=Decimal(20))
        assert freeze_quote(job=job, by=account).lines.get(kind="extra").net == Decimal(50)

    @pytest.mark.parametrize(("currency", "step"), [("JPY", "1"), ("KWD", "0.001")])
    def test_keeps_every_charge_as_a_line_and_payments_that_make_up_the_total(
        self, job: Job, account: Account, currency: str, step: str
    ) -> None:
        StudioProfile.objects.update(currency=currency, storage_per_month=Decimal("3.35"), minimum_charge=Decimal(9000))
        PriceTerms.objects.create(
            job=job, casting_tax_percent=Decimal(9), rush_percent=Decimal("12.5"), discount_percent=Decimal("3.33"),
            discount_label="second order", storage_months=6,
            payment_stages=[["agreed", "33.33"], ["opened", "33.33"], ["ready", "33.34"]],
        )  # fmt: skip
        quote = freeze_quote(job=job, by=account)
        lines = list(quote.lines.all())
        assert [line.kind for line in lines] == [
            "mold", "casting", "rush", "rush", "discount", "discount", "storage", "minimum", "minimum",
        ]  # fmt: skip
        assert sum(line.net for line in lines) == quote.net_total == 9000
        assert sum(line.tax for line in lines) == quote.tax_total
        paid = [(item["moment"], Decimal(item["amount"])) for item in quote.content["payments"]]
        assert [moment for moment, _ in paid] == ["agreed", "opened", "ready"]
        assert sum(amount for _, amount in paid) == quote.gross_total
        assert paid[0][1] == quote.deposit
        assert all(amount % Decimal(step) == 0 for amount in (*(line.net for line in lines), *(due for _, due in paid)))

    def test_refuses_when_the_total_is_not_the_one_seen(self, job: Job, account: Account) -> None:
        with pytest.raises(PriceHasMoved):
            freeze_quote(job=job, by=account, seen_total=Decimal("1.00"))
        assert not Quote.objects.exists()
        assert not Document.objects.exists()

    def test_refuses_a_second_press_of_the_button(self, job: Job, account: Account) -> None:
        freeze_quote(job=job, by=account, after_version=0)
        with pytest.raises(VersionTaken, match="Quote 1001"):
            freeze_quote(job=job, by=account, after_version=0)
        assert Quote.objects.count() == 1

    def test_refuses_to_replace_what_is_accepted(self, job: Job, account: Account) -> None:
        move_quote(quote=freeze_quote(job=job, by=account), to="accepted", by=account)
        with pytest.raises(QuoteIsAgreed):
            freeze_quote(job=job, by=account)

    @pytest.mark.parametrize(("currency", "places"), [("JPY", 0), ("EUR", 2), ("KWD", 3)])
    def test_rounds_to_the_coins_of_the_currency(self, job: Job, account: Account, currency: str, places: int) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(currency=currency)
        quote = freeze_quote(job=job, by=account)
        for line in quote.lines.all():
            for amount in (line.unit_price, line.net, line.tax):
                assert amount == round(amount, places)
        assert quote.net_total + quote.tax_total == quote.gross_total


@pytest.mark.django_db
class TestQuoteRows:
    def test_refuse_a_total_that_does_not_add_up(self, job: Job) -> None:
        with pytest.raises(IntegrityError), transaction.atomic():
            self._make(job, net="100.00", tax="20.00", gross="120.01")

    # 0.1 + 0.2 is not 0.3 in binary fractions, which is how SQLite keeps them; the rule must not trip over that.
    @pytest.mark.parametrize(("net", "tax", "gross"), [("0.10", "0.20", "0.30"), ("1234567.89", "246913.58", "1481481.47")])
    def test_take_totals_that_do(self, job: Job, net: str, tax: str, gross: str) -> None:
        assert self._make(job, net=net, tax=tax, gross=gross).pk

    def test_refuse_two_standing_quotes_of_one_job(self, job: Job) -> None:
        self._make(job, net="1", tax="0", gross="1")
        with pytest.raises(IntegrityError), transaction.atomic():
            self._make(job, net="1", tax="0", gross="1", number=8)

    def _make(self, job: Job, *, net: str, tax: str, gross: str, number: int = 7) -> Quote:
        made: Quote = Quote.objects.create(
            job=job, number=number, issued_on="2026-03-02", valid_until_on="2026-04-01", currency="EUR",
            net_total=Decimal(net), tax_total=Decimal(tax), gross_total=Decimal(gross),
        )  # fmt: skip
        return made
