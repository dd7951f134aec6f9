"""What the quote's page says of the client's link, of the answer and what follows from it, and of the payments."""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch
from django.utils import timezone

from costing.forms.answer import ToldForm
from costing.forms.link import LinkForm
from costing.forms.paid import PaidForm
from costing.models import PaymentRequest, Quote, QuoteAnswer
from costing.services.links import TO_READ, last_day_of, open_link, usual_last_day
from costing.services.payments import DOCUMENT_KIND, standing_requests
from jobs.days import reading
from jobs.services.reserving import HOLDS, Reserved, reserved_of
from studio.models import Document

# How long an answer that came through a link counts as new in the list of quotes.
ANSWERED_LATELY = timedelta(days=3)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentLine:
    """A payment with its print and what can be done with it now."""

    row: PaymentRequest
    document: Document | None
    form: PaidForm | None
    can_ask: bool
    can_unask: bool
    late: bool


def client_side(quote: Quote, *, told: ToldForm | None = None) -> dict[str, Any]:
    """Gather what the parts of the page about the client want; `told` is what was typed and refused."""
    link = open_link(quote)
    answers = list(quote.answers.select_related("link"))
    standing = next((answer for answer in answers if answer.taken_back_at is None), None)
    payments = payment_lines(quote)
    return {
        "link": link,
        "link_last_day": last_day_of(link) if link else None,
        "link_over": link is not None and link.expires_at <= timezone.now(),
        "link_form": LinkForm(initial={"last_day_on": usual_last_day(quote)}),
        "can_be_shown": quote.state in TO_READ,
        "answer": standing,
        "answers_before": [answer for answer in answers if answer.taken_back_at is not None],
        "told_form": told or ToldForm(initial={"name": quote.job.client.contact or quote.job.client.name}),
        "chosen": _chosen(quote, standing),
        "can_choose": list(quote.options.all()) if quote.state == Quote.State.OFFERED else [],
        "told_positions": told.positions if told is not None else set(),
        "payments": payments,
        "payments_paid": sum((line.row.amount for line in payments if line.row.paid_on is not None), Decimal(0)),
        "payments_open": sum((line.row.amount for line in payments if line.row.paid_on is None), Decimal(0)),
        **_made_ready(quote),
    }


def standing_answers() -> "Prefetch[str, Any, str]":
    """Fetch the answer of each quote in one query, if it was not taken back, as `answered`."""
    return Prefetch("answers", queryset=QuoteAnswer.objects.filter(taken_back_at=None), to_attr="answered")


def payment_lines(quote: Quote) -> list[PaymentLine]:
    """Set each payment beside its print, in as many queries however many there are."""
    rows = standing_requests(quote)
    prints: dict[int, Document] = {}
    asked = [row.pk for row in rows if row.asked_on]
    if asked:
        found = Document.objects.filter(kind=DOCUMENT_KIND, subject_id__in=asked).order_by("created_at", "pk")
        prints = {document.subject_id: document for document in found}
    today = timezone.localdate()
    first_waiting = next((row for row in rows if row.asked_on is None), None)
    last_asked = next((row for row in reversed(rows) if row.asked_on is not None), None)
    return [
        PaymentLine(
            row=row,
            document=prints.get(row.pk),
            form=PaidForm(initial={"paid_on": today}, auto_id=f"id_{row.pk}_%s") if row.asked_on and not row.paid_on else None,
            can_ask=row is first_waiting,
            can_unask=row is last_asked and row.paid_on is None,
            late=row.paid_on is None and row.due_on is not None and row.due_on < today,
        )
        for row in rows
    ]


def _chosen(quote: Quote, answer: QuoteAnswer | None) -> list[Any]:
    return list(quote.options.filter(chosen=True)) if answer is not None else []


def _made_ready(quote: Quote) -> dict[str, Any]:
    """Say what an acceptance set going: what is reserved or short, and the days that are proposed."""
    if quote.state != Quote.State.ACCEPTED or quote.job.state not in HOLDS:
        return {}
    reserved: Reserved = reserved_of(quote.job)
    return {"reserved": reserved, "proposal": reading.proposal(), "in_use": _in_days(quote)}


def _in_days(quote: Quote) -> bool:
    current = reading.current()
    return current is not None and current.entries.filter(job=quote.job_id).exists()
