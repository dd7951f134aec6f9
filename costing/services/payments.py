"""Requests for payment of an accepted quote: made by its stages, asked for, marked paid, each undone as easily."""

import datetime
from datetime import timedelta
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from costing.errors import PaymentRefused
from costing.models import PaymentRequest, Quote
from costing.services.numbering import lock_numbers
from costing.services.stages import stages_of
from studio.documents.outbox import request_document
from studio.models import Account, StudioProfile

DOCUMENT_KIND = "payment_request"


def ask_first(*, quote: Quote, gross: Decimal, by: Account | None) -> None:
    """Make the requests of an agreed total, one a stage, and ask for the first; inside the lock of who agrees."""
    made = [
        PaymentRequest.objects.create(
            quote=quote, position=stage.position, moment=stage.moment, label=stage.label, amount=stage.amount, changed_by=by
        )
        for stage in stages_of(quote, gross)
    ]
    if made:
        _ask(made[0], by)


@transaction.atomic
def ask_payment(*, request: PaymentRequest, by: Account | None) -> PaymentRequest:
    """Ask for a stage today: it is due after the studio's days to pay, and its print is made."""
    fresh = _fresh(request)
    if fresh.asked_on is not None:
        raise PaymentRefused("This payment was asked for already; its date stands on the page.")
    waiting = PaymentRequest.objects.filter(
        quote=fresh.quote, cancelled_at=None, asked_on=None, position__lt=fresh.position
    ).first()
    if waiting is not None:
        raise PaymentRefused(f"“{waiting.label}” comes first and was not asked for yet.")
    return _ask(fresh, by)


@transaction.atomic
def unask_payment(*, request: PaymentRequest, by: Account | None) -> PaymentRequest:
    """Take a request back that was sent too early."""
    fresh = _fresh(request)
    if fresh.paid_on is not None:
        raise PaymentRefused("This payment has come. Take that mark back first.")
    later = PaymentRequest.objects.filter(quote=fresh.quote, cancelled_at=None, position__gt=fresh.position)
    if later.exclude(asked_on=None).exists():
        raise PaymentRefused("A later payment was asked for already; take that one back first.")
    fresh.asked_on = fresh.due_on = None
    return _kept(fresh, by)


@transaction.atomic
def mark_paid(*, request: PaymentRequest, on: datetime.date, by: Account | None) -> PaymentRequest:
    """Write down on which day a payment came."""
    fresh = _fresh(request)
    if fresh.asked_on is None:
        raise PaymentRefused("This payment was not asked for yet; ask for it first.")
    if on > timezone.localdate():
        raise PaymentRefused("That day is still to come; write the day on which the money came.")
    if on < fresh.quote.issued_on:
        raise PaymentRefused("That day lies before the quote; write the day on which the money came.")
    fresh.paid_on = on
    return _kept(fresh, by)


@transaction.atomic
def mark_unpaid(*, request: PaymentRequest, by: Account | None) -> PaymentRequest:
    """Take the mark back that a payment came."""
    fresh = _fresh(request)
    fresh.paid_on = None
    return _kept(fresh, by)


def cancel_unpaid(*, quote: Quote, by: Account | None) -> None:
    """Cancel what was not paid when an acceptance is taken back; inside the lock of who takes it back."""
    standing = PaymentRequest.objects.filter(quote=quote, cancelled_at=None)
    paid = standing.exclude(paid_on=None).first()
    if paid is not None:
        raise PaymentRefused(
            f"“{paid.label}” is marked as paid, so the acceptance stays. If that mark is wrong, take it back first; "
            "if the money came, settle it with the client before."
        )
    standing.update(cancelled_at=timezone.now(), changed_by=by)


def standing_requests(quote: Quote) -> list[PaymentRequest]:
    """Return the requests of a quote that were not cancelled, in their order."""
    return list(PaymentRequest.objects.filter(quote=quote, cancelled_at=None).order_by("position"))


def number_of(request: PaymentRequest) -> str:
    """Return the number that the client gives with a payment; made again after a cancelled one it gets a letter more."""
    before = PaymentRequest.objects.filter(quote=request.quote, position=request.position, pk__lt=request.pk).count()
    letter = chr(ord("a") + before) if 0 < before < 26 else ""
    return f"{request.quote.number}-{request.quote.version}-{request.position}{letter}"


def _fresh(request: PaymentRequest) -> PaymentRequest:
    # Whoever agrees or takes back holds this lock too, so that nothing is asked for that is just being cancelled.
    lock_numbers()
    fresh: PaymentRequest = PaymentRequest.objects.select_related("quote").get(pk=request.pk)
    if fresh.cancelled_at is not None:
        raise PaymentRefused("This request was cancelled when the acceptance was taken back.")
    return fresh


def _ask(request: PaymentRequest, by: Account | None) -> PaymentRequest:
    today = timezone.localdate()
    request.asked_on = today
    request.due_on = today + timedelta(days=StudioProfile.objects.current().payment_due_days)
    title = f"Payment request {number_of(request)}"
    request_document(kind=DOCUMENT_KIND, subject_id=request.pk, title=title, by=by)
    return _kept(request, by)


def _kept(request: PaymentRequest, by: Account | None) -> PaymentRequest:
    request.changed_by = by
    request.save(update_fields=["asked_on", "due_on", "paid_on", "changed_by"])
    return request
