"""Payments of an accepted quote: asked for, marked paid, each undone."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from costing.errors import PaymentRefused
from costing.forms.paid import PaidForm
from costing.models import PaymentRequest
from costing.services import payments
from studio.access import Right, account_of, needs
from studio.documents.outbox import latest_document, request_document
from studio.models import Document


@needs(Right.CHANGE_QUOTES)
@require_POST
def payment_ask(request: HttpRequest, number: int, version: int, pk: int) -> HttpResponse:
    """Ask for the next payment; its print is made."""
    return _done(request, number, version, pk, payments.ask_payment, "“{label}” is asked for. Its print is being made.")


@needs(Right.CHANGE_QUOTES)
@require_POST
def payment_unask(request: HttpRequest, number: int, version: int, pk: int) -> HttpResponse:
    """Take a request back that was made too early."""
    return _done(request, number, version, pk, payments.unask_payment, "“{label}” is not asked for any more.")


@needs(Right.CHANGE_QUOTES)
@require_POST
def payment_paid(request: HttpRequest, number: int, version: int, pk: int) -> HttpResponse:
    """Mark that a payment came."""
    _request(number, version, pk)
    form = PaidForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(str(error) for error in form.errors.get("paid_on", ())))
        return _back(number, version)
    on = form.cleaned_data["paid_on"]
    return _done(request, number, version, pk, payments.mark_paid, "“{label}” is marked as paid.", on=on)


@needs(Right.CHANGE_QUOTES)
@require_POST
def payment_unpaid(request: HttpRequest, number: int, version: int, pk: int) -> HttpResponse:
    """Take the mark back that a payment came."""
    return _done(request, number, version, pk, payments.mark_unpaid, "“{label}” is not marked as paid any more.")


@needs(Right.SEE_MONEY)
@require_POST
def payment_print(request: HttpRequest, number: int, version: int, pk: int) -> HttpResponse:
    """Ask for the print of a request again, where none is on its way."""
    found = _request(number, version, pk)
    document = latest_document(kind=payments.DOCUMENT_KIND, subject_id=found.pk)
    if found.asked_on is None:
        messages.error(request, "This payment was not asked for yet; ask for it, and its print is made.")
    elif document is None or document.state in {Document.State.READY, Document.State.FAILED}:
        title = f"Payment request {payments.number_of(found)}"
        request_document(kind=payments.DOCUMENT_KIND, subject_id=found.pk, title=title, by=account_of(request))
    return _back(number, version)


def _done(
    request: HttpRequest, number: int, version: int, pk: int, act: Callable[..., PaymentRequest], words: str, **typed: Any
) -> HttpResponse:
    found = _request(number, version, pk)
    try:
        changed = act(request=found, by=account_of(request), **typed)
    except PaymentRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, words.replace("{label}", changed.label))
    return _back(number, version)


def _request(number: int, version: int, pk: int) -> PaymentRequest:
    found: PaymentRequest = get_object_or_404(
        PaymentRequest.objects.select_related("quote"), pk=pk, quote__number=number, quote__version=version
    )
    return found


def _back(number: int, version: int) -> HttpResponse:
    answer = redirect("costing:quote_show", number=number, version=version)
    answer["Location"] += "#payments"
    return answer
