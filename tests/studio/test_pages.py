"""Every page of the studio opens for whoever may see it, and costs as many queries with many rows as with few."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.access import Role
from studio.models import WorkingHours, WorkRate
from studio.services.invitations import invite
from studio.workrates import WORK_RATES
from tests.factories import AccountFactory, PersonFactory, StationFactory

pytestmark = pytest.mark.django_db

PAGES = [
    "studio_show", "account_show", "password_change", "profile_edit", "people_list", "people_add", "stations_list",
    "stations_add", "rates_list", "accounts_list", "invitations_add",
]  # fmt: skip


def fill(rows: int) -> None:
    owner = AccountFactory()
    for number in range(rows):
        person = PersonFactory(account=AccountFactory())
        WorkingHours.objects.create(person=person, weekday=number % 7, starts_at="09:00", ends_at="17:00")
        StationFactory()
        invite(role=Role.MAKER, by=owner, name=f"Guest {number}")
    for key in list(WORK_RATES)[:rows]:
        WorkRate.objects.get_or_create(key=key, defaults={"value": 7, "changed_by": owner})


class TestPages:
    @pytest.mark.parametrize("name", PAGES)
    def test_open_for_an_owner(self, client: Client, name: str) -> None:
        client.force_login(AccountFactory(name="Ada <b>Lay</b>"))
        fill(2)
        response = client.get(reverse(f"studio:{name}"))
        assert response.status_code == 200
        assert b"<h1" in response.content
        assert b"<b>Lay</b>" not in response.content

    @pytest.mark.parametrize("name", ["people_list", "stations_list", "rates_list", "accounts_list", "studio_show"])
    def test_cost_no_more_queries_as_rows_grow(self, client: Client, name: str) -> None:
        client.force_login(AccountFactory())
        counts = []
        for rows in (3, 27):
            fill(rows)
            client.get(reverse(f"studio:{name}"))
            with CaptureQueriesContext(
                connection,
            ) as queries:
                assert client.get(reverse(f"studio:{name}")).status_code == 200
            counts.append(len(queries))
        assert counts[0] == counts[1]
        assert counts[1] < 20
