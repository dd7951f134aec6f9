import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from costing.errors import PaymentRefused
from costing.models import PaymentRequest, Quote
from costing.services.agreement import Said
from costing.services.payments import ask_payment, mark_paid, mark_unpaid, number_of, unask_payment
from costing.services.quote_moves import move_quote
from costing.services.stages import stages_of
from studio.documents.files import path_of
from studio.documents.rendering import render_document
from studio.models import Account, Document, StudioProfile


@pytest.fixture
def agreed(quote: Quote, account: Account) -> Quote:
    """Return a quote agreed with an option, 180 in all."""
    StudioProfile.objects.update_or_create(pk=1, defaults={"name": "Two Willows", "registration": "No. 4711"})
    return move_quote(quote=quote, to="accepted", by=account, said=Said(name="Ada", positions=(1,)))


@pytest.mark.django_db
class TestPayments:
    def test_are_asked_for_one_after_the_other_and_undone(self, agreed: Quote, account: Account) -> None:
        first, second = PaymentRequest.objects.all()
        assert [first.amount, second.amount] == [90, 90]
        today = timezone.localdate()
        with pytest.raises(PaymentRefused, match="already"):
            ask_payment(request=first, by=account)
        unask_payment(request=first, by=account)
        with pytest.raises(PaymentRefused, match="comes first"):
            ask_payment(request=second, by=account)
        with pytest.raises(PaymentRefused, match="ask for it first"):
            mark_paid(request=first, on=today, by=account)
        ask_payment(request=first, by=account)
        ask_payment(request=second, by=account)
        with pytest.raises(PaymentRefused, match="later payment"):
            unask_payment(request=first, by=account)
        assert mark_paid(request=first, on=today, by=account).paid_on == today
        for day, words in (
            (today + timedelta(days=1), "still to come"),
            (agreed.issued_on - timedelta(days=1), "before the quote"),
        ):
            with pytest.raises(PaymentRefused, match=words):
                mark_paid(request=second, on=day, by=account)
        with pytest.raises(PaymentRefused, match="marked as paid"):
            move_quote(quote=agreed, to="offered", by=account)
        assert Quote.objects.get().state == "accepted"
        mark_unpaid(request=first, by=account)
        move_quote(quote=agreed, to="offered", by=account)
        with pytest.raises(PaymentRefused, match="cancelled"):
            mark_paid(request=first, on=today, by=account)
        move_quote(quote=agreed, to="accepted", by=account)
        anew = PaymentRequest.objects.get(cancelled_at=None, position=1)
        assert number_of(first) == f"{agreed.number}-1-1"
        assert number_of(anew) == f"{agreed.number}-1-1b"

    def test_stand_on_the_quotes_page_with_what_can_be_done(self, agreed: Quote, office: Client) -> None:
        place, first = f"/quotes/{agreed.number}/1/", PaymentRequest.objects.get(position=1)
        page = office.get(place).content.decode()
        assert "it is no invoice" in page
        assert "Ask for it now" in page
        for act in ("paid", "unpaid", "unask", "ask"):
            data = {"paid_on": timezone.localdate().isoformat()} if act == "paid" else {}
            answer = office.post(f"{place}payments/{first.pk}/{act}/", data)
            assert answer["Location"] == f"{place}#payments"
            first.refresh_from_db()
            assert (first.paid_on is not None, first.asked_on is not None) == {
                "paid": (True, True), "unpaid": (False, True), "unask": (False, False), "ask": (False, True),
            }[act]  # fmt: skip
        office.post(f"{place}payments/{first.pk}/paid/", {"paid_on": "someday"})
        assert "Write the day" in office.get(place).content.decode()
        assert office.post(f"/quotes/{agreed.number + 1}/1/payments/{first.pk}/paid/", {}).status_code == 404

    def test_are_printed_with_number_amount_and_day(self, agreed: Quote) -> None:
        document = Document.objects.get(kind="payment_request")
        render_document(document.pk)
        document.refresh_from_db()
        assert document.state == "ready", document.reason
        words = " ".join(PdfReader(io.BytesIO(path_of(document).read_bytes())).pages[0].extract_text().split())
        for part in (f"Payment request {agreed.number}-1-1", "€90.00", "€180.00", "No. 4711", "not an invoice", "Orchard House"):
            assert part in words
        assert document.file_name == f"payment-request-{agreed.number}-1-1.pdf"


class TestStages:
    @given(
        amounts=st.lists(st.integers(1, 10**7), min_size=1, max_size=6),
        gross=st.integers(1, 10**8),
        places=st.sampled_from([0, 2, 3]),
    )
    @settings(max_examples=200, deadline=None)
    def test_add_up_to_what_is_agreed(self, amounts: list[int], gross: int, places: int) -> None:
        step = Decimal(1).scaleb(-places)
        quote = Quote(content={
            "money": {"places": places},
            "payments": [{"label": f"Stage {n}", "amount": str(amount * step)} for n, amount in enumerate(amounts)],
        })  # fmt: skip
        found = stages_of(quote, gross * step)
        assert sum(stage.amount for stage in found) == gross * step
        assert all(stage.amount > 0 and stage.amount % step == 0 for stage in found)

    def test_stand_as_they_were_frozen_without_options(self) -> None:
        frozen = [
            {"label": "Deposit", "moment": "agreed", "amount": "33.33"},
            {"label": "Rest", "moment": "ready", "amount": "66.67"},
        ]
        quote = Quote(content={"payments": frozen})
        assert [(s.moment, s.amount) for s in stages_of(quote, Decimal(100))] == [
            ("agreed", Decimal("33.33")), ("ready", Decimal("66.67")),
        ]  # fmt: skip
        assert stages_of(Quote(content={}), Decimal(100)) == []
