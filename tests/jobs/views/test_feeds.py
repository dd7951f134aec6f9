import datetime
import logging
import re
from typing import Any

import pytest
import time_machine
from django.test import Client

from jobs.feeds.events import follow
from jobs.feeds.reading_limit import MOST_READINGS
from jobs.feeds.tokens import make_feed
from jobs.models import CalendarFeed
from studio.access import Role
from studio.settings.logs import OneLineFormatter
from tests.factories import AccountFactory, JobFactory, PersonFactory
from tests.jobs.feeds.laid import MONDAY, entry, timetable_in_use
from tests.studio.test_whole_app_headers import faults

pytestmark = pytest.mark.django_db
PAGE = "/days/feeds/"


def signed_in(role: Role, *, person: bool = True) -> tuple[Client, Any]:
    account = AccountFactory(role=role)
    browser = Client()
    browser.force_login(account)
    return browser, PersonFactory(account=account) if person else None


class TestFeedsPage:
    def test_makes_shows_once_renews_and_revokes_the_own_address(self) -> None:
        browser, person = signed_in(Role.MAKER)
        other = PersonFactory(name="Somebody Else")
        page = browser.get(PAGE).content.decode()
        assert "There is no address yet" in page
        assert other.name not in page
        made = browser.post(f"{PAGE}{person.pk}/make/")
        found = re.search(r'value="([^"]*/feeds/[^"]+\.ics)"', made.content.decode())
        assert found is not None
        address = found[1].partition("/feeds/")[2]
        assert Client().get(f"/feeds/{address}").status_code == 200
        page = browser.get(PAGE).content.decode()
        assert address not in page
        assert "last read" in page
        browser.post(f"{PAGE}{person.pk}/make/")
        assert Client().get(f"/feeds/{address}").status_code == 404
        assert CalendarFeed.objects.filter(revoked_at=None).count() == 1
        assert "opens nothing any more" in browser.post(f"{PAGE}{person.pk}/revoke/", follow=True).content.decode()
        assert "nothing was changed" in browser.post(f"{PAGE}{person.pk}/revoke/", follow=True).content.decode()
        for action in ("make", "revoke"):
            assert browser.post(f"{PAGE}{other.pk}/{action}/").status_code == 403
        assert not CalendarFeed.objects.filter(person=other).exists()

    def test_lets_the_owner_do_so_for_everybody(self) -> None:
        browser, _ = signed_in(Role.OWNER, person=False)
        other = PersonFactory(name="Somebody Else")
        assert other.name in browser.get(PAGE).content.decode()
        assert "/feeds/" in browser.post(f"{PAGE}{other.pk}/make/").content.decode()
        other.active = False
        other.save()
        refused = browser.post(f"{PAGE}{other.pk}/make/")
        assert refused.status_code == 409
        assert "bring them back" in refused.content.decode()

    def test_says_to_an_account_without_a_person_what_to_do(self) -> None:
        browser, _ = signed_in(Role.OFFICE, person=False)
        assert "belongs to no person" in browser.get(PAGE).content.decode()


class TestReading:
    def test_needs_the_address_alone_and_says_nothing_about_a_wrong_one(self) -> None:
        table, person = timetable_in_use(), PersonFactory()
        entry(table, JobFactory(), "coat_1#1", datetime.datetime.now(datetime.UTC), person)
        follow(table)
        address = f"/feeds/{make_feed(person=person, by=None)}.ics"
        answer = Client().get(address)
        assert answer.status_code == 200
        assert answer["Content-Type"] == "text/calendar; charset=utf-8"
        assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("private, no-cache", "no-referrer")
        assert "Set-Cookie" not in answer.headers
        lacking = [fault for fault in faults(answer, "jobs:shape_mesh") if not fault.startswith("Content-Type text/calendar")]
        assert lacking == []
        assert b"BEGIN:VEVENT" in answer.content
        head = Client().head(address)
        assert (head.status_code, head.content) == (200, b"")
        assert Client().post(address).status_code == 405
        CalendarFeed.objects.update(revoked_at=datetime.datetime.now(datetime.UTC))
        revoked, unknown = Client().get(address), Client().get("/feeds/" + "x" * 43 + ".ics")
        assert revoked.status_code == unknown.status_code == 404
        assert revoked.content == unknown.content

    def test_answers_that_nothing_changed_and_notes_when_it_was_read(self) -> None:
        person = PersonFactory()
        with time_machine.travel(MONDAY, tick=False) as clock:
            address = f"/feeds/{make_feed(person=person, by=None)}.ics"
            first = Client().get(address)
            for headers in ({"If-None-Match": first["ETag"]}, {"If-Modified-Since": first["Last-Modified"]}):
                again = Client().get(address, headers=headers)
                assert (again.status_code, again.content) == (304, b"")
                assert again["ETag"] == first["ETag"]
                assert again["Cache-Control"] == "private, no-cache"
            assert CalendarFeed.objects.get().read_at == MONDAY
            clock.shift(datetime.timedelta(minutes=4))
            Client().get(address)
            assert CalendarFeed.objects.get().read_at == MONDAY
            clock.shift(datetime.timedelta(minutes=2))
            table = timetable_in_use(MONDAY)
            entry(table, JobFactory(), "coat_1#1", MONDAY + datetime.timedelta(hours=4), person)
            follow(table)
            changed = Client().get(address, headers={"If-None-Match": first["ETag"]})
            assert changed.status_code == 200
            assert CalendarFeed.objects.get().read_at > MONDAY

    def test_rests_a_calendar_that_asks_in_a_loop(self) -> None:
        address = f"/feeds/{make_feed(person=PersonFactory(), by=None)}.ics"
        other = f"/feeds/{make_feed(person=PersonFactory(), by=None)}.ics"
        browser = Client()
        tag = browser.get(address)["ETag"]
        seen = [browser.get(address).status_code for _ in range(MOST_READINGS)]
        assert seen[:-1] == [200] * (MOST_READINGS - 1)
        assert seen[-1] == 429
        refused = browser.get(address)
        assert refused["Retry-After"] == "600"
        assert "no-store" in refused["Cache-Control"]
        assert browser.get(address, headers={"If-None-Match": tag}).status_code == 304
        assert browser.get(other).status_code == 200

    def test_leaves_no_address_in_the_log(self, caplog: pytest.LogCaptureFixture) -> None:
        token = make_feed(person=PersonFactory(), by=None)
        CalendarFeed.objects.update(revoked_at=datetime.datetime.now(datetime.UTC))
        with caplog.at_level(logging.DEBUG):
            assert Client().get(f"/feeds/{token}.ics").status_code == 404
        written = [OneLineFormatter("{message}", style="{").format(record) for record in caplog.records]
        assert any("Not Found: /feeds/" in line for line in written)
        assert not any(token in line for line in written)
