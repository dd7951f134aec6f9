"""Freezing a quote: numbered, dated, its lines adding up, its print under way."""

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from costing.engine.estimate import Estimate
from costing.errors import PriceHasMoved, QuoteIsAgreed, VersionTaken
from costing.inputs import PlannedJob, planned
from costing.models import Quote, QuoteLine
from costing.services.content import content_of, inner_of, line_text
from costing.services.job_state import bring_job
from costing.services.numbering import lock_numbers, take_number
from costing.services.offer import Offer, estimate_of, suggested_offer
from costing.services.options import PricedOption, fingerprint, freeze_options, options_of
from costing.services.versions import differences, readable
from jobs.models import Job
from studio.documents.outbox import request_document
from studio.models import Account, StudioProfile

DOCUMENT_KIND = "quote"
# More would fill a page of the print; the studio's page holds them all.
MOST_CHANGES = 40


def freeze_quote(
    *,
    job: Job,
    by: Account | None,
    offer: Offer | None = None,
    seen_total: Decimal | None = None,
    after_version: int | None = None,
    seen_options: str | None = None,
) -> Quote:
    """Freeze, number and date an offer of a job's plan, and ask for its print.

    The first quote of a job takes the next number; a later one becomes the next version of it, and the version that was
    offered is replaced. `seen_total`, `after_version` and `seen_options` are what the person saw: the total with tax, the
    newest version (0 for none) and the mark of the options; when one has moved, nothing is frozen.
    """
    profile = StudioProfile.objects.current()
    found = planned(job)
    offer = offer or suggested_offer(found, profile)
    estimate = estimate_of(found, profile, offer)
    gross = estimate.totals.exact.gross
    if seen_total is not None and seen_total != gross:
        raise PriceHasMoved(
            "The total is not the one you were shown: what you typed, the plan, a price or a rate has changed it. "
            "Look at the new figures, then freeze."
        )
    with transaction.atomic():
        number, version = _number_and_version(job, after_version)
        options = options_of(job, profile)
        if seen_options is not None and seen_options != fingerprint(options):
            raise PriceHasMoved("The options are not those you were shown. Look at them below, then freeze.")
        quote = _row(found, estimate, offer, profile, number=number, version=version, by=by, options=options)
        freeze_options(quote, options)
        _say_what_changed(quote, profile)
        bring_job(job=job, to=Job.State.QUOTED, by=by)
        request_document(kind=DOCUMENT_KIND, subject_id=quote.pk, title=str(quote), by=by)
    return quote


def latest_quote(job: Job) -> Quote | None:
    """Return the newest version of the job's newest quote."""
    found: Quote | None = Quote.objects.filter(job=job).order_by("-number", "-version").first()
    return found


def _number_and_version(job: Job, after_version: int | None) -> tuple[int, int]:
    sequence = lock_numbers()
    latest = latest_quote(job)
    if after_version is not None and after_version != (latest.version if latest else 0):
        raise VersionTaken(f"{latest} was frozen after this page was opened. Look at it first; nothing was frozen now.")
    if latest is None:
        return take_number(sequence), 1
    if latest.state == Quote.State.ACCEPTED:
        raise QuoteIsAgreed(
            f"{latest} is accepted, so no other version can take its place. "
            "If that mark is wrong, undo it on the quote's page first."
        )
    Quote.objects.filter(job=job, state=Quote.State.OFFERED).update(state=Quote.State.SUPERSEDED, state_changed_at=timezone.now())
    return latest.number, latest.version + 1


def _row(
    found: PlannedJob,
    estimate: Estimate,
    offer: Offer,
    profile: StudioProfile,
    *,
    number: int,
    version: int,
    by: Account | None,
    options: Sequence[PricedOption],
) -> Quote:
    today, totals = timezone.localdate(), estimate.totals
    quote: Quote = Quote.objects.create(
        job=found.job,
        number=number,
        version=version,
        issued_on=today,
        valid_until_on=today + timedelta(days=offer.valid_days),
        currency=profile.currency,
        net_total=totals.exact.net,
        tax_total=totals.exact.tax,
        gross_total=totals.exact.gross,
        deposit=totals.deposit_amount,
        scope=offer.scope,
        terms=offer.terms,
        content=content_of(found, estimate, offer, profile),
        inner=inner_of(found, estimate, profile, options),
        frozen_by=by,
    )
    QuoteLine.objects.bulk_create(
        QuoteLine(
            quote=quote,
            position=position,
            kind=line.kind,
            text=line_text(line.kind, found, line.text, profile),
            quantity=line.quantity,
            unit_price=line.unit_price,
            net=line.net,
            tax_percent=line.tax_percent,
            tax=line.tax,
        )
        for position, line in enumerate(estimate.lines, start=1)
    )
    return quote


def _say_what_changed(quote: Quote, profile: StudioProfile) -> None:
    """Keep in a later version what a client finds changed against the one before."""
    before = Quote.objects.filter(number=quote.number, version=quote.version - 1).first()
    if before is None:
        return
    changed = differences(readable(before), readable(quote), profile)[:MOST_CHANGES]
    quote.content = {
        **quote.content,
        "replaces": {"version": before.version, "issued_on": before.issued_on.isoformat(), "changed": changed},
    }
    quote.save(update_fields=["content"])
