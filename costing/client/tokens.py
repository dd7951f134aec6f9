"""From a token to what it opens: a quote, or the reason why it opens none."""

from datetime import timedelta

from django.conf import settings
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from costing.errors import LinkOpensNothing, LinkRanOut, QuoteReplaced, QuoteTakenBack
from costing.models import Quote, QuoteLink
from studio.services.secret_links import hash_of, is_same

# How often it is written down that a page was read.
NOTED_EVERY = timedelta(minutes=5)


def address_of(token: str) -> str:
    """Return the whole address of a quote for its client, as this studio is reached."""
    return settings.PUBLIC_URL + reverse("costing:client_quote", kwargs={"token": token})


def link_of(token: str) -> QuoteLink:
    """Return the link of a token whose quote may be read, with the quote.

    Raises
    ------
    LinkOpensNothing
        Unknown and revoked are not told apart.
    LinkRanOut, QuoteReplaced, QuoteTakenBack
        The link is known, and what it opened is not there to be read any more.
    """
    wanted = hash_of(token)
    rows = QuoteLink.objects.filter(token_hash=wanted, revoked_at=None).select_related("quote__job__client")
    link: QuoteLink | None = rows.first()
    if link is None or not is_same(link.token_hash, wanted):
        raise LinkOpensNothing("This address opens nothing. Copy the whole link from the studio's message, or ask for a new one.")
    if link.expires_at <= timezone.now():
        raise LinkRanOut("This link has run out. Ask the studio for a new one if you still want to read the quote.")
    if link.quote.state == Quote.State.SUPERSEDED:
        raise QuoteReplaced("A later version has taken the place of this quote. Ask the studio for the link to it.")
    if link.quote.state == Quote.State.WITHDRAWN:
        raise QuoteTakenBack("The studio has withdrawn this quote. Ask the studio if you still want the work done.")
    return link


def note_reading(*, link: QuoteLink) -> None:
    """Write down that a client read the page: the first time, and then at most every five minutes."""
    now = timezone.now()
    rows = QuoteLink.objects.filter(Q(last_read_at=None) | Q(last_read_at__lt=now - NOTED_EVERY), pk=link.pk)
    if rows.update(last_read_at=now):
        QuoteLink.objects.filter(pk=link.pk, first_read_at=None).update(first_read_at=now)
