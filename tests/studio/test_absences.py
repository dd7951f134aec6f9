"""Who is away when, and days on which the studio is closed."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone

from studio.access import Role
from studio.forms.absences import read_closed_line
from studio.models import Absence, StudioProfile
from studio.services.absences import ClosedDays, absences_of, add_absence, add_closed_days, remove_absence
from studio.services.errors import AbsenceError
from tests.factories import AccountFactory, PersonFactory
from tests.materials.pages import questions

pytestmark = pytest.mark.django_db
AWAY = "/studio/away/"
NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _in_march() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def owner_client(client: Client) -> Client:
    client.force_login(AccountFactory())
    return client


def typed(**changed: Any) -> dict[str, Any]:
    nothing = dict.fromkeys(("from_time", "until_day", "until_time", "why"), "")
    return {"who": "all", "from_day": "2026-03-27", **nothing, **changed}


class TestAwayAdd:
    def test_takes_whole_days_over_the_change_of_the_clock(self, owner_client: Client) -> None:
        bo = PersonFactory(name="Bo")
        page = owner_client.post(
            f"{AWAY}add/", typed(who=str(bo.pk), until_day="2026-03-29", why="skiing"), follow=True
        ).content.decode()
        away = Absence.objects.get()
        # published: IANA time zone database. London is an hour ahead of UTC from 29 March 2026, 01:00 UTC.
        assert (away.starts_at, away.ends_at) == (datetime(2026, 3, 27, tzinfo=UTC), datetime(2026, 3, 29, 23, tzinfo=UTC))
        assert "Bo is away: Fri 27 Mar to Sun 29 Mar." in page
        assert "skiing" in page
        assert "skiing" in owner_client.get(f"/studio/people/{bo.pk}/").content.decode()
        assert "Bo" in owner_client.get("/studio/").content.decode()

    def test_takes_hours_and_says_which_of_two_equal_ones(self, owner_client: Client) -> None:
        sent = typed(from_day="2026-10-25", from_time="01:30", until_time="02:15")
        page = owner_client.post(f"{AWAY}add/", sent, follow=True).content.decode()
        away = Absence.objects.get()
        assert (away.starts_at, away.ends_at) == (
            datetime(2026, 10, 25, 0, 30, tzinfo=UTC),
            datetime(2026, 10, 25, 2, 15, tzinfo=UTC),
        )
        assert "01:30 comes twice; the first one is taken" in page

    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({"who": ""}, "Choose who is away."),
            ({"who": "999"}, "Choose one from the list."),
            ({"from_day": ""}, "Give the first day."),
            ({"from_day": "tomorrow"}, "This is not a day."),
            ({"from_day": "2226-03-27"}, "more than 10 years away"),
            ({"until_day": "2026-03-26"}, "This is before the first day."),
            ({"from_time": "14:00", "until_time": "13:00"}, "This is not after the beginning."),
            ({"from_day": "2026-03-29", "from_time": "01:30"}, "There is no 01:30 on 2026-03-29"),
            ({"until_day": "2031-01-01"}, "longer than three years"),
        ],
    )
    def test_says_what_to_change(self, owner_client: Client, changed: dict[str, str], sentence: str) -> None:
        response = owner_client.post(f"{AWAY}add/", typed(why="kept as typed", **changed))
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert "kept as typed" in response.content.decode()
        assert not Absence.objects.exists()

    def test_is_for_the_owner_and_seen_by_all(self, client: Client) -> None:
        for role in (Role.MAKER, Role.OFFICE):
            client.force_login(AccountFactory(role=role))
            assert "<button" not in client.get(AWAY).content.decode().split("<main")[1]
            for name in ("add/", "close/", "put-back/", "1/remove/"):
                assert client.post(f"{AWAY}{name}", typed()).status_code == 403


class TestAwayClose:
    def test_reads_a_pasted_list(self, owner_client: Client) -> None:
        pasted = "Fri, 3 April 2026 Good Friday\r\n2026-04-06: Easter Monday\r\n\r\nDec 24, 2026 to 2027-01-02 Winter break\n"
        page = owner_client.post(f"{AWAY}close/", {"days": pasted}, follow=True).content.decode()
        assert "3 stretches of closed days added." in page
        assert [line.why for line in Absence.objects.all()] == ["Good Friday", "Easter Monday", "Winter break"]
        assert Absence.objects.last().ends_at == datetime(2027, 1, 3, tzinfo=UTC)  # type: ignore[union-attr]
        page = owner_client.post(f"{AWAY}close/", {"days": "2026-04-06\n2026-05-01"}, follow=True).content.decode()
        assert "1 stretch of closed days added. 1 was closed already." in page

    def test_names_the_lines_that_cannot_be_read(self, owner_client: Client) -> None:
        response = owner_client.post(f"{AWAY}close/", {"days": "2026-04-06 Easter\nWhit Monday\n2026-02-30 none"})
        page = response.content.decode()
        assert response.status_code == 422
        assert "“Whit Monday” does not begin with a day." in page
        assert "“2026-02-30 none” does not begin with a day." in page
        assert "2026-04-06 Easter" in page
        assert not Absence.objects.exists()

    @pytest.mark.parametrize(
        "line", ["2026-05-02 to 2026-05-01", "2026-01-01 to 2028-01-01", "2066-01-01 far", "1.5.26", "4/5/2026"]
    )
    def test_refuses_what_nobody_can_have_meant(self, line: str) -> None:
        with pytest.raises(ValidationError):
            read_closed_line(line)

    def test_reads_days_as_people_write_them(self) -> None:
        day = date(2026, 12, 6)
        for text in ("2026-12-6", "6 Dec 2026", "6. December 2026", "Dec. 6, 2026", "06.12.2026", "Sunday 6 December 2026"):
            assert read_closed_line(f"{text} Open house") == ClosedDays(first_on=day, last_on=day, why="Open house"), text


class TestAwayRemove:
    def test_can_be_undone(self, owner_client: Client) -> None:
        bo = PersonFactory(name="Bo")
        away = add_absence(
            person=bo, starts_at=NOW - timedelta(hours=1), ends_at=NOW + timedelta(hours=5), why="dentist", by=None
        )
        page = owner_client.post(f"{AWAY}{away.pk}/remove/", follow=True).content.decode()
        assert "Removed: Bo, Mon 2 Mar 08:00 to 14:00." in page
        assert not Absence.objects.exists()
        page = owner_client.post(f"{AWAY}put-back/", follow=True).content.decode()
        assert "Back on the list" in page
        assert "now</span>" in page
        back = Absence.objects.get()
        assert (back.person, back.starts_at, back.ends_at, back.why) == (bo, away.starts_at, away.ends_at, "dentist")
        assert owner_client.post(f"{AWAY}put-back/").status_code == 422
        assert owner_client.post(f"{AWAY}{away.pk}/remove/").status_code == 422

    def test_folds_away_what_is_over(self, owner_client: Client) -> None:
        add_absence(person=None, starts_at=NOW - timedelta(days=9), ends_at=NOW - timedelta(days=8), why="flood", by=None)
        page = owner_client.get(AWAY).content.decode()
        assert "flood" in page.split("What is over")[1]
        assert "Nobody is away in the time ahead." in page


class TestServices:
    def test_know_what_is_written_already(self) -> None:
        bo, now = PersonFactory(name="Bo"), timezone.now()
        add_absence(person=bo, starts_at=now, ends_at=now + timedelta(days=3), why="", by=None)
        with pytest.raises(AbsenceError, match="Bo is away then already"):
            add_absence(person=bo, starts_at=now, ends_at=now + timedelta(days=2), why="", by=None)
        add_absence(person=bo, starts_at=now, ends_at=now + timedelta(days=4), why="longer", by=None)
        with pytest.raises(AbsenceError, match="ends before it begins"):
            add_absence(person=None, starts_at=now, ends_at=now, why="", by=None)
        with pytest.raises(AbsenceError, match="removed already"):
            remove_absence(absence_id=999_999)

    def test_count_closed_days_for_everybody(self) -> None:
        bo, cy, now = PersonFactory(), PersonFactory(), timezone.now()
        add_absence(person=cy, starts_at=now, ends_at=now + timedelta(days=3), why="", by=None)
        add_closed_days(days=[ClosedDays(first_on=now.date(), last_on=now.date() + timedelta(days=1))], by=None)
        assert [line.person for line in absences_of(bo, now)] == [None]
        assert absences_of(cy, now).count() == 2

    def test_page_asks_no_more_questions_for_more(self, owner_client: Client) -> None:
        counts, now = [], timezone.now()
        for number in (2, 20):
            for turn in range(number):
                start = now + timedelta(days=turn - 3, minutes=number)
                add_absence(person=PersonFactory(), starts_at=start, ends_at=start + timedelta(hours=8), why="", by=None)
            counts.append(questions(owner_client, AWAY))
        assert counts[0] == counts[1] < 12
        assert StudioProfile.objects.count() == 1
