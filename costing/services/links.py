"""A client's private link to a quote: made, made anew, revoked."""

import datetime
import logging
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from costing.errors import LinkRefused
from costing.models import Quote, QuoteLink
from costing.services.numbering import lock_numbers
from studio.models import Account
from studio.services.secret_links import hash_of, new_token

log = logging.getLogger("costing.links")

# A client who agreed on the last day may read for a while what was agreed.
DAYS_AFTER_VALIDITY = 30
LEAST_DAYS = 14
MOST_DAYS = 730
TO_READ = (Quote.State.OFFERED, Quote.State.ACCEPTED, Quote.State.DECLINED)


def usual_last_day(quote: Quote) -> datetime.date:
    """Return the last day of a new link unless somebody chooses another."""
    after = quote.valid_until_on + timedelta(days=DAYS_AFTER_VALIDITY)
    return max(after, timezone.localdate() + timedelta(days=LEAST_DAYS))


@transaction.atomic
def make_link(*, quote: Quote, by: Account | None, last_day_on: datetime.date | None = None) -> str:
    """Make a new link to a quote, which ends the one before. Return the token, kept nowhere."""
    lock_numbers()
    fresh = Quote.objects.get(pk=quote.pk)
    if fresh.state not in TO_READ:
        raise LinkRefused(f"{fresh} is {fresh.get_state_display()}; a client can be shown only the version that stands.")
    last_day = last_day_on or usual_last_day(fresh)
    today = timezone.localdate()
    if last_day < today:
        raise LinkRefused("The last day of the link has passed already; choose today or a later day.")
    if last_day > today + timedelta(days=MOST_DAYS):
        raise LinkRefused(f"A link lasts at most {MOST_DAYS} days; choose an earlier last day.")
    now = timezone.now()
    QuoteLink.objects.filter(quote=fresh, revoked_at=None).update(revoked_at=now)
    token = new_token()
    QuoteLink.objects.create(quote=fresh, token_hash=hash_of(token), made_by=by, made_at=now, expires_at=_end_of(last_day))
    log.info("quote link made quote=%s by=%s", fresh.pk, by.pk if by else "machine")
    return token


@transaction.atomic
def revoke_link(*, quote: Quote, by: Account | None) -> bool:
    """Make the link to a quote useless; False where there was none."""
    revoked = QuoteLink.objects.filter(quote=quote, revoked_at=None).update(revoked_at=timezone.now())
    if revoked:
        log.info("quote link revoked quote=%s by=%s", quote.pk, by.pk if by else "machine")
    return bool(revoked)


def open_link(quote: Quote) -> QuoteLink | None:
    """Return the link of a quote that was not revoked, run out or not."""
    found: QuoteLink | None = QuoteLink.objects.filter(quote=quote, revoked_at=None).select_related("made_by").first()
    return found


def last_day_of(link: QuoteLink) -> datetime.date:
    """Return the last day on which a link opens its quote."""
    return timezone.localdate(link.expires_at - timedelta(seconds=1))


def _end_of(day: datetime.date) -> datetime.datetime:
    """Return the moment at which a day of the studio is over."""
    return timezone.make_aware(datetime.datetime.combine(day + timedelta(days=1), datetime.time()))
