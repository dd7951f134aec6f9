"""A person's own account."""

import pytest
from django.test import Client

from studio.access import Role
from studio.models import Account
from tests.factories import PASSPHRASE, AccountFactory

pytestmark = pytest.mark.django_db

NEW = "seven clay pots by the canal"


def sign_in(account: Account, password: str = PASSPHRASE) -> Client:
    client = Client()
    assert client.post("/sign-in/", {"username": account.email, "password": password}).status_code == 302
    return client


def change(client: Client, current: str = PASSPHRASE, new: str = NEW, again: str | None = None):
    typed = {"current": current, "new_password": new, "again": new if again is None else again}
    return client.post("/account/password/", typed)


class TestAccountShow:
    def test_changes_the_name_and_nothing_else(self, client: Client) -> None:
        account = AccountFactory(role=Role.MAKER)
        client.force_login(account)
        response = client.post(
            "/account/", {"name": "Ada Lay", "role": "owner", "email": "x@y.example", "is_active": "0"}, follow=True
        )
        assert "Your name is changed." in response.content.decode()
        account.refresh_from_db()
        assert (account.name, account.role, account.is_active) == ("Ada Lay", "maker", True)
        assert account.email != "x@y.example"

    def test_keeps_what_was_typed_when_the_name_is_missing(self, client: Client) -> None:
        client.force_login(AccountFactory())
        response = client.post("/account/", {"name": " "})
        assert response.status_code == 422
        assert "Type the name others in the studio know you by." in response.content.decode()


class TestPasswordChange:
    def test_changes_the_password_and_ends_other_sessions(self) -> None:
        account = AccountFactory()
        here, there = sign_in(account), sign_in(account)
        before = here.session.session_key
        assert change(here)["Location"] == "/account/"
        assert here.session.session_key != before
        assert here.get("/account/").status_code == 200
        assert there.get("/account/").status_code == 302
        assert sign_in(account, NEW).get("/account/").status_code == 200
        refused = Client().post("/sign-in/", {"username": account.email, "password": PASSPHRASE})
        assert refused.status_code == 422

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"current": "wrong"}, "This is not the password so far."),
            ({"again": "seven clay pots by the cana1"}, "This differs from the password above."),
            ({"new": "short", "again": "short"}, "at least 15 characters"),
            ({"new": ""}, "Type the password."),
        ],
    )
    def test_says_what_to_change(self, typed: dict[str, str], sentence: str) -> None:
        account = AccountFactory()
        client = sign_in(account)
        response = change(client, **typed)
        assert response.status_code == 422
        assert sentence in response.content.decode()
        account.refresh_from_db()
        assert account.check_password(PASSPHRASE)

    def test_never_shows_a_typed_password(self) -> None:
        client = sign_in(AccountFactory())
        assert NEW not in change(client, current="wrong").content.decode()


class TestSessionsEnd:
    def test_signs_out_everywhere_else(self) -> None:
        account = AccountFactory()
        here, there = sign_in(account), sign_in(account)
        assert here.post("/account/sign-out-elsewhere/").status_code == 302
        assert here.get("/account/").status_code == 200
        assert there.get("/account/").status_code == 302
