"""The secret addresses of feeds: made, shown once, renewed, revoked, and found again by what is kept of them.

An address carries 256 random bits; the database keeps only their hash, so a copy of the database reads no feed.
"""

import logging
from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from jobs.errors import FeedRefused
from jobs.models import CalendarFeed
from studio.models import Account, Person
from studio.services.secret_links import hash_of, is_same, new_token

log = logging.getLogger("jobs.feeds")

# How often it is written down that a feed was read; calendars ask again and again.
NOTED_EVERY = timedelta(minutes=5)


@transaction.atomic
def make_feed(*, person: Person, by: Account | None) -> str:
    """Make a new address for a person's feed; the one before opens nothing any more. Return the token, kept nowhere."""
    # The lock makes two people who press at once come one after the other.
    locked = Person.objects.select_for_update(of=("self",)).select_related("account").get(pk=person.pk)
    if not locked.active:
        raise FeedRefused(f"{locked.name} does not work here any more; bring them back under Studio, People first.")
    if locked.account is not None and not locked.account.is_active:
        raise FeedRefused(f"The account of {locked.name} is closed; the owner opens it again under Studio, Accounts.")
    now = timezone.now()
    CalendarFeed.objects.filter(person=locked, revoked_at=None).update(revoked_at=now)
    token = new_token()
    CalendarFeed.objects.create(person=locked, token_hash=hash_of(token), made_by=by, made_at=now)
    log.info("feed made person=%s by=%s", locked.pk, by.pk if by else "machine")
    return token


@transaction.atomic
def revoke_feed(*, person: Person, by: Account | None) -> bool:
    """Make the address of a person's feed useless; False where there was none."""
    revoked = CalendarFeed.objects.filter(person=person, revoked_at=None).update(revoked_at=timezone.now())
    if revoked:
        log.info("feed revoked person=%s by=%s", person.pk, by.pk if by else "machine")
    return bool(revoked)


def address_of(token: str) -> str:
    """Return the whole address of a feed, as this studio is reached."""
    return settings.PUBLIC_URL + reverse("jobs:feed_read", kwargs={"token": token})


def feed_of(token: str) -> CalendarFeed | None:
    """Return the open feed of a token, or None: unknown, revoked, and of somebody who left are not told apart."""
    # What is compared in the index is a hash that nobody can steer; the whole of it is compared again in constant time.
    wanted = hash_of(token)
    left = Q(person__active=False) | Q(person__account__is_active=False)
    feed = CalendarFeed.objects.filter(token_hash=wanted, revoked_at=None).exclude(left).select_related("person").first()
    return feed if feed is not None and is_same(feed.token_hash, wanted) else None


def note_reading(*, feed: CalendarFeed) -> None:
    """Write down that a calendar asked, at most every five minutes."""
    now = timezone.now()
    rows = CalendarFeed.objects.filter(Q(read_at=None) | Q(read_at__lt=now - NOTED_EVERY), pk=feed.pk)
    rows.update(read_at=now)
