"""The printed request for a payment: what is due, by when, for which agreed quote. It is no invoice and says so."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from costing.errors import PaymentRefused
from costing.models import PaymentRequest
from costing.printing import long_day, profile_when_frozen
from costing.services.payments import number_of, standing_requests
from studio.documents.pdf import render_pdf, studio_logo
from studio.documents.registry import RenderedFile
from studio.models import Document, StudioProfile
from studio.web.context import using_profile

TEMPLATE = "print/payment_request.html"
# Where the studio is to be reached and who it is holds for today, money and language are those of the quote.
OF_TODAY = ("name", "address", "email", "phone", "website", "registration")


def render_payment(document: Document) -> RenderedFile:
    """Lay out the print of a request for payment."""
    found = PaymentRequest.objects.select_related("quote__job").filter(pk=document.subject_id).first()
    if found is None or found.asked_on is None or found.due_on is None:
        raise PaymentRefused("This payment is not asked for any more; ask for it again to print it.")
    if found.cancelled_at is not None:
        raise PaymentRefused("This request was cancelled when the acceptance was taken back.")
    profile = profile_when_frozen(found.quote)
    now = StudioProfile.objects.current()
    for name in OF_TODAY:
        setattr(profile, name, getattr(now, name))
    logo = studio_logo()
    with using_profile(profile):
        context = payment_context(found, profile, asked=found.asked_on, due=found.due_on) | {"has_logo": bool(logo)}
        content = render_pdf(TEMPLATE, context, paper=profile.paper, images=logo)
    return RenderedFile(content=content, content_type="application/pdf", filename=f"payment-request-{context['number']}.pdf")


def payment_context(request: PaymentRequest, profile: StudioProfile, *, asked: date, due: date) -> dict[str, Any]:
    """Gather what the template prints."""
    quote, number = request.quote, number_of(request)
    rows = standing_requests(quote)
    paid = sum((row.amount for row in rows if row.paid_on is not None and row.position < request.position), Decimal(0))
    later = sum((row.amount for row in rows if row.position > request.position), Decimal(0))
    content = quote.content if isinstance(quote.content, dict) else {}
    answer = quote.answers.filter(taken_back_at=None).first()
    return {
        "number": number,
        "quote": quote,
        "spoken": str(quote)[:1].lower() + str(quote)[1:],
        "request": request,
        "content": content,
        "profile": profile,
        "asked": long_day(asked, profile),
        "due": long_day(due, profile),
        "agreed_on": long_day(timezone.localdate(answer.answered_at), profile) if answer else "",
        "paid_before": paid,
        "later": later,
        "contact": [part for part in (profile.phone, profile.email, profile.website, profile.registration) if part],
        "block_facts": [
            ("Client", content.get("client", {}).get("name", "")),
            ("Quote", f"{quote.number}, version {quote.version}"),
            ("Date", long_day(asked, profile)),
            ("Due", long_day(due, profile)),
        ],
    }
