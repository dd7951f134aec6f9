"""Accounts: roles, closing, reopening; never without an owner."""

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from studio.access import Right, Role
from studio.models import Account, StudioProfile
from studio.services.accounts import change_role, close_account, reopen_account
from studio.services.errors import AccountError
from tests.factories import PASSPHRASE, AccountFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Account:
    return AccountFactory(role=Role.OWNER, name="Ada")


@pytest.fixture
def owner_client(owner: Account, client: Client) -> Client:
    client.force_login(owner)
    return client


class TestLastOwner:
    def test_keeps_the_role(self, owner_client: Client, owner: Account) -> None:
        response = owner_client.post(f"/studio/accounts/{owner.pk}/role/", {"role": "maker"})
        assert response.status_code == 422
        assert "Ada is the only owner whose account is open" in response.content.decode()
        owner.refresh_from_db()
        assert owner.role == "owner"

    def test_cannot_be_closed(self, owner_client: Client, owner: Account) -> None:
        assert owner_client.post(f"/studio/accounts/{owner.pk}/close/").status_code == 422
        owner.refresh_from_db()
        assert owner.is_active

    def test_is_not_saved_by_an_owner_whose_account_is_closed(self, owner: Account) -> None:
        AccountFactory(role=Role.OWNER, is_active=False)
        with pytest.raises(AccountError, match="Make another person an owner first"):
            close_account(account_id=owner.pk)

    def test_may_go_when_another_stays(self, owner: Account) -> None:
        other = AccountFactory(role=Role.OWNER)
        assert change_role(account_id=owner.pk, role=Role.OFFICE).role == "office"
        with pytest.raises(AccountError):
            change_role(account_id=other.pk, role=Role.OFFICE)

    def test_is_given_by_name_in_the_refusal_of_a_lost_account(self) -> None:
        with pytest.raises(AccountError, match="does not exist any more"):
            close_account(account_id=999)


class TestAccountsClose:
    def test_takes_access_away_at_once_and_gives_it_back(self, owner_client: Client) -> None:
        bo = AccountFactory(role=Role.MAKER, name="Bo")
        there = Client()
        there.post("/sign-in/", {"username": bo.email, "password": PASSPHRASE})
        assert there.get("/studio/").status_code == 200
        page = owner_client.post(f"/studio/accounts/{bo.pk}/close/", follow=True).content.decode()
        assert "The account of Bo is closed." in page
        assert there.get("/studio/").status_code == 302
        assert there.post("/sign-in/", {"username": bo.email, "password": PASSPHRASE}).status_code == 422
        owner_client.post(f"/studio/accounts/{bo.pk}/reopen/")
        assert Client().post("/sign-in/", {"username": bo.email, "password": PASSPHRASE}).status_code == 302

    def test_withdraws_the_links_for_a_new_password(self, owner: Account) -> None:
        from studio.services.invitations import look_up, make_reset_link

        bo = AccountFactory(role=Role.MAKER)
        token = make_reset_link(account_id=bo.pk, by=owner)
        close_account(account_id=bo.pk)
        reopen_account(account_id=bo.pk)
        with pytest.raises(Exception, match="withdrawn"):
            look_up(token)


class TestAccountsRole:
    def test_gives_rights_with_the_next_request(self, owner_client: Client) -> None:
        bo = AccountFactory(role=Role.MAKER, name="Bo")
        there = Client()
        there.force_login(bo)
        assert there.get("/studio/accounts/").status_code == 403
        page = owner_client.post(f"/studio/accounts/{bo.pk}/role/", {"role": "owner"}, follow=True).content.decode()
        assert "Bo is now an owner." in page
        assert there.get("/studio/accounts/").status_code == 200

    @pytest.mark.parametrize("role", ["", "king", "OWNER", "owner\x00", "x" * 100_000])
    def test_refuses_what_is_no_role(self, owner_client: Client, role: str) -> None:
        bo = AccountFactory(role=Role.MAKER)
        assert owner_client.post(f"/studio/accounts/{bo.pk}/role/", {"role": role}).status_code == 422
        bo.refresh_from_db()
        assert bo.role == "maker"


class TestRights:
    def test_hide_money_from_a_maker_when_the_owner_says_so(self) -> None:
        maker, office = AccountFactory(role=Role.MAKER), AccountFactory(role=Role.OFFICE)
        assert maker.may(Right.SEE_MONEY)
        StudioProfile.objects.update_or_create(pk=1, defaults={"money_hidden_from_makers": True})
        assert not maker.may(Right.SEE_MONEY)
        assert maker.may(Right.SEE_JOBS)
        assert office.may(Right.SEE_MONEY)

    def test_are_none_for_a_closed_account(self) -> None:
        closed = AccountFactory(is_active=False)
        assert not any(closed.may(right) for right in Right)


class TestAccount:
    def test_keeps_passwords_as_argon2id_outside_tests(self) -> None:
        from django.contrib.auth.hashers import Argon2PasswordHasher

        from studio.settings import base

        assert base.PASSWORD_HASHERS[0] == "django.contrib.auth.hashers.Argon2PasswordHasher"
        encoded = Argon2PasswordHasher().encode(PASSPHRASE, "saltsaltsalt")
        assert encoded.startswith("argon2$argon2id$v=19$m=102400,t=2,p=8$")

    def test_is_one_per_email_whatever_the_letter_case(self) -> None:
        AccountFactory(email="ada@studio.example")
        with pytest.raises(ValidationError):
            AccountFactory(email="ADA@studio.example")
