"""The room's temperature as it is typed, pasted, shown, cleared and put back."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client

from studio.access import Role
from studio.models import RoomHour, StudioProfile
from studio.services.errors import RoomError
from studio.services.room import clear_room, put_room_back, set_room
from tests.factories import AccountFactory
from tests.materials.pages import questions, text_of

pytestmark = pytest.mark.django_db
ROOM = "/studio/room/"
NOW = datetime(2026, 10, 19, 10, tzinfo=UTC)
MIDNIGHT = datetime(2026, 10, 18, 23, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _in_october() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def owner_client(client: Client) -> Client:
    client.force_login(AccountFactory())
    return client


def sent(**changed: str) -> dict[str, str]:
    """Return the table of days as it is sent, `d19="21"` and `n19="17"` typed in its fields."""
    names = {"d": "day_temp", "n": "night_temp"}
    return {"first": "2026-10-19", **{f"{names[key[0]]}_2026-10-{key[1:]}": value for key, value in changed.items()}}


def at(hour: int, day: int = 19) -> Decimal:
    """Return what is kept for an hour of the clock in London."""
    summer = (day, hour) < (25, 2)
    moment = datetime(2026, 10, day, hour, tzinfo=UTC) - timedelta(hours=1 if summer else 0)
    return RoomHour.objects.get(begins_at=moment).temperature_c


class TestDays:
    def test_fill_what_follows_until_the_next_typed_line(self, owner_client: Client) -> None:
        page = owner_client.post(f"{ROOM}days/", sent(d19="21", n19="17,5", d21="15"), follow=True).content.decode()
        assert "Kept: the days" in page
        # Fourteen days, one of 25 hours, and the last night's eight hours.
        assert RoomHour.objects.count() == 14 * 24 + 1 + 8
        assert [at(12), at(12, 20), at(12, 21), at(12, 26)] == [21, 21, 15, 15]
        assert at(20) == at(20, 21) == Decimal("17.5")
        assert RoomHour.objects.filter(noted_by__isnull=False).count() == RoomHour.objects.count()
        page = text_of(owner_client.get(ROOM).content)
        assert 'name="night_temp_2026-10-30" value="17.5"' in page
        assert "Usual: 21 °C." in page
        assert "15 °C to 17.5 °C" in page
        assert "15 °C to 21 °C expected" in text_of(owner_client.get("/studio/").content)
        owner_client.post(f"{ROOM}undo/")
        assert not RoomHour.objects.exists()

    def test_begin_at_the_first_typed_line_with_what_is_usual(self, owner_client: Client) -> None:
        owner_client.post(f"{ROOM}days/", sent(n22="12"))
        assert RoomHour.objects.earliest("begins_at").begins_at == MIDNIGHT + timedelta(days=3)
        assert (at(12, 22), at(20, 22)) == (21, 12)

    def test_leave_what_is_known_by_the_hour(self, owner_client: Client) -> None:
        pasted = "\n".join(f"2026-10-20 {hour:02d}:00; {15 + hour % 3}" for hour in range(24))
        owner_client.post(f"{ROOM}hours/", {"readings": pasted, "meant": "written"})
        assert "known by the hour" in owner_client.get(ROOM).content.decode()
        owner_client.post(f"{ROOM}days/", sent(d19="25", n19="25"))
        assert (at(12), at(12, 20), at(13, 20), at(12, 21)) == (25, 15, 16, 25)
        owner_client.post(f"{ROOM}days/", sent(d20="10"))
        assert at(13, 20) == 10

    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({}, "Type one temperature at least."),
            ({"d19": "70"}, "This must lie between"),
            ({"d19": "warm"}, "cannot be read"),
            ({"n20": "17 kg"}, "measures mass"),
        ],
    )
    def test_say_what_to_change(self, owner_client: Client, changed: dict[str, str], sentence: str) -> None:
        response = owner_client.post(f"{ROOM}days/", {**sent(d30="19.5"), **sent(**changed)} if changed else sent())
        page = response.content.decode()
        assert response.status_code == 422
        assert sentence in page
        assert not changed or 'value="19.5"' in page
        assert not RoomHour.objects.exists()

    def test_are_typed_and_shown_in_fahrenheit(self, owner_client: Client) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us", locale="en_US")
        owner_client.post(f"{ROOM}days/", sent(d19="66", n19="61"))
        # exact: NIST SP 811, °C = (°F − 32) / 1.8; kept in tenths.
        assert (at(12), at(20)) == (Decimal("18.9"), Decimal("16.1"))
        page = text_of(owner_client.get(ROOM).content)
        assert 'name="day_temp_2026-10-19" value="66"' in page
        assert "°C" not in page.split("<main")[1]


class TestHours:
    def test_read_a_logger_s_file(self, owner_client: Client) -> None:
        pasted = 'No.,Time,Temp (°F),RH\n1,"2026-10-20 14:00:00",68.0,45\n2,2026-10-20 14:30,66.2,45\n3,2026-10-20 15:00,50.0,46'
        page = owner_client.post(f"{ROOM}hours/", {"readings": pasted, "meant": "written"}, follow=True).content.decode()
        assert "Kept: the hours, 2 hours." in page
        assert (at(14, 20), at(15, 20)) == (Decimal("19.5"), 10)

    def test_say_so_where_clocks_change(self, owner_client: Client) -> None:
        readings = "2026-10-25 01:00; 17,5\n25.10.2026 2:00 16"
        page = owner_client.post(f"{ROOM}hours/", {"readings": readings, "meant": "written"}, follow=True).content.decode()
        assert "01:00 comes twice; the first one is taken." in page
        assert [hour.begins_at.hour for hour in RoomHour.objects.all()] == [0, 2]
        response = owner_client.post(f"{ROOM}hours/", {"readings": "2027-03-28 01:30; 17", "meant": "written"})
        assert "There is no 01:30 on 2027-03-28" in response.content.decode()
        assert response.status_code == 422

    def test_take_the_mean_day_of_a_record(self, owner_client: Client) -> None:
        record = "\n".join(f"2026-10-0{day} {hour}:15; {10 + hour + 2 * day}" for day in (1, 2) for hour in range(24))
        response = owner_client.post(f"{ROOM}hours/", {"readings": record, "meant": "written"})
        assert "All of these hours are past." in response.content.decode()
        assert not RoomHour.objects.exists()
        owner_client.post(f"{ROOM}hours/", {"readings": record, "meant": "usual"})
        assert (at(0), at(23, 26)) == (13, 36)
        response = owner_client.post(f"{ROOM}hours/", {"readings": record.splitlines()[0], "meant": "usual"})
        assert "A usual day needs a reading in each of its hours" in response.content.decode()

    @pytest.mark.parametrize(
        ("line", "sentence"),
        [
            ("2026-10-20; 17", "cannot be read"),
            ("2026-10-20 14:00,17,5", "can be read in two ways"),
            ("2026-13-20 14:00; 17", "has no such day"),
            ("2026-10-20 25:00; 17", "has no such time of day"),
            ("2026-10-20 14:00; 99", "no workshop is like that"),
            ("2029-10-20 14:00; 17", "more than a year ahead"),
            ("Time;Temp", "There is a heading and no line below it."),
        ],
    )
    def test_say_what_to_change(self, owner_client: Client, line: str, sentence: str) -> None:
        response = owner_client.post(f"{ROOM}hours/", {"readings": f"{line}", "meant": "written"})
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert line.replace("<", "&lt;") in response.content.decode()
        assert not RoomHour.objects.exists()

    def test_read_days_as_the_studio_writes_them(self, owner_client: Client) -> None:
        owner_client.post(f"{ROOM}hours/", {"readings": "1/11/2026 2:00 PM; 17", "meant": "written"})
        assert RoomHour.objects.get().begins_at == datetime(2026, 11, 1, 14, tzinfo=UTC)
        StudioProfile.objects.update(units="us", locale="en_US")
        owner_client.post(f"{ROOM}hours/", {"readings": "11/2/2026 12:00 AM; 50", "meant": "written"})
        assert RoomHour.objects.latest("begins_at").begins_at == datetime(2026, 11, 2, tzinfo=UTC)


class TestClearing:
    def test_forgets_a_stretch_and_puts_it_back(self, owner_client: Client) -> None:
        owner_client.post(f"{ROOM}days/", sent(d19="19", n19="16"))
        all_hours = list(RoomHour.objects.values_list("begins_at", "temperature_c"))
        page = owner_client.post(f"{ROOM}clear/", {"from_day": "2026-10-24", "until_day": "2026-10-25"}, follow=True)
        # The day of 25 October has 25 hours in London.
        assert "Forgotten: 49 hours." in page.content.decode()
        assert "not known" in page.content.decode()
        assert RoomHour.objects.count() == len(all_hours) - 49
        owner_client.post(f"{ROOM}undo/")
        assert list(RoomHour.objects.values_list("begins_at", "temperature_c")) == all_hours
        assert owner_client.post(f"{ROOM}undo/").status_code == 422

    def test_says_what_to_change(self, owner_client: Client) -> None:
        response = owner_client.post(f"{ROOM}clear/", {"from_day": "2026-10-24", "until_day": "2026-10-23"})
        assert response.status_code == 422
        assert "This is before the first day." in response.content.decode()


class TestServices:
    def test_say_what_stood_there_and_put_it_back(self) -> None:
        first, second = MIDNIGHT, MIDNIGHT + timedelta(hours=1)
        assert set_room(hours={first: Decimal(20)}, by=None) == {first: None}
        before = set_room(hours={first: Decimal(18), second: Decimal(17)}, by=None)
        assert before == {first: Decimal(20), second: None}
        put_room_back(before=before, by=None)
        assert dict(RoomHour.objects.values_list("begins_at", "temperature_c")) == {first: Decimal(20)}
        assert clear_room(since=first, until=second) == {first: Decimal(20)}
        with pytest.raises(RoomError, match="not believable"):
            set_room(hours={first: Decimal(61)}, by=None)
        with pytest.raises(RoomError, match="ends before it begins"):
            clear_room(since=first, until=first)


class TestRights:
    def test_let_a_maker_look(self, client: Client, owner_client: Client) -> None:
        owner_client.post(f"{ROOM}days/", sent(d19="19"))
        other = Client()
        other.force_login(AccountFactory(role=Role.MAKER))
        page = other.get(ROOM).content.decode()
        assert "<svg" in page
        assert "<button" not in page.split("<main")[1]
        for name in ("days/", "hours/", "clear/", "undo/"):
            assert other.post(f"{ROOM}{name}", sent(d19="1")).status_code == 403

    def test_page_asks_no_more_questions_for_more_hours(self, owner_client: Client) -> None:
        asked: list[Any] = [questions(owner_client, ROOM)]
        owner_client.post(f"{ROOM}days/", sent(d19="19"))
        owner_client.get(ROOM)
        assert questions(owner_client, ROOM) == asked[0] < 14
