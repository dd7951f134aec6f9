"""Signing in and out."""

from datetime import timedelta

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.factories import PASSPHRASE, AccountFactory

pytestmark = pytest.mark.django_db

SIGN_IN, INSIDE = "/sign-in/", "/account/"
WRONG = "not the passphrase at all"

HOSTILE_ADDRESSES = [
    "https://evil.example/", "http://evil.example/", "//evil.example/", "///evil.example/", "////evil.example",
    "/\\evil.example/", "\\\\evil.example/", "\\/evil.example", "javascript:alert(1)", "JaVaScRiPt:alert(1)",
    "data:text/html,<script>alert(1)</script>", "vbscript:x", "ftp://evil.example/", "evil.example", "@evil.example",
    "https:evil.example", "https:/evil.example", "/\t/evil.example/", "/\n/evil.example/", "\t//evil.example",
    " //evil.example", "http:\\\\evil.example", "/\r\nLocation: https://evil.example", "https://testserver@evil.example/",
    "//testserver.evil.example/", "/account/\x00", "\u2028//evil.example", "x" * 100_000,
]  # fmt: skip


def try_sign_in(client: Client, email: str, password: str, **extra: str):
    return client.post(SIGN_IN, {"username": email, "password": password, **extra})


class TestSignIn:
    def test_lets_in_by_email_and_password_whatever_the_letter_case(self, client: Client) -> None:
        AccountFactory(email="ada@studio.example")
        response = try_sign_in(client, " Ada@Studio.example ", PASSPHRASE)
        assert response.status_code == 302
        assert response["Location"] == "/"
        assert client.get(INSIDE).status_code == 200

    @pytest.mark.parametrize(
        ("email", "password"),
        [("ada@studio.example", WRONG), ("nobody@studio.example", PASSPHRASE), ("shut@studio.example", PASSPHRASE)],
    )
    def test_says_the_same_whatever_was_wrong(self, client: Client, email: str, password: str) -> None:
        AccountFactory(email="ada@studio.example")
        AccountFactory(email="shut@studio.example", is_active=False)
        response = try_sign_in(client, email, password)
        assert response.status_code == 422
        assert "do not open an account here" in response.content.decode()
        assert email in response.content.decode()
        assert password not in response.content.decode()
        assert client.get(INSIDE).status_code == 302

    def test_gives_the_session_a_new_name(self, client: Client) -> None:
        account = AccountFactory()
        client.get(SIGN_IN)
        session = client.session
        session["planted"] = "by somebody else"
        session.save()
        planted = session.session_key
        client.cookies["sessionid"] = planted
        try_sign_in(client, account.email, PASSPHRASE)
        assert client.session.session_key != planted
        other = Client()
        other.cookies["sessionid"] = planted
        assert other.get(INSIDE).status_code == 302

    def test_does_not_know_a_session_name_it_did_not_give(self, client: Client) -> None:
        client.cookies["sessionid"] = "a" * 32
        try_sign_in(client, AccountFactory().email, PASSPHRASE)
        assert client.session.session_key != "a" * 32

    def test_gives_session_names_of_more_than_128_bits(self, client: Client) -> None:
        try_sign_in(client, AccountFactory().email, PASSPHRASE)
        key = client.session.session_key
        assert key is not None
        assert len(key) == 32  # 36 signs to choose from: 165 bits
        assert key.isalnum()

    def test_does_not_fold_or_cut_the_password(self, client: Client) -> None:
        long = "k7" * 63 + "ab"
        account = AccountFactory(password=long)
        assert len(long) == 128
        assert try_sign_in(client, account.email, long[:-1] + "c").status_code == 422
        assert try_sign_in(client, account.email, long.upper()).status_code == 422
        assert try_sign_in(client, account.email, long).status_code == 302

    def test_leads_where_somebody_wanted_to_go(self, client: Client) -> None:
        account = AccountFactory()
        response = client.get("/studio/people/?a=1")
        assert response["Location"] == "/sign-in/?next=/studio/people/%3Fa%3D1"
        page = client.get(response["Location"])
        assert 'value="/studio/people/?a=1"' in page.content.decode()
        response = try_sign_in(client, account.email, PASSPHRASE, next="/studio/people/?a=1")
        assert response["Location"] == "/studio/people/?a=1"

    @pytest.mark.parametrize("address", HOSTILE_ADDRESSES, ids=range(len(HOSTILE_ADDRESSES)))
    def test_leads_nowhere_else(self, client: Client, address: str) -> None:
        account = AccountFactory()
        page = client.get(SIGN_IN, {"next": address[:2000]})
        assert "evil" not in page.content.decode()
        response = try_sign_in(client, account.email, PASSPHRASE, next=address)
        assert response.status_code == 302
        assert response["Location"] == "/"

    def test_wants_the_forgery_token(self) -> None:
        strict = Client(enforce_csrf_checks=True)
        assert try_sign_in(strict, AccountFactory().email, PASSPHRASE).status_code == 403

    def test_logs_tries_without_names_or_passwords(self, client: Client, caplog: pytest.LogCaptureFixture) -> None:
        account = AccountFactory(email="canary-mail@studio.example")
        with caplog.at_level("INFO"):
            try_sign_in(client, account.email, "canary password that is wrong")
            try_sign_in(client, account.email, PASSPHRASE)
        said = [record.getMessage() for record in caplog.records]
        assert "sign-in refused" in said
        assert f"sign-in account={account.pk}" in said
        assert "canary" not in " ".join(said)
        assert PASSPHRASE not in " ".join(said)


class TestTooManyTries:
    def fail(self, client: Client, times: int, email: str = "ada@studio.example") -> list[int]:
        return [try_sign_in(client, email, WRONG).status_code for _ in range(times)]

    def test_stops_at_the_fourth_failure_and_says_when_to_try_again(self, client: Client) -> None:
        AccountFactory(email="ada@studio.example")
        with time_machine.travel("2026-11-25 12:00:00+00:00", tick=False):
            assert self.fail(client, 3) == [422, 422, 422]
            response = try_sign_in(client, "ada@studio.example", WRONG)
        assert response.status_code == 429
        assert "12:15" in response.content.decode()
        assert "Access-Control-Allow-Origin" not in response

    def test_holds_for_the_right_password_too_then_ends_by_itself(self, client: Client) -> None:
        AccountFactory(email="ada@studio.example")
        start = timezone.now()
        self.fail(client, 4)
        assert try_sign_in(client, "ada@studio.example", PASSPHRASE).status_code == 429
        with time_machine.travel(start + timedelta(minutes=14)):
            assert try_sign_in(client, "ada@studio.example", PASSPHRASE).status_code == 429
        with time_machine.travel(start + timedelta(minutes=16)):
            assert try_sign_in(client, "ada@studio.example", PASSPHRASE).status_code == 302

    def test_counts_one_email_however_it_is_typed(self, client: Client) -> None:
        AccountFactory(email="ada@studio.example")
        for typed in ("ada@studio.example", "ADA@studio.example", " Ada@Studio.Example"):
            assert try_sign_in(client, typed, WRONG).status_code == 422
        assert try_sign_in(client, "adA@studio.example", WRONG).status_code == 429

    def test_ignores_a_made_up_forwarding_header(self, client: Client) -> None:
        AccountFactory(email="ada@studio.example")
        answers = [
            client.post(
                SIGN_IN, {"username": "ada@studio.example", "password": WRONG}, headers={"x-forwarded-for": f"10.0.0.{n}"}
            )
            for n in range(4)
        ]
        assert [answer.status_code for answer in answers] == [422, 422, 422, 429]

    def test_lets_others_in_meanwhile(self, client: Client) -> None:
        AccountFactory(email="ada@studio.example")
        other = AccountFactory()
        self.fail(client, 4)
        assert try_sign_in(client, other.email, PASSPHRASE).status_code == 302

    def test_starts_counting_anew_after_a_success(self, client: Client) -> None:
        AccountFactory(email="ada@studio.example")
        self.fail(client, 3)
        assert try_sign_in(client, "ada@studio.example", PASSPHRASE).status_code == 302
        client.post("/sign-out/")
        assert self.fail(client, 3) == [422, 422, 422]


class TestSignOut:
    def test_ends_the_session_on_the_server(self, client: Client) -> None:
        try_sign_in(client, AccountFactory().email, PASSPHRASE)
        kept = client.cookies["sessionid"].value
        response = client.post("/sign-out/")
        assert response["Location"] == reverse("studio:sign_in")
        thief = Client()
        thief.cookies["sessionid"] = kept
        assert thief.get(INSIDE)["Location"].startswith(SIGN_IN)
        assert not Session.objects.filter(session_key=kept).exists()

    def test_is_not_done_by_a_link(self, client: Client) -> None:
        client.force_login(AccountFactory())
        assert client.get("/sign-out/").status_code == 405
        assert client.get(INSIDE).status_code == 200
