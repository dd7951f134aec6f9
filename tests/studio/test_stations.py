"""Stations."""

import pytest
from django.test import Client

from studio.access import Role
from studio.models import Station
from tests.factories import AccountFactory, StationFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner_client(client: Client) -> Client:
    client.force_login(AccountFactory())
    return client


class TestStations:
    def test_are_added_and_changed(self, owner_client: Client) -> None:
        assert "No stations yet." in owner_client.get("/studio/stations/").content.decode()
        sent = {"name": "Big frame", "kind": "frame", "places": "2", "note": "by the window"}
        page = owner_client.post("/studio/stations/new/", sent, follow=True).content.decode()
        assert "Big frame is added." in page
        assert "Caution: the rotating frame" in page
        station = Station.objects.get()
        assert station.places == 2
        owner_client.post(f"/studio/stations/{station.pk}/", {**sent, "kind": "bench", "places": "1"})
        page = owner_client.get("/studio/stations/").content.decode()
        assert "bench place" in page
        assert "Caution" not in page

    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({"name": ""}, "Type what you call it."),
            ({"name": "Bench 1"}, "There is a station called “Bench 1” already."),
            ({"kind": "oven"}, "Choose one from the list."),
            ({"places": "0"}, "This must lie between 1 and 100"),
            ({"places": "1.5"}, "whole things"),
        ],
    )
    def test_say_what_to_change(self, owner_client: Client, changed: dict[str, str], sentence: str) -> None:
        StationFactory(name="Bench 1")
        sent = {"name": "Bench 2", "kind": "bench", "places": "1", "note": "kept as typed", **changed}
        response = owner_client.post("/studio/stations/new/", sent)
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert "kept as typed" in response.content.decode()
        assert Station.objects.count() == 1

    def test_cannot_take_each_other_s_name(self, owner_client: Client) -> None:
        StationFactory(name="Bench 1")
        second = StationFactory(name="Bench 2")
        response = owner_client.post(f"/studio/stations/{second.pk}/", {"name": "Bench 1", "kind": "bench", "places": "1"})
        assert response.status_code == 422
        assert "<h1>Bench 2</h1>" in response.content.decode()

    def test_are_taken_out_of_use_and_brought_back(self, owner_client: Client) -> None:
        station = StationFactory(name="Pot")
        page = owner_client.post(f"/studio/stations/{station.pk}/retire/", follow=True).content.decode()
        assert "No longer in use" in page
        assert "Bring Pot back" in page
        owner_client.post(f"/studio/stations/{station.pk}/return/")
        station.refresh_from_db()
        assert station.active

    def test_can_be_read_but_not_changed_by_office(self, client: Client) -> None:
        station = StationFactory()
        client.force_login(AccountFactory(role=Role.OFFICE))
        assert client.get("/studio/stations/").status_code == 200
        assert client.post(f"/studio/stations/{station.pk}/retire/").status_code == 403
