"""Single-use links."""

import hashlib
import re
from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from studio.access import Role
from studio.models import Account, Invitation
from studio.services.errors import InvitationError
from studio.services.invitations import (
    hash_of,
    invite,
    look_up,
    make_reset_link,
    open_account,
    owner_setup_link,
    set_new_password,
    withdraw,
)
from tests.factories import PASSPHRASE, AccountFactory

pytestmark = pytest.mark.django_db

NEW = "seven clay pots by the canal"
TYPED = {"name": "Bo Cast", "email": "Bo@Studio.example", "new_password": NEW, "again": NEW}


@pytest.fixture
def owner() -> Account:
    return AccountFactory(role=Role.OWNER, name="Ada")


@pytest.fixture
def owner_client(owner: Account, client: Client) -> Client:
    client.force_login(owner)
    return client


def shown_address(html: str) -> str:
    found = re.search(r'value="http://[^/]+(/join/[^"]+)"', html)
    assert found is not None
    return found.group(1)


class TestInvite:
    def test_keeps_only_the_hash_of_256_random_bits(self, owner: Account) -> None:
        tokens = {invite(role=Role.MAKER, by=owner) for _ in range(20)}
        assert len(tokens) == 20
        assert {len(token) for token in tokens} == {43}  # 32 bytes in base 64 without padding
        kept = set(Invitation.objects.values_list("token_hash", flat=True))
        assert kept == {hashlib.sha256(token.encode()).hexdigest() for token in tokens}

    def test_withdraws_an_older_link_to_the_same_email(self, owner: Account) -> None:
        first = invite(role=Role.MAKER, by=owner, email="bo@studio.example")
        second = invite(role=Role.OFFICE, by=owner, email="BO@studio.example")
        assert look_up(second).role == "office"
        with pytest.raises(InvitationError, match="withdrawn"):
            look_up(first)

    def test_refuses_an_email_that_has_an_account(self, owner: Account) -> None:
        with pytest.raises(InvitationError, match="already has an account"):
            invite(role=Role.MAKER, by=owner, email=owner.email.upper())


class TestInvitationsAdd:
    def test_shows_the_link_once_and_never_again(self, owner_client: Client) -> None:
        response = owner_client.post("/studio/accounts/invite/", {"name": "Bo", "email": "", "role": "maker"})
        assert response.status_code == 201
        assert "no-store" in response["Cache-Control"]
        token = shown_address(response.content.decode()).split("/")[2]
        assert Invitation.objects.get().token_hash == hash_of(token)
        assert token not in owner_client.get("/studio/accounts/").content.decode()

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"name": "", "role": "maker"}, "Type who the link is for."),
            ({"name": "Bo", "role": "king"}, "Choose one of the roles."),
            ({"name": "Bo", "role": "maker", "email": "bo@"}, "This is not a whole e-mail address."),
        ],
    )
    def test_says_what_to_change(self, owner_client: Client, typed: dict[str, str], sentence: str) -> None:
        response = owner_client.post("/studio/accounts/invite/", typed)
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert not Invitation.objects.exists()


class TestInvitationsAccept:
    def test_opens_an_account_with_the_role_that_was_offered(self, client: Client, owner: Account) -> None:
        address = f"/join/{invite(role=Role.OFFICE, by=owner, name='Bo')}/"
        page = client.get(address)
        assert "Ada invites you" in page.content.decode()
        assert 'value="Bo"' in page.content.decode()
        assert page["Referrer-Policy"] == "same-origin"
        assert "no-store" in page["Cache-Control"]
        response = client.post(address, {**TYPED, "role": "owner"})
        assert response["Location"] == "/"
        account = Account.objects.get(email="bo@studio.example")
        assert account.role == "office"
        assert account.check_password(NEW)
        assert client.get("/account/").status_code == 200

    def test_gives_the_session_a_new_name(self, client: Client, owner: Account) -> None:
        session = client.session
        session["planted"] = 1
        session.save()
        planted = session.session_key
        client.cookies["sessionid"] = planted
        client.post(f"/join/{invite(role=Role.MAKER, by=owner)}/", TYPED)
        assert client.session.session_key != planted

    def test_opens_nothing_twice(self, owner: Account) -> None:
        address = f"/join/{invite(role=Role.MAKER, by=owner)}/"
        assert Client().post(address, TYPED).status_code == 302
        second = Client().post(address, {**TYPED, "email": "cy@studio.example"})
        assert second.status_code == 410
        assert "used already" in second.content.decode()
        assert Account.objects.count() == 2

    def test_opens_until_seven_days_and_not_after(self, client: Client, owner: Account) -> None:
        start = timezone.now()
        address = f"/join/{invite(role=Role.MAKER, by=owner)}/"
        with time_machine.travel(start + timedelta(days=7) - timedelta(seconds=5)):
            assert client.get(address).status_code == 200
        with time_machine.travel(start + timedelta(days=7, seconds=5)):
            assert client.post(address, TYPED).status_code == 410
            assert "has run out" in client.get(address).content.decode()

    @pytest.mark.parametrize("token", ["x", "a" * 43, "%00", "../../etc", "é", "a" * 3000])
    def test_knows_no_made_up_link(self, client: Client, token: str) -> None:
        assert client.get(f"/join/{token}/").status_code in {404, 410}

    def test_keeps_the_link_when_the_form_is_refused(self, client: Client, owner: Account) -> None:
        address = f"/join/{invite(role=Role.MAKER, by=owner)}/"
        response = client.post(address, {**TYPED, "new_password": "short", "again": "short"})
        assert response.status_code == 422
        assert 'value="Bo Cast"' in response.content.decode()
        assert client.post(address, TYPED).status_code == 302

    def test_refuses_an_email_that_is_taken(self, client: Client, owner: Account) -> None:
        response = client.post(f"/join/{invite(role=Role.MAKER, by=owner)}/", {**TYPED, "email": owner.email})
        assert response.status_code == 422
        assert "already has an account here" in response.content.decode()


class TestInvitationsWithdraw:
    def test_makes_the_link_useless(self, owner_client: Client, owner: Account) -> None:
        token = invite(role=Role.MAKER, by=owner, name="Bo")
        pk = Invitation.objects.get().pk
        page = owner_client.post(f"/studio/accounts/links/{pk}/withdraw/", follow=True).content.decode()
        assert "The link for Bo opens nothing any more." in page
        assert Client().post(f"/join/{token}/", TYPED).status_code == 410
        assert not Account.objects.filter(email="bo@studio.example").exists()

    def test_leaves_a_used_link_as_it_is(self, owner: Account) -> None:
        token = invite(role=Role.MAKER, by=owner)
        open_account(token=token, name="Bo", email="bo@studio.example", password=NEW)
        with pytest.raises(InvitationError, match="used already"):
            withdraw(invitation_id=Invitation.objects.get().pk)


class TestAccountsReset:
    def test_sets_a_new_password_and_ends_every_session(self, owner_client: Client) -> None:
        bo = AccountFactory(role=Role.MAKER)
        signed_in = Client()
        signed_in.post("/sign-in/", {"username": bo.email, "password": PASSPHRASE})
        response = owner_client.post(f"/studio/accounts/{bo.pk}/reset/")
        assert response.status_code == 201
        address = shown_address(response.content.decode())
        guest = Client()
        assert bo.email in guest.get(address).content.decode()
        assert guest.post(address, {"new_password": NEW, "again": NEW, "email": "evil@studio.example"}).status_code == 302
        assert signed_in.get("/account/").status_code == 302
        bo.refresh_from_db()
        assert bo.check_password(NEW)
        assert bo.email != "evil@studio.example"
        assert guest.post(address, {"new_password": NEW, "again": NEW}).status_code == 410

    def test_runs_out_after_a_day(self, owner: Account) -> None:
        start = timezone.now()
        token = make_reset_link(account_id=owner.pk, by=owner)
        with time_machine.travel(start + timedelta(days=1, seconds=5)), pytest.raises(InvitationError, match="run out"):
            look_up(token)

    def test_opens_nothing_for_a_closed_account(self, owner: Account) -> None:
        bo = AccountFactory(role=Role.MAKER)
        token = make_reset_link(account_id=bo.pk, by=owner)
        Account.objects.filter(pk=bo.pk).update(is_active=False)
        with pytest.raises(InvitationError, match="closed"):
            look_up(token)

    def test_is_bound_to_its_purpose(self, owner: Account) -> None:
        reset, join = make_reset_link(account_id=owner.pk, by=owner), invite(role=Role.MAKER, by=owner)
        with pytest.raises(InvitationError, match="opens no account"):
            open_account(token=reset, name="x", email="x@studio.example", password=NEW)
        with pytest.raises(InvitationError, match="does not change a password"):
            set_new_password(token=join, password=NEW)
        assert look_up(reset).used_at is None
        assert look_up(join).used_at is None


class TestOwnerSetupLink:
    def test_opens_the_first_owner_s_account_once(self, client: Client) -> None:
        first, second = owner_setup_link(), owner_setup_link()
        assert second.startswith("http://127.0.0.1:8000/join/")
        assert client.get(first.removeprefix("http://127.0.0.1:8000")).status_code == 410
        address = second.removeprefix("http://127.0.0.1:8000")
        assert client.post(address, TYPED).status_code == 302
        assert Account.objects.get().role == "owner"
        assert Client().post(address, {**TYPED, "email": "cy@studio.example"}).status_code == 410
        assert Account.objects.count() == 1

    def test_is_refused_once_there_is_an_account(self, client: Client) -> None:
        address = owner_setup_link().removeprefix("http://127.0.0.1:8000")
        AccountFactory()
        with pytest.raises(InvitationError, match="already has accounts"):
            owner_setup_link()
        assert client.post(address, TYPED).status_code == 410
        assert Account.objects.count() == 1


class TestOwnerLinkCommand:
    def run(self, *arguments: str) -> str:
        out = StringIO()
        call_command("owner_link", *arguments, stdout=out)
        return out.getvalue()

    def test_prints_a_link_for_a_fresh_installation(self, client: Client) -> None:
        address = self.run().strip().splitlines()[-1]
        assert client.get(address.removeprefix("http://127.0.0.1:8000")).status_code == 200

    def test_gives_an_owner_a_new_password_but_nobody_else(self, client: Client) -> None:
        owner, maker = AccountFactory(role=Role.OWNER), AccountFactory(role=Role.MAKER)
        address = self.run("--for", owner.email.upper()).strip().splitlines()[-1]
        assert owner.email in client.get(address.removeprefix("http://127.0.0.1:8000")).content.decode()
        with pytest.raises(CommandError, match="No owner here"):
            self.run("--for", maker.email)
        with pytest.raises(CommandError, match="already has accounts"):
            self.run()
