import hashlib

import pytest

from jobs.errors import FeedRefused
from jobs.feeds.tokens import address_of, feed_of, make_feed, revoke_feed
from jobs.models import CalendarFeed
from tests.factories import AccountFactory, PersonFactory

pytestmark = pytest.mark.django_db


class TestAddress:
    def test_carries_256_bits_of_which_only_the_hash_is_kept(self) -> None:
        person = PersonFactory()
        token = make_feed(person=person, by=None)
        # 43 signs of 6 bits hold 256 bits (RFC 4648, base64url without padding).
        assert len(token) == 43
        assert address_of(token).endswith(f"/feeds/{token}.ics")
        row = CalendarFeed.objects.values().get()
        assert row["token_hash"] == hashlib.sha256(token.encode()).hexdigest()
        assert token not in str(row)
        assert make_feed(person=PersonFactory(), by=None) != token

    def test_opens_nothing_once_renewed_or_revoked(self) -> None:
        person, other = PersonFactory(), PersonFactory()
        first, of_other = make_feed(person=person, by=None), make_feed(person=other, by=None)
        second = make_feed(person=person, by=None)
        assert feed_of(first) is None
        found = feed_of(second)
        assert found is not None
        assert found.person == person
        assert revoke_feed(person=person, by=None)
        assert feed_of(second) is None
        assert not revoke_feed(person=person, by=None)
        assert feed_of(of_other) is not None
        assert feed_of("") is None
        assert feed_of(CalendarFeed.objects.get(person=other).token_hash) is None

    def test_opens_nothing_for_who_left_or_whose_account_is_closed(self) -> None:
        gone, closed = PersonFactory(), PersonFactory(account=AccountFactory())
        tokens = [make_feed(person=one, by=None) for one in (gone, closed)]
        gone.active = False
        gone.save()
        closed.account.is_active = False
        closed.account.save()
        assert [feed_of(token) for token in tokens] == [None, None]
        for one, words in ((gone, "bring them back"), (closed, "closed")):
            with pytest.raises(FeedRefused, match=words):
                make_feed(person=one, by=None)
