"""The front door and the studio's start page."""

import pytest
from django.test import Client
from django.urls import reverse

from studio.access import Role
from studio.models import StudioProfile, WorkingHours
from tests.factories import AccountFactory, PersonFactory

pytestmark = pytest.mark.django_db


def work_here() -> None:
    WorkingHours.objects.create(person=PersonFactory(name="Bo"), weekday=0, starts_at="09:00", ends_at="17:00")


class TestHome:
    def test_says_on_a_fresh_installation_how_to_get_in(self, client: Client) -> None:
        response = client.get("/")
        assert response.status_code == 200
        assert "python3 manage.py owner_link" in response.content.decode()
        assert client.get("/sign-in/")["Location"] == "/"

    def test_sends_strangers_to_sign_in(self, client: Client) -> None:
        AccountFactory()
        assert client.get("/")["Location"] == "/sign-in/"

    def test_shows_an_owner_the_first_steps_while_nothing_is_set_up(self, client: Client) -> None:
        client.force_login(AccountFactory())
        page = client.get("/").content.decode()
        assert page.count("to do") == 4
        StudioProfile.objects.update_or_create(pk=1, defaults={"name": "Kestrel Castings"})
        assert client.get("/").content.decode().count("to do") == 3

    def test_leads_to_the_jobs_once_people_and_hours_are_there(self, client: Client) -> None:
        client.force_login(AccountFactory())
        work_here()
        assert client.get("/")["Location"] == reverse("jobs:jobs_list")

    def test_leads_a_maker_to_the_jobs(self, client: Client) -> None:
        client.force_login(AccountFactory(role=Role.MAKER))
        assert client.get("/")["Location"] == reverse("jobs:jobs_list")


class TestStudioShow:
    def test_lists_the_studio_s_pages_with_what_they_hold(self, client: Client) -> None:
        client.force_login(AccountFactory())
        work_here()
        page = client.get("/studio/").content.decode()
        for name in ("profile_edit", "people_list", "stations_list", "rates_list", "accounts_list"):
            assert f'href="{reverse(f"studio:{name}")}"' in page
        assert "Bo" in page
        assert "none yet" in page
        assert "none replaced by your own yet" in page

    def test_leads_nobody_where_they_may_not_go(self, client: Client) -> None:
        client.force_login(AccountFactory(role=Role.MAKER))
        page = client.get("/studio/").content.decode()
        assert reverse("studio:profile_edit") not in page
        assert reverse("studio:accounts_list") not in page
