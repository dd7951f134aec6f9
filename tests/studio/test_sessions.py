"""How long a sign-in lasts."""

from datetime import datetime, timedelta

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from studio.models import Account
from studio.services.accounts import close_account, end_sessions, reopen_account
from studio.web.sessions import IDLE_LIMIT, WHOLE_LIMIT
from tests.factories import PASSPHRASE, AccountFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def start() -> datetime:
    return timezone.now()


@pytest.fixture
def account() -> Account:
    AccountFactory()
    return AccountFactory()


def signed_in(account: Account) -> Client:
    client = Client()
    assert client.post("/sign-in/", {"username": account.email, "password": PASSPHRASE}).status_code == 302
    return client


def is_in(client: Client) -> bool:
    return client.get("/account/").status_code == 200


class TestSessionLimits:
    def test_ends_after_twelve_idle_hours(self, account: Account, start: datetime) -> None:
        client = signed_in(account)
        with time_machine.travel(start + IDLE_LIMIT - timedelta(minutes=1)):
            assert is_in(client)
        with time_machine.travel(start + 2 * IDLE_LIMIT):
            assert not is_in(client)
            assert "Nothing was done here for twelve hours" in client.get("/sign-in/").content.decode()

    def test_ends_after_fourteen_days_however_busy(self, account: Account, start: datetime) -> None:
        client = signed_in(account)
        moment = start
        while moment + timedelta(hours=11) < start + WHOLE_LIMIT:
            moment += timedelta(hours=11)
            with time_machine.travel(moment):
                assert is_in(client)
        with time_machine.travel(start + WHOLE_LIMIT + timedelta(minutes=1)):
            assert not is_in(client)

    def test_ends_at_once_when_the_account_is_closed(self, account: Account) -> None:
        client = signed_in(account)
        close_account(account_id=account.pk)
        assert not is_in(client)

    def test_stays_ended_when_a_closed_account_is_reopened(self, account: Account) -> None:
        client = signed_in(account)
        close_account(account_id=account.pk)
        reopen_account(account_id=account.pk)
        assert not is_in(client)
        assert is_in(signed_in(account))

    def test_ends_when_signed_out_from_elsewhere(self, account: Account) -> None:
        client = signed_in(account)
        end_sessions(account=account)
        assert not is_in(client)

    def test_writes_the_session_at_most_every_five_minutes(self, account: Account, start: datetime) -> None:
        client = signed_in(account)
        seen = client.session["seen_at"]
        with time_machine.travel(start + timedelta(minutes=4)):
            client.get("/account/")
        assert client.session["seen_at"] == seen
        with time_machine.travel(start + timedelta(minutes=6)):
            client.get("/account/")
        assert client.session["seen_at"] != seen
